#ifndef SIMULATION_LDPC_PREPARE_H
#define SIMULATION_LDPC_PREPARE_H

#include <stdint.h>
#include <string.h>

#include "simulation/ldpc/decoder.h"

/* To steps of one byte or two: loops, compiled for each kind of vector instructions, that give the
 * same with all of them. Adding 1.5 * 2^23 rounds to the nearest whole number, ties to even, and
 * leaves it in the low bits; a NaN's low bits are 0. */
static inline void quantise_steps(const float *restrict llr, int8_t *restrict steps, int count)
{
    const float rounder = 12582912.0F, limit = LDPC_CHANNEL_LIMIT;
    for (int i = 0; i < count; i++) {
        float scaled = llr[i] * LDPC_STEPS;
        float limited = scaled > limit ? limit : scaled;
        limited = limited < -limit ? -limit : limited;
        float rounded = limited + rounder;
        uint32_t pattern;
        memcpy(&pattern, &rounded, sizeof pattern);
        steps[i] = (int8_t)(uint8_t)pattern;
    }
}

static inline void quantise_words(const float *restrict llr, int16_t *restrict steps, int count,
                                  float scale, float limit)
{
    const float rounder = 12582912.0F;
    for (int i = 0; i < count; i++) {
        float scaled = llr[i] * scale;
        float limited = scaled > limit ? limit : scaled;
        limited = limited < -limit ? -limit : limited;
        float rounded = limited + rounder;
        uint32_t pattern;
        memcpy(&pattern, &rounded, sizeof pattern);
        steps[i] = (int16_t)(uint16_t)pattern;
    }
}

#endif
