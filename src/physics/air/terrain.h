#ifndef PHYSICS_AIR_TERRAIN_H
#define PHYSICS_AIR_TERRAIN_H

/* The ground between a station and a place: heights over the sea at distances from the station, and
 * what ITU-R P.1546 takes of them. */

#define TERRAIN_POINTS_MAX 1000

struct terrain {
    int count; /* 0: no terrain is known; else at least 2 */
    /* From 0 on, growing; between two points the ground is straight. */
    float km[TERRAIN_POINTS_MAX], m[TERRAIN_POINTS_MAX];
};

/* How far it is known; 0 where it is not. */
double terrain_end_km(const struct terrain *terrain);

/* Beyond its end the ground goes on as high as there. */
double terrain_height_m(const struct terrain *terrain, double km);

/* Mean height between two different distances. */
double terrain_mean_m(const struct terrain *terrain, double from_km, double to_km);

/* The transmitting antenna, `mast_m` above the ground that it stands on, over the mean ground
 * towards a place: from 3 to 15 km, nearer from a fifth of the way on. Below 0: lower than it. */
double terrain_effective_m(const struct terrain *terrain, double mast_m, double distance_km);

/* Elevation in degrees of the line from an antenna, so high above its ground, that just clears the
 * ground towards the other end: over 16 km from a place at that distance, over 15 km from the
 * station, and no farther than the other end. NAN beyond the end of what is known. */
double terrain_elevation_from_place_deg(const struct terrain *terrain, double antenna_m,
                                        double distance_km);
double terrain_elevation_from_station_deg(const struct terrain *terrain, double antenna_m,
                                          double distance_km);

/* The terrain clearance angle at a place: the first of the two over the direction of the
 * transmitting antenna, within 0.55 and 40 degrees. NAN beyond the end of what is known. */
double terrain_clearance_deg(const struct terrain *terrain, double mast_m, double antenna_m,
                             double distance_km);

/* What that takes of the field, in dB; for NAN nothing. Adds to it: 0 or less beyond 0.55. */
double terrain_clearance_db(double clearance_deg, double center_mhz);

#endif
