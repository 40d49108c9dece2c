/* The min-sum decoder with AVX2: twelve registers of 30 lanes. */
#include "simulation/ldpc/kernel.h"

#if defined(__x86_64__)

#include "simulation/ldpc/slots_avx2.h"

#define KERNEL ldpc_min_sum_avx2
enum { VECTORS = 12, LANES = 30, ROTATION_BYTES = 1, PIPELINED = 0 };
#define ALL_LANES ((1U << LANES) - 1)
#define VEC_SETTLE(value) __asm__("" : "+x"(value))

static inline vec vec_splat(int value)
{
    return _mm256_set1_epi8((char)value);
}

static inline vec vec_add(vec a, vec b)
{
    return _mm256_adds_epi8(a, b);
}

static inline vec vec_sub(vec a, vec b)
{
    return _mm256_subs_epi8(a, b);
}

static inline vec vec_minus(vec a, vec b)
{
    return _mm256_sub_epi8(a, b);
}

static inline vec vec_xor(vec a, vec b)
{
    return _mm256_xor_si256(a, b);
}

static inline vec vec_smaller(vec a, vec b)
{
    return _mm256_min_epu8(a, b);
}

static inline vec vec_larger(vec a, vec b)
{
    return _mm256_max_epu8(a, b);
}

static inline vec vec_less_offset(vec a, vec b)
{
    return _mm256_subs_epu8(a, b);
}

static inline bool vec_any_negative(vec value, int skip)
{
    return ((unsigned)_mm256_movemask_epi8(value) & ALL_LANES) >> skip;
}

static inline vec vec_size(vec value)
{
    return _mm256_abs_epi8(value);
}

/* The sign instruction clears where the sign is 0: setting the lowest bit keeps 0 positive. */
static inline vec vec_signed_like(vec size, vec sign)
{
    return _mm256_sign_epi8(size, _mm256_or_si256(sign, vec_splat(1)));
}

/* Compilers would rather keep |q| than work it out again, and storing is what this loop has most
 * of. */
static inline vec vec_again(vec q)
{
    VEC_SETTLE(q);
    return q;
}

static inline vec vec_choose(vec q, vec least, vec other, vec second)
{
    return _mm256_blendv_epi8(other, second, _mm256_cmpeq_epi8(vec_size(q), least));
}

#define OWN_WAY_IN_AND_OUT
#include "simulation/ldpc/min_sum_rows.h"

/* In natural order a column is a matrix of LANES rows of VECTORS bytes; its columns are the slots.
 * Two squares of 16 rows cover it, the second from row SECOND on. */
enum { SQUARE = 16, SECOND = LANES - SQUARE };

/* Four perfect shuffles of 256 bytes swap the two halves of a byte's place, row and column. */
static inline void transpose(__m128i rows[SQUARE])
{
    for (int round = 0; round < 4; round++) {
        __m128i before[SQUARE];
        memcpy(before, rows, sizeof before);
        for (int i = 0; i < SQUARE / 2; i++) {
            rows[2 * i] = _mm_unpacklo_epi8(before[i], before[i + SQUARE / 2]);
            rows[2 * i + 1] = _mm_unpackhi_epi8(before[i], before[i + SQUARE / 2]);
        }
    }
}

static inline __m128i read_16(const void *from)
{
    return _mm_loadu_si128((const __m128i *)from);
}

static inline void write_16(void *to, __m128i value)
{
    _mm_storeu_si128((__m128i *)to, value);
}

/* Rows are read with 4 bytes of the next one, but for the last: a column may be the last. */
static inline void read_square(__m128i rows[SQUARE], const int8_t *from, int first)
{
    for (int i = 0; i < SQUARE - 1; i++) {
        rows[i] = read_16(from + (size_t)(VECTORS * (first + i)));
    }
    const int8_t *last = from + (size_t)(VECTORS * (first + SQUARE - 1));
    rows[SQUARE - 1] = _mm_srli_si128(read_16(last - (SQUARE - VECTORS)), SQUARE - VECTORS);
    transpose(rows);
}

static void load(struct ldpc_work *work, const void *elements)
{
    int8_t twice[VECTORS][2 * LANES + 2] = {{0}}; /* each slot's lanes, ready to be turned */
    for (int column = 0; column < work->code->block_columns; column++) {
        const int8_t *from = (const int8_t *)elements + (size_t)(column * LDPC_LANES);
        __m128i low[SQUARE], high[SQUARE];
        read_square(low, from, 0);
        read_square(high, from, SECOND);
        for (int v = 0; v < VECTORS; v++) {
            write_16(twice[v], low[v]);
            write_16(twice[v] + SECOND, high[v]);
            write_16(twice[v] + LANES, low[v]);
            write_16(twice[v] + LANES + SECOND, high[v]);
        }
        for (int v = 0; v < VECTORS; v++) {
            int resting = work->schedule.resting[column * VECTORS + v];
            const void *turned = twice[v] + resting;
            slot_write(column_slot(work, column, v), _mm256_loadu_si256((const vec *)turned));
        }
    }
}

static void store(const struct ldpc_work *work, uint8_t *bits)
{
    const __m128i one = _mm_set1_epi8(1);
    for (int column = 0; column < work->code->block_columns; column++) {
        uint8_t *to = bits + (size_t)(column * LDPC_LANES);
        for (int first = 0; first <= SECOND; first += SECOND) {
            __m128i rows[SQUARE] = {_mm_setzero_si128()};
            for (int v = 0; v < VECTORS; v++) {
                int back = LANES - work->schedule.resting[column * VECTORS + v];
                __m128i lanes = read_16(column_slot(work, column, v) + back + first);
                rows[v] = _mm_and_si128(_mm_srli_epi16(lanes, 7), one);
            }
            transpose(rows);
            /* With 4 bytes of the next row, which writes over them, but for the last. */
            for (int i = 0; i < SQUARE - 1; i++) {
                write_16(to + (size_t)(VECTORS * (first + i)), rows[i]);
            }
            memcpy(to + (size_t)(VECTORS * (first + SQUARE - 1)), &rows[SQUARE - 1], VECTORS);
        }
    }
}

#endif
