#include "simulation/modem/kernels.h"

#if defined(__x86_64__)
#define KERNELS kernels_avx512
#define KERNELS_NAME "avx512"

#include <immintrin.h>

#define VEC_LANES 16
typedef __m512 vec;

static inline vec vec_load(const float *from)
{
    return _mm512_loadu_ps(from);
}

static inline void vec_store(float *to, vec value)
{
    _mm512_storeu_ps(to, value);
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

static inline vec vec_fused(vec a, vec b, vec c)
{
    return _mm512_fmadd_ps(a, b, c);
}

static inline vec vec_larger(vec a, vec b)
{
    return _mm512_max_ps(a, b);
}

static inline vec vec_size(vec value)
{
    return _mm512_andnot_ps(vec_splat(-0.0f), value);
}

static inline vec vec_turned(vec value, vec sign)
{
    return _mm512_xor_ps(value, _mm512_and_ps(sign, vec_splat(-0.0f)));
}

static inline vec bits_plus(vec a, vec b)
{
    return _mm512_castsi512_ps(_mm512_add_epi32(_mm512_castps_si512(a), _mm512_castps_si512(b)));
}

static inline vec bits_look_up(const uint32_t *table, vec index)
{
    return _mm512_castsi512_ps(
        _mm512_permutexvar_epi32(_mm512_castps_si512(index), _mm512_loadu_si512(table)));
}

static inline vec bits_up_19(vec value)
{
    return _mm512_castsi512_ps(_mm512_slli_epi32(_mm512_castps_si512(value), 19));
}

#include "simulation/modem/kernels_body.h"
#endif
