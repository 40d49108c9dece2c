#ifndef PHYSICS_AIR_BUILDING_H
#define PHYSICS_AIR_BUILDING_H

/* What walls and the spread of locations take from a predicted field. */

enum building_kind { BUILDING_KIND_TRADITIONAL, BUILDING_KIND_EFFICIENT };

#define BUILDING_MIN_MHZ 80.0 /* below, the loss at 80 MHz is given */

/* Building entry loss for a horizontal path that a share 0..1 of all cases does not exceed (ITU-R
 * P.2109); 0.5: the median. Single rooms differ by 10 dB and more. */
double building_entry_loss_db(enum building_kind kind, double center_mhz, double share);

/* Standard deviation of the log-normal spread over locations (ITU-R P.1546-3 Table 2,
 * digital broadcasting). */
#define LOCATION_SPREAD_DB 5.5

/* dB that the field lies above the one exceeded at `percent` (50..99.9) of the locations: 0 at
 * 50 %, 0.52, 1.28, 1.64, 2.33 times the spread at 70, 90, 95, 99 %. */
double location_allowance_db(double percent);

#endif
