/* The min-sum decoder with AVX-512: six registers of 60 lanes. */
#include "simulation/ldpc/kernel.h"

#if defined(__x86_64__)

#include "simulation/ldpc/slots_avx512.h"

#define KERNEL ldpc_min_sum_avx512
enum { VECTORS = 6, LANES = 60, ROTATION_BYTES = ROW_BYTES, PIPELINED = 1 };
#define ALL_LANES ((1ULL << LANES) - 1)
#define VEC_SETTLE(value) __asm__("" : "+v"(value))

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

static inline vec vec_minus(vec a, vec b)
{
    return _mm512_sub_epi8(a, b);
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

/* Of Intel's two ports for wide registers the one has all that saturates, compares sizes or gathers
 * sign bits, and nearly too much to do; testing the sign bits is the other one's. */
static inline vec vec_signed_like(vec size, vec sign)
{
    __mmask64 minus = _mm512_test_epi8_mask(sign, vec_splat(-128));
    return _mm512_mask_sub_epi8(size, minus, _mm512_setzero_si512(), size);
}

static inline vec vec_again(vec q)
{
    return q;
}

/* No |q| is smaller than least, so equal is not larger: -least <= q <= least, asked as
 * 0 <= q + least <= 2 least without sign. That needs no |q| and waits for no sign. */
static inline vec vec_choose(vec q, vec least, vec other, vec second)
{
    vec sum = _mm512_add_epi8(q, least), most = _mm512_add_epi8(least, least);
    return _mm512_mask_mov_epi8(other, _mm512_cmple_epu8_mask(sum, most), second);
}

#define OWN_WAY_IN_AND_OUT
#include "simulation/ldpc/min_sum_rows.h"

/* In natural order lane 6 e + v is byte (6 e + v) mod 64 of one of six registers. A permutation of
 * two registers looks at the index's low 7 bits, so the same index serves all three pairs. */
static void load(struct ldpc_work *work, const void *elements)
{
    uint8_t sixfold[64];
    for (int e = 0; e < 64; e++) {
        sixfold[e] = (uint8_t)(VECTORS * e);
    }
    const vec first = _mm512_loadu_si512(sixfold);
    const __mmask64 tail = (1ULL << (LDPC_LANES - 320)) - 1;
    for (int column = 0; column < work->code->block_columns; column++) {
        const int8_t *from = (const int8_t *)elements + column * LDPC_LANES;
        vec natural[6];
        for (int i = 0; i < 5; i++) {
            natural[i] = _mm512_loadu_si512(from + 64 * i);
        }
        natural[5] = _mm512_maskz_loadu_epi8(tail, from + 320);
        for (int v = 0; v < VECTORS; v++) {
            vec index = _mm512_add_epi8(first, vec_splat(v));
            vec lanes = _mm512_permutex2var_epi8(natural[0], index, natural[1]);
            vec middle = _mm512_permutex2var_epi8(natural[2], index, natural[3]);
            vec last = _mm512_permutex2var_epi8(natural[4], index, natural[5]);
            lanes = _mm512_mask_mov_epi8(lanes, ~0ULL << ((128 - v + 5) / 6), middle);
            lanes = _mm512_mask_mov_epi8(lanes, ~0ULL << ((256 - v + 5) / 6), last);
            int resting = work->schedule.resting[column * VECTORS + v];
            vec turn = _mm512_load_si512(turning[resting]);
            slot_write(column_slot(work, column, v), _mm512_permutexvar_epi8(turn, lanes));
        }
    }
}

static void store(const struct ldpc_work *work, uint8_t *bits)
{
    /* Byte p of natural register i is lane n = 64 i + p: element n div 6 of slot n mod 6. */
    uint8_t index[6][64] = {{0}}, pair[6][64] = {{0}};
    for (int n = 0; n < LDPC_LANES; n++) {
        index[n / 64][n % 64] = (uint8_t)(n / VECTORS + 64 * (n % 2));
        pair[n / 64][n % 64] = (uint8_t)(n % VECTORS / 2);
    }
    const __mmask64 tail = (1ULL << (LDPC_LANES - 320)) - 1;
    for (int column = 0; column < work->code->block_columns; column++) {
        uint8_t *to = bits + column * LDPC_LANES;
        vec upright[VECTORS];
        for (int v = 0; v < VECTORS; v++) {
            unsigned back = LANES - work->schedule.resting[column * VECTORS + v];
            upright[v] =
                slot_read_turned(column_slot(work, column, v), back % LANES * ROTATION_BYTES);
        }
        for (int i = 0; i < 6; i++) {
            vec from = _mm512_loadu_si512(index[i]), which = _mm512_loadu_si512(pair[i]);
            vec natural = _mm512_permutex2var_epi8(upright[0], from, upright[1]);
            vec second = _mm512_permutex2var_epi8(upright[2], from, upright[3]);
            vec third = _mm512_permutex2var_epi8(upright[4], from, upright[5]);
            natural =
                _mm512_mask_mov_epi8(natural, _mm512_cmpeq_epi8_mask(which, vec_splat(1)), second);
            natural =
                _mm512_mask_mov_epi8(natural, _mm512_cmpeq_epi8_mask(which, vec_splat(2)), third);
            vec ones = _mm512_maskz_set1_epi8(_mm512_movepi8_mask(natural), 1);
            _mm512_mask_storeu_epi8(to + 64 * i, i < 5 ? ~0ULL : tail, ones);
        }
    }
}

#endif
