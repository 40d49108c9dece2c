/* The box-plus decoder with AVX-512: twelve registers of 30 lanes of 32, rotated by a permutation.
 */
#include "simulation/ldpc/kernel.h"

#if defined(__x86_64__)

#include <immintrin.h>

#define KERNEL ldpc_box_plus_avx512
enum { VECTORS = 12, LANES = 30, SLOT_BYTES = 64 };
#define ALL_LANES ((1U << LANES) - 1)

typedef __m512i vec;

/* From element k on: the permutation that turns a register by k. */
#define TEN_FROM(x) x + 0, x + 1, x + 2, x + 3, x + 4, x + 5, x + 6, x + 7, x + 8, x + 9
static const uint16_t turning[2 * LANES + 2] = {
    TEN_FROM(0), TEN_FROM(10), TEN_FROM(20), TEN_FROM(0), TEN_FROM(10), TEN_FROM(20), 0, 1,
};

static inline vec slot_read(const unsigned char *slot)
{
    return _mm512_load_si512(slot);
}

static inline vec slot_read_turned(const unsigned char *slot, unsigned rotation)
{
    vec turn = _mm512_loadu_si512((const unsigned char *)turning + rotation);
    return _mm512_permutexvar_epi16(turn, slot_read(slot));
}

static inline void slot_write(unsigned char *slot, vec value)
{
    _mm512_store_si512(slot, value);
}

static inline vec vec_splat(int value)
{
    return _mm512_set1_epi16((short)value);
}

static inline vec vec_add(vec a, vec b)
{
    return _mm512_adds_epi16(a, b);
}

static inline vec vec_sub(vec a, vec b)
{
    return _mm512_subs_epi16(a, b);
}

static inline vec vec_plus(vec a, vec b)
{
    return _mm512_add_epi16(a, b);
}

static inline vec vec_minus(vec a, vec b)
{
    return _mm512_sub_epi16(a, b);
}

static inline vec vec_xor(vec a, vec b)
{
    return _mm512_xor_si512(a, b);
}

static inline vec vec_smaller(vec a, vec b)
{
    return _mm512_min_epu16(a, b);
}

static inline vec vec_larger(vec a, vec b)
{
    return _mm512_max_epu16(a, b);
}

static inline vec vec_less(vec a, vec b)
{
    return _mm512_subs_epu16(a, b);
}

static inline vec vec_up_3(vec value)
{
    return _mm512_slli_epi16(value, 3);
}

static inline vec vec_times(vec a, vec b)
{
    return _mm512_mulhi_epu16(a, b);
}

static inline vec vec_size(vec value)
{
    return _mm512_abs_epi16(value);
}

static inline bool vec_any_negative(vec value, int skip)
{
    return (_mm512_movepi16_mask(value) & ALL_LANES) >> skip;
}

static inline vec vec_signed_like(vec size, vec sign)
{
    return _mm512_mask_sub_epi16(size, _mm512_movepi16_mask(sign), _mm512_setzero_si512(), size);
}

static inline vec vec_choose(vec q, vec least, vec other, vec own)
{
    return _mm512_mask_mov_epi16(other, _mm512_cmpeq_epi16_mask(vec_size(q), least), own);
}

#include "simulation/ldpc/box_plus_rows.h"

#endif
