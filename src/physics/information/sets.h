#ifndef PHYSICS_INFORMATION_SETS_H
#define PHYSICS_INFORMATION_SETS_H

#include "physics/information/curve.h"
#include "standard/atsc3/code.h"

/* The sets of points of A/322 whose curves are committed (information_table.c). */

#define INFORMATION_SETS 61 /* QPSK, and five more constellations at 12 rates */

/* Which curve belongs to a constellation at a rate: 0..60. */
int information_set(enum constellation constellation, int rate_15ths);

/* The committed table (information_table.c). Limits: [Rayleigh][constellation][rate - 2], dB. */
extern const uint32_t information_microbits[];
extern const int information_starts[INFORMATION_SETS + 1];
extern const double information_limits_db[2][CONSTELLATION_COUNT][RATE_COUNT];

#endif
