/* Encoder and Viterbi decoder. State: the last six bits, the newest as the most significant. From
 * state s the bit b leads to b << 5 | s >> 1, so states 2 k and 2 k + 1 both lead to k and k + 32;
 * of the two, the path with the larger sum of ratios stays. Both generators have their first and
 * last tap set, so that the four branches of such a butterfly carry one pair of bits and its
 * complement. Metrics are kept small by taking off the first state's. */
#include "simulation/dvbt/viterbi.h"

#include <string.h>

#define HALF (DVBT_STATES / 2)
#define STEPS_PER_CLEARING 64

static unsigned parity_of(unsigned word)
{
    word ^= word >> 4;
    word ^= word >> 2;
    return (word ^ word >> 1) & 1u;
}

/* Of the register, the newest bit first. */
static unsigned x_of(unsigned reg)
{
    return parity_of(reg & DVBT_X_OCTAL);
}

static unsigned y_of(unsigned reg)
{
    return parity_of(reg & DVBT_Y_OCTAL);
}

int viterbi_encode(enum dvbt_rate rate, const uint8_t *bits, int count, uint8_t *coded)
{
    struct dvbt_puncture puncture = dvbt_puncture(rate);
    unsigned state = 0;
    int sent = 0;
    for (int i = 0; i < count; i++) {
        unsigned reg = (unsigned)bits[i] << 6 | state;
        int step = i % puncture.period;
        if (puncture.x >> step & 1) {
            coded[sent++] = (uint8_t)x_of(reg);
        }
        if (puncture.y >> step & 1) {
            coded[sent++] = (uint8_t)y_of(reg);
        }
        state = reg >> 1;
    }
    return sent;
}

/* Signs of the branch from state 2 k by bit 0, +1 for a coded 0. */
struct branches {
    float x[HALF], y[HALF];
};

static void fill_branches(struct branches *branches)
{
    for (unsigned k = 0; k < HALF; k++) {
        branches->x[k] = x_of(2 * k) ? -1.0f : 1.0f;
        branches->y[k] = y_of(2 * k) ? -1.0f : 1.0f;
    }
}

/* One step of all states; returns which of the two states before each came from: bit k. */
static uint64_t advance(const struct branches *branches, float x, float y, const float *before,
                        float *after)
{
    uint8_t chosen[DVBT_STATES];
    for (int k = 0; k < HALF; k++) {
        float branch = x * branches->x[k] + y * branches->y[k];
        float even = before[2 * k], odd = before[2 * k + 1];
        float low_even = even + branch, low_odd = odd - branch;
        float high_even = even - branch, high_odd = odd + branch;
        chosen[k] = low_odd > low_even;
        chosen[k + HALF] = high_odd > high_even;
        after[k] = low_odd > low_even ? low_odd : low_even;
        after[k + HALF] = high_odd > high_even ? high_odd : high_even;
    }
    uint64_t decisions = 0;
    for (int k = 0; k < DVBT_STATES; k += 8) { /* eight bytes of 0 and 1 to eight bits */
        uint64_t bytes;
        memcpy(&bytes, chosen + k, sizeof bytes);
        decisions |= (bytes * 0x0102040810204080u >> 56) << k;
    }
    return decisions;
}

static void clear_common(float *metrics)
{
    float common = metrics[0];
    for (int k = 0; k < DVBT_STATES; k++) {
        metrics[k] -= common;
    }
}

void viterbi_decode(enum dvbt_rate rate, const float *ratios, int count, uint64_t *decisions,
                    uint8_t *bits)
{
    struct dvbt_puncture puncture = dvbt_puncture(rate);
    struct branches branches;
    float metrics[2][DVBT_STATES];
    int taken = 0, best = 0;
    fill_branches(&branches);
    for (int k = 0; k < DVBT_STATES; k++) {
        metrics[0][k] = k == 0 ? 0.0f : -1e6f;
    }
    for (int i = 0; i < count; i++) {
        int step = i % puncture.period;
        float x = puncture.x >> step & 1 ? ratios[taken++] : 0.0f;
        float y = puncture.y >> step & 1 ? ratios[taken++] : 0.0f;
        float *after = metrics[(i + 1) % 2];
        decisions[i] = advance(&branches, x, y, metrics[i % 2], after);
        if (i % STEPS_PER_CLEARING == 0) {
            clear_common(after);
        }
    }
    for (int k = 1; k < DVBT_STATES; k++) {
        best = metrics[count % 2][k] > metrics[count % 2][best] ? k : best;
    }
    for (int i = count - 1; i >= 0; i--) {
        bits[i] = (uint8_t)(best >> 5);
        best = (best % HALF) << 1 | (int)(decisions[i] >> best & 1u);
    }
}
