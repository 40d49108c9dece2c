#ifndef STUDY_PLACE_PLAN_H
#define STUDY_PLACE_PLAN_H

#include "scenario/scenario.h"

/* A map: on a grid of places around the stations, which generation decodes where. At each place all
 * stations are heard as they stand, each other's interference and networks included; a generation
 * decodes where one of its stations does. */

#define PLAN_COLUMNS 64
#define PLAN_ROWS 40

struct plan_station {
    char name[NAME_MAX_BYTES];
    enum generation generation;
    double east_km, north_km; /* of the profile's place */
};

struct plan {
    double west_km, south_km, step_km; /* places are squares, the first one's corner lies here */
    bool decodes[GENERATION_COUNT][PLAN_ROWS][PLAN_COLUMNS]; /* from south and west on */
    double area_km2[GENERATION_COUNT];                       /* of those that decode */
    int station_count;
    struct plan_station stations[STATIONS_MAX];
    bool bearings_assumed; /* a station's is not said: see plan_make */
    bool terrain_left_out; /* of a way to the profile's place alone something is known */
};

/* Stations whose bearing is not said stand west of the place, those at another distance east, then
 * north, south and between. STATUS_ILLEGAL without a station; STATUS_NO_MEMORY and what
 * place_station_make says. */
enum status plan_make(const struct scenario *scenario, struct plan *plan, struct fault *fault);

#endif
