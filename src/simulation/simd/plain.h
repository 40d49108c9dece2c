#ifndef SIMULATION_SIMD_PLAIN_H
#define SIMULATION_SIMD_PLAIN_H

/* The words of words.h with the compilers' own vectors, of four floats: SSE2 or NEON where there is
 * such, else one by one. */

#include <math.h>

enum { VEC_LANES = 4 };
typedef float vec __attribute__((vector_size(16)));

#include "simulation/simd/words.h"

/* Rounded once, to a float of normal size, also where no instruction does so: a double holds the
 * product whole, and rounding the double sum again to a float can differ only where the sum lies
 * halfway between two floats, once in 10^8. That is left to the C library. */
static inline vec vec_fused(vec a, vec b, vec c)
{
#if !defined(__FP_FAST_FMAF)
    typedef double wide __attribute__((vector_size(32)));
    typedef uint64_t wide_bits __attribute__((vector_size(32)));
    wide sum = __builtin_convertvector(a, wide) * __builtin_convertvector(b, wide) +
               __builtin_convertvector(c, wide);
    vec_bits below = __builtin_convertvector((wide_bits)sum, vec_bits) & 0x1FFFFFFFU;
    vec_bits halfway = (vec_bits)(below == 0x10000000U);
    if (__builtin_expect((halfway[0] | halfway[1] | halfway[2] | halfway[3]) == 0, 1)) {
        return __builtin_convertvector(sum, vec);
    }
#endif
    return (vec){fmaf(a[0], b[0], c[0]), fmaf(a[1], b[1], c[1]), fmaf(a[2], b[2], c[2]),
                 fmaf(a[3], b[3], c[3])};
}

static inline vec vec_and(vec a, vec b)
{
    return (vec)((vec_bits)a & (vec_bits)b);
}

static inline vec vec_or(vec a, vec b)
{
    return (vec)((vec_bits)a | (vec_bits)b);
}

static inline vec vec_xor(vec a, vec b)
{
    return (vec)((vec_bits)a ^ (vec_bits)b);
}

static inline vec vec_larger(vec a, vec b)
{
    for (int i = 0; i < VEC_LANES; i++) {
        a[i] = a[i] > b[i] ? a[i] : b[i];
    }
    return a;
}

static inline vec vec_size_within(vec value, vec limit)
{
    value = vec_size(value);
    for (int i = 0; i < VEC_LANES; i++) {
        value[i] = value[i] < limit[i] ? value[i] : limit[i];
    }
    return value;
}

static inline unsigned vec_signs(vec value)
{
    vec_bits signs = (vec_bits)value >> 31;
    return signs[0] | signs[1] << 1 | signs[2] << 2 | signs[3] << 3;
}

#define VEC_PICK(e) (e)

static inline vec vec_picked(vec value, const void *picks)
{
    float from[VEC_LANES];
    uint32_t i[VEC_LANES];
    vec_store(from, value);
    memcpy(i, picks, sizeof i);
    return (vec){from[i[0]], from[i[1]], from[i[2]], from[i[3]]};
}

static inline vec bits_look_up(const uint32_t *table, vec index)
{
    vec_bits i = (vec_bits)index & 15u;
    return (vec)(vec_bits){table[i[0]], table[i[1]], table[i[2]], table[i[3]]};
}

#endif
