#ifndef PHYSICS_AIR_FCC_H
#define PHYSICS_AIR_FCC_H

#include "physics/air/propagation.h"
#include "standard/rf.h"

/* The propagation curves of 47 CFR 73.699, read as the regulator's own routine reads them. */

#define FCC_TIME_MIN_PERCENT 10.0
#define FCC_TIME_MAX_PERCENT 90.0

/* F(50, t) for 1 kW, receiving antenna at 9.1 m in the open; NAN beyond fcc_farthest_km. Heights
 * count within 30.48 and 1600 m. */
double fcc_curve_dbuvm(enum band band, double height_m, double distance_km, double time_percent);

/* 300 km; 500 km for 10 % of the time. */
double fcc_farthest_km(double time_percent);

/* The curve, taken to the path's receiving height and surroundings by the rule of ITU-R P.1546:
 * 0 dB at 9.1 to 10 m in the open. */
double fcc_field_dbuvm(const struct path *path, double erp_kw);

#endif
