#ifndef SIMULATION_SIMD_AVX512_H
#define SIMULATION_SIMD_AVX512_H

/* The words of words.h with AVX-512 (F, DQ), sixteen floats at a time. */
#include <immintrin.h>

enum { VEC_LANES = 16 };
typedef __m512 vec;

#include "simulation/simd/words.h"

static inline vec vec_fused(vec a, vec b, vec c)
{
    return _mm512_fmadd_ps(a, b, c);
}

static inline vec vec_and(vec a, vec b)
{
    return _mm512_and_ps(a, b);
}

static inline vec vec_or(vec a, vec b)
{
    return _mm512_or_ps(a, b);
}

static inline vec vec_xor(vec a, vec b)
{
    return _mm512_xor_ps(a, b);
}

static inline vec vec_larger(vec a, vec b)
{
    return _mm512_max_ps(a, b);
}

/* One instruction: selects the value of smaller size and clears its sign. */
static inline vec vec_size_within(vec value, vec limit)
{
    return _mm512_range_ps(value, limit, 0x0A);
}

static inline unsigned vec_signs(vec value)
{
    return (unsigned)_mm512_movepi32_mask(_mm512_castps_si512(value));
}

#define VEC_PICK(e) (e)

static inline vec vec_picked(vec value, const void *picks)
{
    return _mm512_permutexvar_ps(_mm512_loadu_si512(picks), value);
}

static inline vec bits_look_up(const uint32_t *table, vec index)
{
    return _mm512_permutexvar_ps(_mm512_castps_si512(index), vec_load(table));
}

#endif
