/* The box-plus decoder with the compilers' own vectors: 45 registers of eight lanes, SSE2 or NEON
 * where there is such. A slot holds its lanes twice, and reading from element k on rotates. */
#include <string.h>

#include "simulation/ldpc/kernel.h"

#define KERNEL ldpc_box_plus_plain
enum { VECTORS = 45, LANES = 8, SLOT_BYTES = 32 };

typedef int16_t vec __attribute__((vector_size(2 * LANES)));
typedef uint16_t sizes __attribute__((vector_size(2 * LANES)));
typedef uint32_t wide __attribute__((vector_size(4 * LANES)));

/* Where every bit of `choice` is set the one, where none is the other. */
static inline vec either(vec choice, vec one, vec other)
{
    return (choice & one) | (~choice & other);
}

static inline vec slot_read(const unsigned char *slot)
{
    return *(const vec *)(const void *)slot;
}

static inline vec slot_read_turned(const unsigned char *slot, unsigned rotation)
{
    vec turned;
    memcpy(&turned, slot + rotation, sizeof turned);
    return turned;
}

static inline void slot_write(unsigned char *slot, vec value)
{
    memcpy(slot, &value, sizeof value);
    memcpy(slot + sizeof value, &value, sizeof value);
}

static inline vec vec_splat(int value)
{
    return (int16_t)value - (vec){0};
}

static inline vec vec_plus(vec a, vec b)
{
    return (vec)((sizes)a + (sizes)b);
}

static inline vec vec_minus(vec a, vec b)
{
    return (vec)((sizes)a - (sizes)b);
}

/* Where the sum leaves the range, both have one sign and the sum the other. */
static inline vec vec_add(vec a, vec b)
{
    vec sum = vec_plus(a, b), end = (a >> 15) ^ 32767;
    return either(((sum ^ a) & (sum ^ b)) >> 15, end, sum);
}

static inline vec vec_sub(vec a, vec b)
{
    vec difference = vec_minus(a, b), end = (a >> 15) ^ 32767;
    return either(((a ^ b) & (difference ^ a)) >> 15, end, difference);
}

static inline vec vec_xor(vec a, vec b)
{
    return a ^ b;
}

static inline vec vec_smaller(vec a, vec b)
{
    return either((vec)((sizes)a < (sizes)b), a, b);
}

static inline vec vec_larger(vec a, vec b)
{
    return either((vec)((sizes)a > (sizes)b), a, b);
}

static inline vec vec_less(vec a, vec b)
{
    return (vec)((sizes)a > (sizes)b) & vec_minus(a, b);
}

static inline vec vec_up_3(vec value)
{
    return (vec)((sizes)value << 3);
}

static inline vec vec_times(vec a, vec b)
{
    wide product =
        __builtin_convertvector((sizes)a, wide) * __builtin_convertvector((sizes)b, wide);
    return (vec) __builtin_convertvector(product >> 16, sizes);
}

static inline vec vec_signed_like(vec size, vec sign)
{
    vec minus = sign < 0;
    return vec_minus(size ^ minus, minus);
}

static inline vec vec_size(vec value)
{
    return vec_signed_like(value, value);
}

static inline bool vec_any_negative(vec value, int skip)
{
    int any = 0;
    for (int e = skip; e < LANES; e++) {
        any |= value[e] < 0;
    }
    return any;
}

static inline vec vec_choose(vec q, vec least, vec other, vec own)
{
    return either((vec)(vec_size(q) == least), own, other);
}

#include "simulation/ldpc/box_plus_rows.h"
