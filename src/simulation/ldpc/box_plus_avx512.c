/* The box-plus decoder with AVX-512: twelve registers of 30 lanes of 32. */
#include "simulation/ldpc/kernel.h"
#include "simulation/ldpc/softness.h"

#if defined(__x86_64__)

#include "simulation/ldpc/slots_avx512.h"

#define KERNEL ldpc_box_plus_avx512
enum { VECTORS = 12, LANES = 30, ROTATION_BYTES = 2 * ROW_BYTES, SIGNS_AT_ONCE = 2 };
#define VEC_SETTLE(value) __asm__("" : "+v"(value))
#define ALL_LANES ((1U << LANES) - 1)

typedef vec sizes;

static inline vec vec_splat(int value)
{
    return _mm512_set1_epi16((short)value);
}

static inline vec vec_add(vec a, vec b)
{
    return _mm512_add_epi16(a, b);
}

static inline vec vec_sub(vec a, vec b)
{
    return _mm512_sub_epi16(a, b);
}

static inline vec vec_xor(vec a, vec b)
{
    return _mm512_xor_si512(a, b);
}

static inline bool vec_any_negative(vec value, int skip)
{
    return (_mm512_movepi16_mask(value) & ALL_LANES) >> skip;
}

static inline vec vec_signed_like(vec size, vec sign)
{
    __mmask32 minus = _mm512_test_epi16_mask(sign, vec_splat(-32768));
    return _mm512_mask_sub_epi16(size, minus, _mm512_setzero_si512(), size);
}

static inline sizes sizes_splat(int value)
{
    return _mm512_set1_epi8((char)value);
}

/* Packing takes the quarters of registers by turns, and taking them apart undoes it. */
static inline sizes sizes_of(const vec q[2])
{
    return _mm512_packus_epi16(_mm512_abs_epi16(q[0]), _mm512_abs_epi16(q[1]));
}

static inline vec sizes_part(sizes all, int part)
{
    return part ? _mm512_unpackhi_epi8(all, _mm512_setzero_si512())
                : _mm512_unpacklo_epi8(all, _mm512_setzero_si512());
}

static inline sizes sizes_smaller(sizes a, sizes b)
{
    return _mm512_min_epu8(a, b);
}

static inline sizes sizes_larger(sizes a, sizes b)
{
    return _mm512_max_epu8(a, b);
}

static inline sizes sizes_plus(sizes a, sizes b)
{
    return _mm512_add_epi8(a, b);
}

static inline sizes sizes_minus(sizes a, sizes b)
{
    return _mm512_sub_epi8(a, b);
}

static inline sizes sizes_more(sizes a, sizes b)
{
    return _mm512_adds_epu8(a, b);
}

static inline sizes sizes_less(sizes a, sizes b)
{
    return _mm512_subs_epu8(a, b);
}

static inline sizes sizes_choose(sizes size, sizes least, sizes other, sizes own)
{
    return _mm512_mask_mov_epi8(other, _mm512_cmpeq_epi8_mask(size, least), own);
}

static inline sizes sizes_soft(sizes x)
{
#define TWICE(value) value, value
    static const uint8_t table[64] = {SOFTNESS_AT_0, SOFTNESS(TWICE), SOFTNESS_LAST};
    return _mm512_permutexvar_epi8(_mm512_min_epu8(x, sizes_splat(63)), _mm512_loadu_si512(table));
}

static inline sizes sizes_soft_sum(sizes a, sizes b)
{
    return sizes_soft(sizes_more(a, b));
}

#include "simulation/ldpc/box_plus_rows.h"

#endif
