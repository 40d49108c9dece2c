#ifndef SIMULATION_SIMD_AVX2_H
#define SIMULATION_SIMD_AVX2_H

/* The words of words.h with AVX2 and FMA, eight floats at a time. */
#include <immintrin.h>

enum { VEC_LANES = 8 };
typedef __m256 vec;

#include "simulation/simd/words.h"

static inline vec vec_fused(vec a, vec b, vec c)
{
    return _mm256_fmadd_ps(a, b, c);
}

static inline vec vec_and(vec a, vec b)
{
    return _mm256_and_ps(a, b);
}

static inline vec vec_or(vec a, vec b)
{
    return _mm256_or_ps(a, b);
}

static inline vec vec_xor(vec a, vec b)
{
    return _mm256_xor_ps(a, b);
}

static inline vec vec_larger(vec a, vec b)
{
    return _mm256_max_ps(a, b);
}

static inline vec vec_size_within(vec value, vec limit)
{
    return _mm256_min_ps(vec_size(value), limit);
}

static inline unsigned vec_signs(vec value)
{
    return (unsigned)_mm256_movemask_ps(value);
}

#define VEC_PICK(e) (e)

static inline vec vec_picked(vec value, const void *picks)
{
    return _mm256_permutevar8x32_ps(value, _mm256_loadu_si256(picks));
}

/* AVX2 looks up 8: the fourth bit, brought to the sign's place, chooses between two. */
static inline vec bits_look_up(const uint32_t *table, vec index)
{
    __m256i i = _mm256_castps_si256(index);
    vec low = _mm256_permutevar8x32_ps(vec_load(table), i);
    vec high = _mm256_permutevar8x32_ps(vec_load(table + 8), i);
    return _mm256_blendv_ps(low, high, bits_up(index, 28));
}

#endif
