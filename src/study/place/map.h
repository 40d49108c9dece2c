#ifndef STUDY_PLACE_MAP_H
#define STUDY_PLACE_MAP_H

#include "scenario/scenario.h"

/* Stations on a map around the profile's place, and the place moved on it. */

struct map_point {
    double east_km, north_km;
};

/* Of a station whose bearing is said; else NAN. */
struct map_point map_point_of(const struct station *station);

/* The distances of all stations whose point is known, from another place. */
void map_move_place(struct scenario *moved, const struct map_point *stations,
                    struct map_point here);

/* Elsewhere than at the profile's place nothing is known of the ground: the height over the mean of
 * the one way that is known stands for all. False where none was known. */
bool map_forget_terrain(struct scenario *moved);

#endif
