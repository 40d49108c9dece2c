#ifndef STANDARD_ATSC3_TABLE_CONSTELLATION_H
#define STANDARD_ATSC3_TABLE_CONSTELLATION_H

#include <stdint.h>

#include "standard/atsc3/code.h"

/* Data of constellation.c: ATSC A/322:2024-04 Annex C, in units of 0.0001. A row is a code rate. */

extern const uint16_t constellation_quadrant_16[RATE_COUNT][4][2];
extern const uint16_t constellation_quadrant_64[RATE_COUNT][16][2];
extern const uint16_t constellation_quadrant_256[RATE_COUNT][64][2];
extern const uint16_t constellation_levels_1024[RATE_COUNT][16];
extern const uint16_t constellation_levels_4096[RATE_COUNT][32];
extern const uint8_t constellation_map_1024[16];
extern const uint8_t constellation_map_4096[32];

#endif
