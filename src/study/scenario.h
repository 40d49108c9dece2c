#ifndef STUDY_SCENARIO_H
#define STUDY_SCENARIO_H

#include "physics/echo.h"
#include "physics/receiver.h"
#include "standard/mode.h"

/* All that a user can say: the input of every study. A profile is its written form. */

#define NAME_MAX_BYTES 48
#define STATIONS_MAX 8

struct site {
    int rf_channel;    /* 0: none, center_mhz counts */
    double center_mhz; /* always filled in */
    int bandwidth_mhz; /* the same as mode.bandwidth_mhz; scenario_set_bandwidth keeps both */
};

enum generation { GENERATION_FIRST, GENERATION_SECOND };

struct station {
    char name[NAME_MAX_BYTES];
    enum generation generation;
    int rf_channel;
    double erp_kw;          /* horizontal, over a half-wave dipole */
    double erp_vertical_kw; /* 0: none */
    double height_m;        /* above average terrain */
    double distance_km;
};

enum building { BUILDING_NONE, BUILDING_TRADITIONAL, BUILDING_EFFICIENT };
enum field_method { METHOD_AUTO, METHOD_FREE_SPACE, METHOD_SMOOTH_EARTH, METHOD_HATA };

struct place {
    double receive_height_m;
    enum building building;
    double entry_loss_db;    /* NAN: by the building's kind */
    double location_percent; /* 50..99.9 */
    enum field_method method;
};

struct scenario {
    struct site site;
    struct mode mode;
    struct first_receiver first;
    struct receiver receiver;
    int station_count;
    struct station stations[STATIONS_MAX];
    struct place place;
    int echo_count;
    struct echo echoes[ECHOES_MAX];
    char echo_names[ECHOES_MAX][NAME_MAX_BYTES];
};

/* The defaults of the profile format: see design names in profile/keys.h. */
struct scenario scenario_default(void);

/* The mode is legal, numbers are finite and in range, echoes and stations make sense. */
enum status scenario_check(const struct scenario *scenario, struct fault *fault);

#endif
