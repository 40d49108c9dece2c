/* The words that hot loops of floats are written in, whatever the processor. A source file includes
 * plain.h, neon.h, avx2.h or avx512.h, which defines
 *
 *   vec, VEC_LANES           a register of so many floats; + - * / are the compilers' own, each
 *                            rounded by itself (-ffp-contract=off)
 *
 * then includes this file for what compilers say alike for all of them, and adds in its family's
 * instructions
 *
 *   vec_fused(a, b, c)               a b + c, rounded once
 *   vec_and, vec_or, vec_xor         of all bits; where processors compute floats and whole
 *                                    numbers apart, on the floats' side
 *   vec_larger(a, b)                 a where a > b, else b
 *   vec_size_within(value, limit)    the smaller of |value| and limit
 *   vec_signs(value)                 a number whose bit e is the sign bit of element e
 *   vec_picked(value, picks)         element i is the value's element e where picks[i] is
 *                                    VEC_PICK(e)
 *   bits_look_up(table, index)       of 16, by the index's low four bits
 *
 * All families round alike, so that what is written in these words gives the same bits on each. */
#include <stdint.h>
#include <string.h>

static inline vec vec_and(vec a, vec b); /* the family's, soon */

typedef uint32_t vec_bits __attribute__((vector_size(4 * VEC_LANES)));
typedef int32_t vec_numbers __attribute__((vector_size(4 * VEC_LANES)));

typedef vec vec_anywhere __attribute__((aligned(4), may_alias));

/* From and to any float's address. */
static inline vec vec_load(const void *from)
{
    return *(const vec_anywhere *)from;
}

static inline void vec_store(void *to, vec value)
{
    *(vec_anywhere *)to = value;
}

/* Taking off 0 leaves -0 what it is; compilers make it one broadcast. */
static inline vec vec_splat(float value)
{
    return value - (vec){0};
}

static inline vec bits_splat(uint32_t bits)
{
    return (vec)(bits - (vec_bits){0});
}

static inline vec vec_size(vec value)
{
    return vec_and(value, bits_splat(0x7FFFFFFFU));
}

/* The sign bit alone. */
static inline vec vec_sign(vec value)
{
    return vec_and(value, bits_splat(0x80000000U));
}

/* On bits as whole numbers. */
static inline vec bits_plus(vec a, vec b)
{
    return (vec)((vec_bits)a + (vec_bits)b);
}

static inline vec bits_up(vec value, int places)
{
    return (vec)((vec_bits)value << places);
}

/* The bits, less `base`, as a number. */
static inline vec bits_above(vec value, uint32_t base)
{
    return __builtin_convertvector((vec_numbers)((vec_bits)value - base), vec);
}
