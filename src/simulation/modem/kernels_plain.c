/* Plain C with the compilers' own vectors, of four floats: SSE2 or NEON where there is such, else
 * one by one. */
#include "simulation/modem/kernels.h"

#include <stdint.h>
#include <string.h>

#define KERNELS kernels_plain
#define KERNELS_NAME "plain"

#define VEC_LANES 4
typedef float vec __attribute__((vector_size(16)));
typedef uint32_t vec_bits __attribute__((vector_size(16)));

static inline vec vec_load(const float *from)
{
    vec value;
    memcpy(&value, from, sizeof value);
    return value;
}

static inline void vec_store(float *to, vec value)
{
    memcpy(to, &value, sizeof value);
}

static inline vec vec_splat(float value)
{
    return (vec){value, value, value, value};
}

static inline vec vec_add(vec a, vec b)
{
    return a + b;
}

static inline vec vec_sub(vec a, vec b)
{
    return a - b;
}

static inline vec vec_times(vec a, vec b)
{
    return a * b;
}

#if defined(__FP_FAST_FMAF)
static inline vec vec_fused(vec a, vec b, vec c)
{
    return (vec){__builtin_fmaf(a[0], b[0], c[0]), __builtin_fmaf(a[1], b[1], c[1]),
                 __builtin_fmaf(a[2], b[2], c[2]), __builtin_fmaf(a[3], b[3], c[3])};
}
#else
typedef double wide __attribute__((vector_size(32)));
typedef uint64_t wide_bits __attribute__((vector_size(32)));

/* Rounded once, as processors with such an instruction do. A double holds the product whole; the
 * sum's rounding error e is exact (D. Knuth's two-sum). Where there is one, the last bit of the
 * sum is made odd, towards e: so rounded, it never lies halfway between two floats, and rounding
 * again to a float gives what rounding once would have (S. Boldo and G. Melquiond, "Emulation of
 * FMA and correctly rounded sums", IEEE Trans. Computers 57, 2008). */
static inline vec vec_fused(vec a, vec b, vec c)
{
    wide product = __builtin_convertvector(a, wide) * __builtin_convertvector(b, wide);
    wide addend = __builtin_convertvector(c, wide), sum = product + addend;
    wide of_addend = sum - product;
    wide e = (product - (sum - of_addend)) + (addend - of_addend);
    wide_bits bits = (wide_bits)sum, inexact = (wide_bits)(e != 0.0);
    wide_bits even = (bits & 1u) - 1u, apart = ((wide_bits)e ^ bits) >> 63;
    bits += (1u - 2u * apart) & inexact & even;
    return __builtin_convertvector((wide)bits, vec);
}
#endif

static inline vec vec_larger(vec a, vec b)
{
    float x[VEC_LANES], y[VEC_LANES];
    vec_store(x, a);
    vec_store(y, b);
    for (int i = 0; i < VEC_LANES; i++) {
        x[i] = x[i] > y[i] ? x[i] : y[i];
    }
    return vec_load(x);
}

static inline vec vec_size(vec value)
{
    return (vec)((vec_bits)value & 0x7FFFFFFFu);
}

static inline vec vec_turned(vec value, vec sign)
{
    return (vec)((vec_bits)value ^ ((vec_bits)sign & 0x80000000u));
}

static inline vec bits_plus(vec a, vec b)
{
    return (vec)((vec_bits)a + (vec_bits)b);
}

static inline vec bits_up_19(vec value)
{
    return (vec)((vec_bits)value << 19);
}

static inline vec bits_look_up(const uint32_t *table, vec index)
{
    vec_bits i = (vec_bits)index & 15u;
    return (vec)(vec_bits){table[i[0]], table[i[1]], table[i[2]], table[i[3]]};
}

#include "simulation/modem/kernels_body.h"
