/* What the ground between a station and a place does to a field, after ITU-R P.1546 (editions -2 to
 * -6, Annex 5 sections 3 and 11).
 *
 * Effective height: of the transmitting antenna over the mean ground between 3 and 15 km towards
 * the place, of a place nearer than 15 km between 0.2 d and d. Terrain clearance angle: at the
 * receiving antenna, the line that just clears all ground within 16 km towards the transmitting
 * antenna, over the straight line to it, without the earth's curvature:
 *     theta = max atan((h(x) - h2s) / (d - x)) - atan((h1s - h2s) / d),  0.55 to 40 degrees,
 *     correction = J(0.036 sqrt(f)) - J(0.065 theta sqrt(f)),  J as in p1546.h,  f in MHz.
 * The formula is that of the Recommendation; that theta counts from the line to the transmitting
 * antenna is from memory.
 *
 * Validity: one profile along the path; nothing is known aside of it. Worked number: 600 MHz, 1
 * degree: -4.10 dB, 5 degrees: -17.73 dB. */
#include "physics/air/terrain.h"

#include <math.h>
#include <stdbool.h>

#include "base/units.h"
#include "physics/air/p1546.h"

#define PLACE_LOOKS_KM 16.0
#define STATION_LOOKS_KM 15.0
#define MEAN_FROM 0.2 /* of where the mean ends: 3 of 15 km */
#define LEAST_DEG 0.55
#define MOST_DEG 40.0

double terrain_end_km(const struct terrain *terrain)
{
    return terrain->count > 0 ? (double)terrain->km[terrain->count - 1] : 0.0;
}

/* The last point not beyond `km`, but never the very last one. */
static int point_before(const struct terrain *terrain, double km)
{
    int low = 0, high = terrain->count - 1;
    while (high - low > 1) {
        int middle = (low + high) / 2;
        if ((double)terrain->km[middle] <= km) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low;
}

double terrain_height_m(const struct terrain *terrain, double km)
{
    int i = point_before(terrain, km);
    double from = terrain->km[i], to = terrain->km[i + 1];
    double share = fmin(fmax((km - from) / (to - from), 0.0), 1.0);
    return (1.0 - share) * (double)terrain->m[i] + share * (double)terrain->m[i + 1];
}

double terrain_mean_m(const struct terrain *terrain, double from_km, double to_km)
{
    double sum = 0.0, at_km = from_km, at_m = terrain_height_m(terrain, from_km);
    for (int i = point_before(terrain, from_km) + 1; at_km < to_km; i++) {
        bool inside = i < terrain->count && (double)terrain->km[i] < to_km;
        double next_km = inside ? (double)terrain->km[i] : to_km;
        double next_m = terrain_height_m(terrain, next_km);
        sum += 0.5 * (at_m + next_m) * (next_km - at_km);
        at_km = next_km;
        at_m = next_m;
    }
    return sum / (to_km - from_km);
}

double terrain_effective_m(const struct terrain *terrain, double mast_m, double distance_km)
{
    double to_km = fmin(fmin(distance_km, STATION_LOOKS_KM), terrain_end_km(terrain));
    return mast_m + terrain_height_m(terrain, 0.0) -
           terrain_mean_m(terrain, MEAN_FROM * to_km, to_km);
}

static double elevation_deg(double rise_m, double km)
{
    return atan2(rise_m, 1e3 * km) * 180.0 / PI;
}

/* From an antenna at `eye_km`, over all ground between there and `end_km` on either side. */
static double clearing_deg(const struct terrain *terrain, double antenna_m, double eye_km,
                           double end_km)
{
    double eye_m = terrain_height_m(terrain, eye_km) + antenna_m;
    double most = elevation_deg(terrain_height_m(terrain, end_km) - eye_m, fabs(end_km - eye_km));
    double low_km = fmin(eye_km, end_km), high_km = fmax(eye_km, end_km);
    for (int i = 0; i < terrain->count; i++) {
        double km = terrain->km[i];
        if (km > low_km && km < high_km) {
            most = fmax(most, elevation_deg((double)terrain->m[i] - eye_m, fabs(km - eye_km)));
        }
    }
    return most;
}

static bool is_known(const struct terrain *terrain, double distance_km)
{
    return distance_km <= terrain_end_km(terrain) * (1.0 + 1e-6); /* a float's end */
}

double terrain_elevation_from_place_deg(const struct terrain *terrain, double antenna_m,
                                        double distance_km)
{
    return is_known(terrain, distance_km) ? clearing_deg(terrain, antenna_m, distance_km,
                                                         fmax(distance_km - PLACE_LOOKS_KM, 0.0))
                                          : NAN;
}

double terrain_elevation_from_station_deg(const struct terrain *terrain, double antenna_m,
                                          double distance_km)
{
    double end_km = fmin(distance_km, STATION_LOOKS_KM);
    return is_known(terrain, end_km) ? clearing_deg(terrain, antenna_m, 0.0, end_km) : NAN;
}

double terrain_clearance_deg(const struct terrain *terrain, double mast_m, double antenna_m,
                             double distance_km)
{
    double rise_m = terrain_height_m(terrain, 0.0) + mast_m -
                    terrain_height_m(terrain, distance_km) - antenna_m;
    double deg = terrain_elevation_from_place_deg(terrain, antenna_m, distance_km) -
                 elevation_deg(rise_m, distance_km);
    return isnan(deg) ? NAN : fmin(fmax(deg, LEAST_DEG), MOST_DEG);
}

double terrain_clearance_db(double clearance_deg, double center_mhz)
{
    double root = sqrt(center_mhz);
    return isnan(clearance_deg) ? 0.0
                                : p1546_knife_edge_db(0.036 * root) -
                                      p1546_knife_edge_db(0.065 * clearance_deg * root);
}
