#ifndef SIMULATION_VSB_TRELLIS_H
#define SIMULATION_VSB_TRELLIS_H

#include <stdint.h>

#include "base/status.h"

/* The trellis code of 8-VSB (ATSC A/53 Part 2; structure from memory, proved by its free distance
 * and its threshold): a precoder on one input bit, a 4-state feedback encoder on the other, eight
 * levels. Twelve encoders run interleaved; here sixteen lanes side by side, each an encoder or a
 * Viterbi decoder of its own. */

#define VSB_LANES 16
#define VSB_STATES 4
#define VSB_LEVEL_POWER 21.0 /* mean square of the levels -7, -5 ... 7 */

struct vsb_encoder {
    uint8_t z2; /* precoder: the last Z2 */
    uint8_t a, b;
};

/* Takes the bits X2 and X1 (`x` = 2 X2 + X1), returns Z = 4 Z2 + 2 Z1 + Z0. */
int vsb_encode(struct vsb_encoder *encoder, int x);

/* The level of Z: -7 -5 -3 -1 1 3 5 7. */
static inline int vsb_level(int z)
{
    return 2 * z - 7;
}

/* Soft-decision Viterbi decoders over `steps` received levels each, from the encoder's state of
 * rest to any final state, without truncation. */
struct vsb_viterbi {
    int steps_max;
    uint8_t *decisions; /* step by step, a byte a lane: for each state, which predecessor survived;
                         * for each pair of parallel levels, which was nearer */
};

enum status vsb_viterbi_create(struct vsb_viterbi *viterbi, int steps_max);
void vsb_viterbi_free(struct vsb_viterbi *viterbi);

/* received[step * VSB_LANES + lane]: levels with noise. decided[step * VSB_LANES + lane]: 2 X2 +
 * X1. */
void vsb_viterbi_decode(struct vsb_viterbi *viterbi, const float *received, int steps,
                        uint8_t *decided);

#endif
