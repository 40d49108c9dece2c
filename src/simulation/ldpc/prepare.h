#ifndef SIMULATION_LDPC_PREPARE_H
#define SIMULATION_LDPC_PREPARE_H

#include <stdint.h>
#include <string.h>

#include "simulation/ldpc/decoder.h"

/* To steps of one byte or two: loops, compiled for each kind of vector instructions, that give the
 * same with all of them. Adding 1.5 * 2^23 rounds to the nearest whole number, ties to even, and
 * leaves it in the low bits of the sum's pattern. Patterns are limited rather than ratios: read as
 * whole numbers they keep the order of the sums, infinite and negative ones too, and compilers know
 * instructions for that where they must mind a NaN otherwise. A NaN counts as 0. */
static inline int32_t step_pattern(float ratio, float scale, int32_t limit)
{
    const float rounder = 12582912.0F;
    const int32_t middle = 0x4B400000; /* the rounder's pattern */
    float scaled = ratio * scale, rounded = (scaled == scaled ? scaled : 0) + rounder;
    int32_t pattern;
    memcpy(&pattern, &rounded, sizeof pattern);
    pattern = pattern > middle + limit ? middle + limit : pattern;
    return pattern < middle - limit ? middle - limit : pattern;
}

static inline void quantise_steps(const float *restrict llr, int8_t *restrict steps, int count)
{
    for (int i = 0; i < count; i++) {
        int32_t pattern = step_pattern(llr[i], LDPC_STEPS, LDPC_CHANNEL_LIMIT);
        steps[i] = (int8_t)(uint8_t)pattern;
    }
}

static inline void quantise_words(const float *restrict llr, int16_t *restrict steps, int count,
                                  float scale, int32_t limit)
{
    for (int i = 0; i < count; i++) {
        steps[i] = (int16_t)(uint16_t)step_pattern(llr[i], scale, limit);
    }
}

#endif
