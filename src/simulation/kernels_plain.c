/* Plain C with the compilers' own vectors, of four floats: SSE2 or NEON where there is such, else
 * one by one. */
#include "simulation/kernels.h"

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

#include "simulation/kernels_body.h"
