#ifndef PHYSICS_AIR_P1546_H
#define PHYSICS_AIR_P1546_H

#include <stddef.h>

#include "physics/air/propagation.h"

/* ITU-R P.1546 over land: 30-4000 MHz, 1-1000 km (nearer by its own rule for short paths),
 * transmitting antenna up to 3000 m, 1-50 % of the time, 50 % of the locations. */

#define P1546_TIME_MIN_PERCENT 1.0
#define P1546_TIME_MAX_PERCENT 50.0

/* The curves for 1 kW, from 1 km on: a receiving antenna as high as what stands around it. */
double p1546_curve_dbuvm(const struct path *path);

/* What another receiving height in these surroundings adds, from 1 km on. */
double p1546_receive_db(const struct path *path);

/* All of it: the curves, terrain, the receiving height, the slope of a short path, less than 1 km,
 * and never more than free space. */
double p1546_field_dbuvm(const struct path *path, double erp_kw);

/* ---- Its pieces. ---- */
double p1546_knife_edge_db(double nu); /* J(nu), at least 0 */
/* Ch: an antenna below ground, at 100, 600, 2000 MHz for 0, 1, 2. */
double p1546_sunk_db(double height_m, size_t frequency);
/* Scattered by the troposphere, for 1 kW: both ends' elevations over the horizontal; NAN where one
 * of them is. */
double p1546_troposcatter_dbuvm(double center_mhz, double distance_km, double time_percent,
                                double station_deg, double place_deg);
/* Below 1 km, given the field at 1 km: `mast_m` over ground. */
double p1546_near_dbuvm(double distance_km, double mast_m, double receive_height_m,
                        double field_1_km_dbuvm);

#endif
