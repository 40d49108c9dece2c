#include "simulation/modem/kernels.h"

#if defined(__x86_64__)
#define KERNELS kernels_avx2
#define KERNELS_NAME "avx2"

#include <immintrin.h>

#define VEC_LANES 8
typedef __m256 vec;

static inline vec vec_load(const float *from)
{
    return _mm256_loadu_ps(from);
}

static inline void vec_store(float *to, vec value)
{
    _mm256_storeu_ps(to, value);
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

static inline vec vec_fused(vec a, vec b, vec c)
{
    return _mm256_fmadd_ps(a, b, c);
}

static inline vec vec_larger(vec a, vec b)
{
    return _mm256_max_ps(a, b);
}

static inline vec vec_size(vec value)
{
    return _mm256_andnot_ps(vec_splat(-0.0f), value);
}

static inline vec vec_turned(vec value, vec sign)
{
    return _mm256_xor_ps(value, _mm256_and_ps(sign, vec_splat(-0.0f)));
}

static inline vec bits_plus(vec a, vec b)
{
    return _mm256_castsi256_ps(_mm256_add_epi32(_mm256_castps_si256(a), _mm256_castps_si256(b)));
}

static inline vec bits_up_19(vec value)
{
    return _mm256_castsi256_ps(_mm256_slli_epi32(_mm256_castps_si256(value), 19));
}

/* AVX2 looks up 8: the fourth bit, brought to the sign's place, chooses between two. */
static inline vec bits_look_up(const uint32_t *table, vec index)
{
    const float *from = (const float *)(const void *)table;
    __m256i i = _mm256_castps_si256(index);
    vec low = _mm256_permutevar8x32_ps(_mm256_loadu_ps(from), i);
    vec high = _mm256_permutevar8x32_ps(_mm256_loadu_ps(from + 8), i);
    return _mm256_blendv_ps(low, high, _mm256_castsi256_ps(_mm256_slli_epi32(i, 28)));
}

#include "simulation/modem/kernels_body.h"
#endif
