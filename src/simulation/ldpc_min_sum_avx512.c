/* The min-sum decoder with AVX-512: six registers of 60 lanes, rotated by a byte permutation. */
#include "simulation/ldpc_kernel.h"

#if defined(__x86_64__)

#include <immintrin.h>

enum { VECTORS = 6, LANES = 60, SLOT_BYTES = 64, ROTATION_BYTES = 1 };
#define FAR 127
#define ALL_LANES ((1ULL << LANES) - 1)

typedef int8_t element;
typedef __m512i vec;

/* From element k on: the permutation that turns a register by k. */
#define UP_TO_60(x)                                                                               \
    x + 0, x + 1, x + 2, x + 3, x + 4, x + 5, x + 6, x + 7, x + 8, x + 9, x + 10, x + 11, x + 12, \
        x + 13, x + 14, x + 15, x + 16, x + 17, x + 18, x + 19
static const uint8_t turning[128] = {
    UP_TO_60(0),
    UP_TO_60(20),
    UP_TO_60(40),
    UP_TO_60(0),
    UP_TO_60(20),
    UP_TO_60(40),
    0,
    1,
    2,
    3,
    4,
    5,
    6,
    7,
};

static inline bool is_negative(element value)
{
    return value < 0;
}

static inline vec slot_read(const unsigned char *slot)
{
    return _mm512_load_si512(slot);
}

static inline vec slot_read_turned(const unsigned char *slot, unsigned rotation)
{
    return _mm512_permutexvar_epi8(_mm512_loadu_si512(turning + rotation), slot_read(slot));
}

static inline void slot_write(unsigned char *slot, vec value)
{
    _mm512_store_si512(slot, value);
}

static inline vec vec_splat(int value)
{
    return _mm512_set1_epi8((char)value);
}

static inline vec vec_add(vec a, vec b)
{
    return _mm512_adds_epi8(a, b);
}

static inline vec vec_sub(vec a, vec b)
{
    return _mm512_subs_epi8(a, b);
}

static inline vec vec_xor(vec a, vec b)
{
    return _mm512_xor_si512(a, b);
}

static inline bool vec_any_negative(vec value, int skip)
{
    return (_mm512_movepi8_mask(value) & ALL_LANES) >> skip;
}

static inline vec vec_size(vec value)
{
    return _mm512_abs_epi8(value);
}

static inline vec vec_smaller(vec a, vec b)
{
    return _mm512_min_epu8(a, b);
}

static inline vec vec_larger(vec a, vec b)
{
    return _mm512_max_epu8(a, b);
}

static inline vec vec_less_offset(vec value, vec offset)
{
    return _mm512_subs_epu8(value, offset);
}

static inline vec vec_signed_like(vec size, vec sign)
{
    return _mm512_mask_sub_epi8(size, _mm512_movepi8_mask(sign), _mm512_setzero_si512(), size);
}

static inline vec vec_choose(vec q, vec least, vec other, vec second)
{
    return _mm512_mask_mov_epi8(other, _mm512_cmpeq_epi8_mask(vec_size(q), least), second);
}

#include "simulation/ldpc_layers.h"

#include "simulation/ldpc_min_sum_rows.h"

const struct ldpc_kernel ldpc_min_sum_avx512 = {
    .layout = {.vectors = VECTORS,
               .lanes = LANES,
               .slot_bytes = SLOT_BYTES,
               .rotation_bytes = ROTATION_BYTES},
    .element_bytes = sizeof(element),
    .register_bytes = sizeof(vec),
    .load = load,
    .iterate = iterate,
    .check = check,
    .store = store,
};

#endif
