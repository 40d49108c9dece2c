#ifndef PHYSICS_AIR_ANTENNA_H
#define PHYSICS_AIR_ANTENNA_H

#include "standard/rf.h"

/* How much less a receiving antenna hears from a direction off its axis, dB, 0 or more. NAN for
 * `front_to_back_db`: the curve of ITU-R BT.419 for the band; else the pattern of OET Bulletin 69,
 * down to that ratio. */
double antenna_discrimination_db(enum band band, double off_axis_deg, double front_to_back_db);

#endif
