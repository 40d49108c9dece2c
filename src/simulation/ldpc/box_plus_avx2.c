/* The box-plus decoder with AVX2: 24 registers of 15 lanes of 16. */
#include "simulation/ldpc/kernel.h"
#include "simulation/ldpc/softness.h"

#if defined(__x86_64__)

#include "simulation/ldpc/slots_avx2.h"

#define KERNEL ldpc_box_plus_avx2
enum { VECTORS = 24, LANES = 15, ROTATION_BYTES = 2, SIGNS_AT_ONCE = 1 };
#define VEC_SETTLE(value) __asm__("" : "+x"(value))

typedef vec sizes;

static inline vec vec_splat(int value)
{
    return _mm256_set1_epi16((short)value);
}

static inline vec vec_add(vec a, vec b)
{
    return _mm256_add_epi16(a, b);
}

static inline vec vec_sub(vec a, vec b)
{
    return _mm256_sub_epi16(a, b);
}

static inline vec vec_xor(vec a, vec b)
{
    return _mm256_xor_si256(a, b);
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

static inline sizes sizes_splat(int value)
{
    return _mm256_set1_epi8((char)value);
}

/* Packing takes the halves of registers by turns, and taking them apart undoes it. */
static inline sizes sizes_of(const vec q[2])
{
    return _mm256_packus_epi16(_mm256_abs_epi16(q[0]), _mm256_abs_epi16(q[1]));
}

static inline vec sizes_part(sizes all, int part)
{
    return part ? _mm256_unpackhi_epi8(all, _mm256_setzero_si256())
                : _mm256_unpacklo_epi8(all, _mm256_setzero_si256());
}

static inline sizes sizes_smaller(sizes a, sizes b)
{
    return _mm256_min_epu8(a, b);
}

static inline sizes sizes_larger(sizes a, sizes b)
{
    return _mm256_max_epu8(a, b);
}

static inline sizes sizes_plus(sizes a, sizes b)
{
    return _mm256_add_epi8(a, b);
}

static inline sizes sizes_minus(sizes a, sizes b)
{
    return _mm256_sub_epi8(a, b);
}

static inline sizes sizes_more(sizes a, sizes b)
{
    return _mm256_adds_epu8(a, b);
}

static inline sizes sizes_less(sizes a, sizes b)
{
    return _mm256_subs_epu8(a, b);
}

static inline sizes sizes_choose(sizes size, sizes least, sizes other, sizes own)
{
    return _mm256_blendv_epi8(other, own, _mm256_cmpeq_epi8(size, least));
}

/* By halves of x, rounded up. The shuffle looks at an index's low four bits and gives 0 where the
 * highest is set: adding 112 sets it from 16 on, adding 96 from 32. So the table's second half is
 * added below 16 too, and taken off the first half beforehand. */
static inline sizes soft_at(sizes half)
{
#define ONCE(value) value
    static const uint8_t table[32] = {SOFTNESS_AT_0, SOFTNESS(ONCE)};
    const __m128i *halves = (const __m128i *)(const void *)table;
    sizes high = _mm256_broadcastsi128_si256(_mm_loadu_si128(halves + 1)),
          low = _mm256_sub_epi8(_mm256_broadcastsi128_si256(_mm_loadu_si128(halves)), high);
    return _mm256_add_epi8(_mm256_shuffle_epi8(low, _mm256_adds_epu8(half, sizes_splat(112))),
                           _mm256_shuffle_epi8(high, _mm256_adds_epu8(half, sizes_splat(96))));
}

static inline sizes sizes_soft(sizes x)
{
    return soft_at(_mm256_avg_epu8(x, _mm256_setzero_si256()));
}

static inline sizes sizes_soft_sum(sizes a, sizes b)
{
    return soft_at(_mm256_avg_epu8(a, b));
}

#include "simulation/ldpc/box_plus_rows.h"

#endif
