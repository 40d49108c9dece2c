/* The sum-product decoder with AVX2: 45 registers of 8 lanes, rotated by a permutation. */
#include "simulation/ldpc/kernel.h"
#include "simulation/ldpc/prepare.h"

#if defined(__x86_64__)

#include <immintrin.h>
#include <math.h>

#include "simulation/ldpc/sum_product.h"

enum { VECTORS = 45, LANES = 8, SLOT_BYTES = 32, ROTATION_BYTES = 4, AT_ONCE = 3 };

typedef float element;
typedef __m256 vec;

/* From element k on: the permutation that turns a register by k. */
static const int32_t turning[16] = {0, 1, 2, 3, 4, 5, 6, 7, 0, 1, 2, 3, 4, 5, 6, 7};

static inline bool is_negative(element value)
{
    return signbit(value) != 0;
}

static inline vec slot_read(const unsigned char *slot)
{
    return _mm256_load_ps((const float *)(const void *)slot);
}

static inline vec slot_read_turned(const unsigned char *slot, unsigned rotation)
{
    return _mm256_permutevar8x32_ps(
        slot_read(slot),
        _mm256_loadu_si256((const __m256i *)(const void *)((const char *)turning + rotation)));
}

static inline void slot_write(unsigned char *slot, vec value)
{
    _mm256_store_ps((float *)(void *)slot, value);
}

static inline bool vec_any_negative(vec value, int skip)
{
    return (unsigned)_mm256_movemask_ps(value) >> skip;
}

static inline vec vec_splat(float value)
{
    return _mm256_set1_ps(value);
}

static inline vec vec_add(vec a, vec b)
{
    return _mm256_add_ps(a, b);
}

static inline vec vec_sub(vec a, vec b)
{
    return _mm256_sub_ps(a, b);
}

static inline vec vec_times(vec a, vec b)
{
    return _mm256_mul_ps(a, b);
}

static inline vec vec_over(vec a, vec b)
{
    return _mm256_div_ps(a, b);
}

static inline vec vec_xor(vec a, vec b)
{
    return _mm256_xor_ps(a, b);
}

static inline vec vec_fused(vec a, vec b, vec c)
{
    return _mm256_fmadd_ps(a, b, c);
}

static inline vec vec_sign(vec value)
{
    return _mm256_and_ps(value, vec_splat(-0.0F));
}

static inline vec vec_bits(int pattern)
{
    return _mm256_castsi256_ps(_mm256_set1_epi32(pattern));
}

static inline vec bits_plus(vec a, vec b)
{
    return _mm256_castsi256_ps(_mm256_add_epi32(_mm256_castps_si256(a), _mm256_castps_si256(b)));
}

static inline vec bits_minus(vec a, vec b)
{
    return _mm256_castsi256_ps(_mm256_sub_epi32(_mm256_castps_si256(a), _mm256_castps_si256(b)));
}

static inline vec bits_up_23(vec value)
{
    return _mm256_castsi256_ps(_mm256_slli_epi32(_mm256_castps_si256(value), 23));
}

static inline vec bits_value(vec value)
{
    return _mm256_cvtepi32_ps(_mm256_castps_si256(value));
}

static inline vec vec_size_within(vec value, vec limit)
{
    return _mm256_min_ps(_mm256_andnot_ps(vec_splat(-0.0F), value), limit);
}

static inline vec bits_mantissa(vec value)
{
    __m256 mantissa = _mm256_castsi256_ps(_mm256_set1_epi32(LOG_MANTISSA));
    return _mm256_or_ps(_mm256_and_ps(value, mantissa), vec_splat(1.0F));
}

#include "simulation/ldpc/layers.h"

#include "simulation/ldpc/sum_product_rows.h"

static void prepare(const float *llr, void *elements, int count)
{
    limit_ratios(llr, elements, count);
}

const struct ldpc_kernel ldpc_sum_product_avx2 = {
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
