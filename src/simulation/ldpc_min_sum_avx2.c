/* The min-sum decoder with AVX2: twelve registers of 30 lanes. AVX2 cannot rotate 32
 * bytes within a register, so a slot holds its 30 lanes twice, and reading from byte k on rotates.
 */
#include "simulation/ldpc_kernel.h"
#include "simulation/ldpc_prepare.h"

#if defined(__x86_64__)

#include <immintrin.h>

enum { VECTORS = 12, LANES = 30, SLOT_BYTES = 64, ROTATION_BYTES = 1 };
#define FAR 127
#define ALL_LANES ((1U << LANES) - 1)

typedef int8_t element;
typedef __m256i vec;

static inline bool is_negative(element value)
{
    return value < 0;
}

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
    _mm256_storeu_si256((__m256i *)(void *)(slot + LANES), value);
}

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

static inline vec vec_choose(vec q, vec least, vec other, vec second)
{
    return _mm256_blendv_epi8(other, second, _mm256_cmpeq_epi8(vec_size(q), least));
}

#include "simulation/ldpc_layers.h"

#include "simulation/ldpc_min_sum_rows.h"

static void prepare(const float *llr, void *elements, int count)
{
    quantise_steps(llr, elements, count);
}

const struct ldpc_kernel ldpc_min_sum_avx2 = {
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
