/* The encoder: Z2 = X2 xor the Z2 before; Z1 = X1; registers a and b with Z0 = b, then a takes b
 * and b takes a xor Z1. A branch into state (a', b') so comes from b = a' and either a, with Z1 =
 * b' xor a and Z0 = a'. Z1 and Z0 choose one of four pairs of levels 8 apart, Z2 the level in the
 * pair, which is decided at once. Worked number: paths part and meet again after three steps at
 * squared distances of 16 + 4 + 16 = 36 at least (steps 4, 2, 4 apart), less than the pair's 64. */
#include "simulation/vsb/trellis.h"

#include <stdlib.h>

#define NORMALISE_STEPS 64

int vsb_encode(struct vsb_encoder *encoder, int x)
{
    uint8_t z1 = x & 1, z0 = encoder->b;
    encoder->z2 ^= (uint8_t)(x >> 1);
    uint8_t a = encoder->b, b = encoder->a ^ z1;
    encoder->a = a;
    encoder->b = b;
    return 4 * encoder->z2 + 2 * z1 + z0;
}

enum status vsb_viterbi_create(struct vsb_viterbi *viterbi, int steps_max)
{
    viterbi->steps_max = steps_max;
    viterbi->decisions = malloc((size_t)steps_max * VSB_LANES);
    return viterbi->decisions ? STATUS_OK : STATUS_NO_MEMORY;
}

void vsb_viterbi_free(struct vsb_viterbi *viterbi)
{
    free(viterbi->decisions);
    viterbi->decisions = NULL;
}

/* Squared distance to the nearer level of each pair (index 2 Z1 + Z0), and which that is. */
static void measure_pairs(const float *restrict received, float (*restrict distance)[VSB_LANES],
                          uint8_t *restrict decision)
{
    for (int pair = 0; pair < 4; pair++) {
        float middle = 2.0f * (float)pair - 3.0f;
        for (int l = 0; l < VSB_LANES; l++) {
            float off = received[l] - middle;
            int upper = off > 0.0f;
            float side = upper ? off - 4.0f : off + 4.0f;
            distance[pair][l] = side * side;
            decision[l] |= (uint8_t)(upper << pair);
        }
    }
}

/* One step of all lanes; states are 2 a + b. */
static void step_forward(float (*restrict metric)[VSB_LANES], const float *restrict received,
                         uint8_t *restrict decision)
{
    float distance[4][VSB_LANES], next[VSB_STATES][VSB_LANES];
    uint8_t bits[VSB_LANES] = {0};
    measure_pairs(received, distance, bits);
    for (int state = 0; state < VSB_STATES; state++) {
        int a = state >> 1, b = state & 1; /* of the state that is reached */
        for (int l = 0; l < VSB_LANES; l++) {
            float from_0 = metric[a][l] + distance[2 * b + a][l];
            float from_1 = metric[2 + a][l] + distance[2 * (b ^ 1) + a][l];
            int survivor = from_1 < from_0;
            next[state][l] = survivor ? from_1 : from_0;
            bits[l] |= (uint8_t)(survivor << (4 + state));
        }
    }
    for (int state = 0; state < VSB_STATES; state++) {
        for (int l = 0; l < VSB_LANES; l++) {
            metric[state][l] = next[state][l];
        }
    }
    for (int l = 0; l < VSB_LANES; l++) {
        decision[l] = bits[l];
    }
}

/* Keeps the metrics small: a common amount per lane decides nothing. */
static void normalise(float (*metric)[VSB_LANES])
{
    for (int l = 0; l < VSB_LANES; l++) {
        float first = metric[0][l];
        for (int state = 0; state < VSB_STATES; state++) {
            metric[state][l] -= first;
        }
    }
}

/* Follows the survivors of a lane back, writing 2 Z2 + Z1, then undoes the precoder forwards. */
static void trace_back(const uint8_t *decisions, int lane, int steps, int state, uint8_t *decided)
{
    for (int step = steps - 1; step >= 0; step--) {
        uint8_t bits = decisions[(size_t)step * VSB_LANES + (size_t)lane];
        int a_before = bits >> (4 + state) & 1, z0 = state >> 1;
        int z1 = (state & 1) ^ a_before;
        int z2 = bits >> (2 * z1 + z0) & 1;
        decided[(size_t)step * VSB_LANES + (size_t)lane] = (uint8_t)(2 * z2 + z1);
        state = 2 * a_before + z0;
    }
    int before = 0;
    for (int step = 0; step < steps; step++) {
        uint8_t *x = &decided[(size_t)step * VSB_LANES + (size_t)lane];
        int z2 = *x >> 1;
        *x = (uint8_t)(2 * (z2 ^ before) + (*x & 1));
        before = z2;
    }
}

void vsb_viterbi_decode(struct vsb_viterbi *viterbi, const float *received, int steps,
                        uint8_t *decided)
{
    float metric[VSB_STATES][VSB_LANES] = {{0}};
    for (int state = 1; state < VSB_STATES; state++) {
        for (int l = 0; l < VSB_LANES; l++) {
            metric[state][l] = 1e6f; /* all start from rest */
        }
    }
    for (int step = 0; step < steps; step++) {
        step_forward(metric, received + (size_t)step * VSB_LANES,
                     viterbi->decisions + (size_t)step * VSB_LANES);
        if (step % NORMALISE_STEPS == NORMALISE_STEPS - 1) {
            normalise(metric);
        }
    }
    for (int l = 0; l < VSB_LANES; l++) {
        int best = 0;
        for (int state = 1; state < VSB_STATES; state++) {
            best = metric[state][l] < metric[best][l] ? state : best;
        }
        trace_back(viterbi->decisions, l, steps, best, decided);
    }
}
