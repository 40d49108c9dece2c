/* The box-plus decoder with AVX2: 24 registers of 15 lanes of 16. A slot holds its lanes twice, and
 * reading from element k on rotates. */
#include "simulation/ldpc/kernel.h"

#if defined(__x86_64__)

#include <immintrin.h>

#define KERNEL ldpc_box_plus_avx2
enum { VECTORS = 24, LANES = 15, SLOT_BYTES = 64 };

typedef __m256i vec;

static inline vec slot_read(const unsigned char *slot)
{
    return _mm256_load_si256((const __m256i *)(const void *)slot);
}

static inline vec slot_read_turned(const unsigned char *slot, unsigned rotation)
{
    return _mm256_loadu_si256((const __m256i *)(const void *)(slot + rotation));
}

static inline void slot_write(unsigned char *slot, vec value)
{
    _mm256_store_si256((__m256i *)(void *)slot, value);
    _mm256_storeu_si256((__m256i *)(void *)(slot + LANES * sizeof(int16_t)), value);
}

static inline vec vec_splat(int value)
{
    return _mm256_set1_epi16((short)value);
}

static inline vec vec_add(vec a, vec b)
{
    return _mm256_adds_epi16(a, b);
}

static inline vec vec_sub(vec a, vec b)
{
    return _mm256_subs_epi16(a, b);
}

static inline vec vec_plus(vec a, vec b)
{
    return _mm256_add_epi16(a, b);
}

static inline vec vec_minus(vec a, vec b)
{
    return _mm256_sub_epi16(a, b);
}

static inline vec vec_xor(vec a, vec b)
{
    return _mm256_xor_si256(a, b);
}

static inline vec vec_smaller(vec a, vec b)
{
    return _mm256_min_epu16(a, b);
}

static inline vec vec_larger(vec a, vec b)
{
    return _mm256_max_epu16(a, b);
}

static inline vec vec_less(vec a, vec b)
{
    return _mm256_subs_epu16(a, b);
}

static inline vec vec_up_3(vec value)
{
    return _mm256_slli_epi16(value, 3);
}

static inline vec vec_times(vec a, vec b)
{
    return _mm256_mulhi_epu16(a, b);
}

static inline vec vec_size(vec value)
{
    return _mm256_abs_epi16(value);
}

static inline bool vec_any_negative(vec value, int skip)
{
    unsigned signs = (unsigned)_mm256_movemask_epi8(value) & 0x2AAAAAAAU; /* upper bytes of 15 */
    return signs >> 2 * skip;
}

/* The sign instruction clears where the sign is 0: setting the lowest bit keeps 0 positive. */
static inline vec vec_signed_like(vec size, vec sign)
{
    return _mm256_sign_epi16(size, _mm256_or_si256(sign, vec_splat(1)));
}

static inline vec vec_choose(vec q, vec least, vec other, vec own)
{
    return _mm256_blendv_epi8(other, own, _mm256_cmpeq_epi16(vec_size(q), least));
}

#include "simulation/ldpc/box_plus_rows.h"

#endif
