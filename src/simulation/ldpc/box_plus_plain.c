/* The box-plus decoder with the compilers' own vectors: 60 registers of 6 lanes of 8, SSE2 or NEON
 * where there is such. A slot holds its lanes twice, and reading from element k on rotates. */
#include <string.h>

#include "simulation/ldpc/kernel.h"
#include "simulation/ldpc/softness.h"

#define KERNEL ldpc_box_plus_plain
/* Without a table in a register a boxed sum takes so long that loops of their own gain nothing, and
 * compilers a minute to make them. */
#define ONE_LOOP
enum { VECTORS = 60, LANES = 6, SLOT_BYTES = 32, ROTATION_BYTES = 2, WORDS = 8, SIGNS_AT_ONCE = 1 };
#define VEC_SETTLE(value) ((void)(value))

typedef int16_t vec __attribute__((vector_size(2 * WORDS)));
typedef uint16_t words __attribute__((vector_size(2 * WORDS)));
typedef uint8_t sizes __attribute__((vector_size(2 * WORDS)));
typedef int8_t bytes __attribute__((vector_size(2 * WORDS)));
typedef uint8_t half __attribute__((vector_size(WORDS)));

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
    memcpy(slot + LANES * sizeof(int16_t), &value, sizeof value);
}

static inline vec vec_splat(int value)
{
    return (int16_t)value - (vec){0};
}

static inline vec vec_add(vec a, vec b)
{
    return (vec)((words)a + (words)b);
}

static inline vec vec_sub(vec a, vec b)
{
    return (vec)((words)a - (words)b);
}

static inline vec vec_xor(vec a, vec b)
{
    return a ^ b;
}

static inline vec vec_signed_like(vec size, vec sign)
{
    vec minus = sign < 0;
    return vec_sub(size ^ minus, minus);
}

static inline bool vec_any_negative(vec value, int skip)
{
    int any = 0;
    for (int e = skip; e < LANES; e++) {
        any |= value[e] < 0;
    }
    return any;
}

/* Where every bit of `choice` is set the one, where none is the other. */
static inline sizes sizes_either(sizes choice, sizes one, sizes other)
{
    return (choice & one) | (~choice & other);
}

static inline sizes sizes_splat(int value)
{
    return (uint8_t)value - (sizes){0};
}

static inline half half_of(vec q)
{
    words size = (words)vec_signed_like(q, q), large = (words)(size > 255);
    return __builtin_convertvector((size | large) & 255, half);
}

static inline sizes sizes_of(const vec q[2])
{
    half halves[2] = {half_of(q[0]), half_of(q[1])};
    sizes all;
    memcpy(&all, halves, sizeof all);
    return all;
}

static inline vec sizes_part(sizes all, int part)
{
    half halves[2];
    memcpy(halves, &all, sizeof all);
    return __builtin_convertvector(halves[part], vec);
}

static inline sizes sizes_smaller(sizes a, sizes b)
{
    return sizes_either((sizes)(a < b), a, b);
}

static inline sizes sizes_larger(sizes a, sizes b)
{
    return sizes_either((sizes)(a > b), a, b);
}

static inline sizes sizes_plus(sizes a, sizes b)
{
    return a + b;
}

static inline sizes sizes_minus(sizes a, sizes b)
{
    return a - b;
}

static inline sizes sizes_more(sizes a, sizes b)
{
    sizes sum = a + b;
    return sum | (sizes)(sum < a);
}

static inline sizes sizes_less(sizes a, sizes b)
{
    return (sizes)(a > b) & (a - b);
}

static inline sizes sizes_choose(sizes size, sizes least, sizes other, sizes own)
{
    return sizes_either((sizes)(size == least), own, other);
}

/* How many of the places where it falls by a step are not yet behind: a loop over a table would
 * take the registers apart. */
static inline sizes sizes_soft(sizes x)
{
    static const int8_t last[] = {SOFTNESS_FALLS};
    bytes within = (bytes)sizes_smaller(x, sizes_splat(63));
    sizes soft = sizes_splat(0);
    for (size_t i = 0; i < sizeof last; i++) {
        soft -= (sizes)(within <= last[i] - (bytes){0});
    }
    return soft;
}

static inline sizes sizes_soft_sum(sizes a, sizes b)
{
    return sizes_soft(sizes_more(a, b));
}

#include "simulation/ldpc/box_plus_rows.h"
