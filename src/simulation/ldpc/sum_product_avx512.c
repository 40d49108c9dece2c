/* The sum-product decoder with AVX-512: 24 registers of 15 lanes of 16, rotated by a permutation.
 */
#include "simulation/ldpc/kernel.h"
#include "simulation/ldpc/prepare.h"

#if defined(__x86_64__)

#include <immintrin.h>
#include <math.h>

#include "simulation/ldpc/sum_product.h"

enum { VECTORS = 24, LANES = 15, SLOT_BYTES = 64, ROTATION_BYTES = 4, AT_ONCE = 3 };

typedef float element;
typedef __m512 vec;

/* From element k on: the permutation that turns a register by k. */
static const int32_t turning[32] = {0, 1, 2, 3, 4, 5, 6, 7, 8, 9,  10, 11, 12, 13, 14, 0,
                                    1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 0,  1};

static inline bool is_negative(element value)
{
    return signbit(value) != 0;
}

static inline vec slot_read(const unsigned char *slot)
{
    return _mm512_load_ps((const float *)(const void *)slot);
}

static inline vec slot_read_turned(const unsigned char *slot, unsigned rotation)
{
    return _mm512_permutexvar_ps(_mm512_loadu_si512((const char *)turning + rotation),
                                 slot_read(slot));
}

static inline void slot_write(unsigned char *slot, vec value)
{
    _mm512_store_ps((float *)(void *)slot, value);
}

static inline bool vec_any_negative(vec value, int skip)
{
    return ((unsigned)_mm512_movepi32_mask(_mm512_castps_si512(value)) & 0x7FFFU) >> skip;
}

static inline vec vec_splat(float value)
{
    return _mm512_set1_ps(value);
}

static inline vec vec_add(vec a, vec b)
{
    return _mm512_add_ps(a, b);
}

static inline vec vec_sub(vec a, vec b)
{
    return _mm512_sub_ps(a, b);
}

static inline vec vec_times(vec a, vec b)
{
    return _mm512_mul_ps(a, b);
}

static inline vec vec_over(vec a, vec b)
{
    return _mm512_div_ps(a, b);
}

static inline vec vec_xor(vec a, vec b)
{
    return _mm512_xor_ps(a, b);
}

static inline vec vec_fused(vec a, vec b, vec c)
{
    return _mm512_fmadd_ps(a, b, c);
}

static inline vec vec_sign(vec value)
{
    return _mm512_and_ps(value, vec_splat(-0.0F));
}

static inline vec vec_bits(int pattern)
{
    return _mm512_castsi512_ps(_mm512_set1_epi32(pattern));
}

static inline vec bits_plus(vec a, vec b)
{
    return _mm512_castsi512_ps(_mm512_add_epi32(_mm512_castps_si512(a), _mm512_castps_si512(b)));
}

static inline vec bits_minus(vec a, vec b)
{
    return _mm512_castsi512_ps(_mm512_sub_epi32(_mm512_castps_si512(a), _mm512_castps_si512(b)));
}

static inline vec bits_up_23(vec value)
{
    return _mm512_castsi512_ps(_mm512_slli_epi32(_mm512_castps_si512(value), 23));
}

static inline vec bits_value(vec value)
{
    return _mm512_cvtepi32_ps(_mm512_castps_si512(value));
}

/* Selects the value of smaller size and clears its sign. */
static inline vec vec_size_within(vec value, vec limit)
{
    return _mm512_range_ps(value, limit, 0x0A);
}

static inline vec bits_mantissa(vec value)
{
    __m512i mantissa = _mm512_set1_epi32(LOG_MANTISSA), one = _mm512_set1_epi32(LOG_ONE);
    return _mm512_castsi512_ps(
        _mm512_ternarylogic_epi32(_mm512_castps_si512(value), mantissa, one, 0xEA));
}

#include "simulation/ldpc/layers.h"

#include "simulation/ldpc/sum_product_rows.h"

static void prepare(const float *llr, void *elements, int count)
{
    limit_ratios(llr, elements, count);
}

const struct ldpc_kernel ldpc_sum_product_avx512 = {
    .layout = {.vectors = VECTORS,
               .lanes = LANES,
               .slot_bytes = SLOT_BYTES,
               .rotation_bytes = ROTATION_BYTES},
    .element_bytes = sizeof(element),
    .register_bytes = sizeof(vec),
    .prepare = prepare,
    .load = load,
    .iterate = iterate,
    .check = check,
    .store = store,
};

#endif
