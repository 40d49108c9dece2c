#include "study/place/map.h"

#include <math.h>

#include "base/units.h"

struct map_point map_point_of(const struct station *station)
{
    double turn = station->bearing_deg * PI / 180.0;
    return (struct map_point){station->distance_km * sin(turn), station->distance_km * cos(turn)};
}

void map_move_place(struct scenario *moved, const struct map_point *stations, struct map_point here)
{
    for (int i = 0; i < moved->station_count; i++) {
        if (!isnan(stations[i].east_km)) {
            double km =
                hypot(stations[i].east_km - here.east_km, stations[i].north_km - here.north_km);
            moved->stations[i].distance_km = fmin(fmax(km, DISTANCE_MIN_KM), DISTANCE_MAX_KM);
        }
    }
}

bool map_forget_terrain(struct scenario *moved)
{
    bool known = false;
    for (int i = 0; i < moved->station_count; i++) {
        struct station *station = &moved->stations[i];
        if (station->terrain.count > 0) {
            known = true;
            station->height_m = fmax(
                terrain_effective_m(&station->terrain, station->height_m, station->distance_km),
                HEIGHT_MIN_M);
            station->terrain.count = 0;
        }
    }
    return known;
}
