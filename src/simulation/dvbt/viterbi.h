#ifndef SIMULATION_DVBT_VITERBI_H
#define SIMULATION_DVBT_VITERBI_H

#include <stdint.h>

#include "standard/dvbt/inner.h"

/* DVB-T's inner code: the punctured encoder, and the soft decoder of its 64 states. */

/* Coded bits of `count` information bits, a whole number of puncturing periods, from state 0;
 * returns how many. `coded` has room for twice as many. */
int viterbi_encode(enum dvbt_rate rate, const uint8_t *bits, int count, uint8_t *coded);

/* The most likely bits from the log-likelihood ratios of the coded ones (positive for 0); the path
 * begins in state 0 and ends anywhere. `decisions` has room for one word a bit. */
void viterbi_decode(enum dvbt_rate rate, const float *ratios, int count, uint64_t *decisions,
                    uint8_t *bits);

#endif
