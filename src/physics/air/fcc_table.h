#ifndef PHYSICS_AIR_FCC_TABLE_H
#define PHYSICS_AIR_FCC_TABLE_H

#include "standard/rf.h"

/* The curves of 47 CFR 73.699. Private to fcc.c. */

#define FCC_HEIGHTS 13
#define FCC_50_DISTANCES 25
#define FCC_10_DISTANCES 31

extern const double fcc_height_m[FCC_HEIGHTS];
extern const double fcc_50_km[FCC_50_DISTANCES], fcc_10_km[FCC_10_DISTANCES];
extern const float fcc_50_dbuvm[BAND_COUNT][FCC_50_DISTANCES][FCC_HEIGHTS];
extern const float fcc_10_dbuvm[BAND_COUNT][FCC_10_DISTANCES][FCC_HEIGHTS];

#endif
