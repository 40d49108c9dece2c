#ifndef STANDARD_ATSC3_TABLE_BIT_INTERLEAVER_H
#define STANDARD_ATSC3_TABLE_BIT_INTERLEAVER_H

#include <stdint.h>

#include "standard/atsc3/code.h"

/* Data of bit_interleaver.c: the group-wise permutations of ATSC A/322:2024-04 Annex B, by
 * constellation (of those named), code rate and output group. */

extern const uint8_t interleaver_groups_64800_low[3][RATE_COUNT][180];  /* QPSK, 16QAM, 64QAM */
extern const uint8_t interleaver_groups_64800_high[3][RATE_COUNT][180]; /* 256, 1024, 4096QAM */
extern const uint8_t interleaver_groups_16200[4][RATE_COUNT][45];       /* QPSK to 256QAM */

#endif
