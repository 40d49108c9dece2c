/* The min-sum decoder with NEON: 24 registers of 15 lanes. A slot holds its 15 lanes twice, and
 * reading from byte k on rotates. */
#include "simulation/ldpc/kernel.h"

#if defined(__aarch64__)

#include <arm_neon.h>

#define KERNEL ldpc_min_sum_neon
enum { VECTORS = 24, LANES = 15, SLOT_BYTES = 32, ROTATION_BYTES = 1, PIPELINED = 0 };
#define VEC_SETTLE(value) __asm__("" : "+w"(value))

typedef int8x16_t vec;

static inline vec slot_read(const unsigned char *slot)
{
    return vld1q_s8((const int8_t *)slot);
}

static inline vec slot_read_turned(const unsigned char *slot, unsigned rotation)
{
    return vld1q_s8((const int8_t *)slot + rotation);
}

static inline void slot_write(unsigned char *slot, vec value)
{
    vst1q_s8((int8_t *)slot, value);
    vst1q_s8((int8_t *)slot + LANES, value);
}

static inline vec vec_splat(int value)
{
    return vdupq_n_s8((int8_t)value);
}

static inline vec vec_add(vec a, vec b)
{
    return vqaddq_s8(a, b);
}

static inline vec vec_sub(vec a, vec b)
{
    return vqsubq_s8(a, b);
}

static inline vec vec_minus(vec a, vec b)
{
    return vsubq_s8(a, b);
}

static inline vec vec_xor(vec a, vec b)
{
    return veorq_s8(a, b);
}

static inline vec vec_smaller(vec a, vec b)
{
    return vreinterpretq_s8_u8(vminq_u8(vreinterpretq_u8_s8(a), vreinterpretq_u8_s8(b)));
}

static inline vec vec_larger(vec a, vec b)
{
    return vreinterpretq_s8_u8(vmaxq_u8(vreinterpretq_u8_s8(a), vreinterpretq_u8_s8(b)));
}

static inline vec vec_less_offset(vec a, vec b)
{
    return vreinterpretq_s8_u8(vqsubq_u8(vreinterpretq_u8_s8(a), vreinterpretq_u8_s8(b)));
}

static inline bool vec_any_negative(vec value, int skip)
{
    static const int8_t lanes[LANES + 1] = {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, -1};
    uint8x16_t counts = vcgeq_s8(vld1q_s8(lanes), vdupq_n_s8((int8_t)skip));
    return vmaxvq_u8(vandq_u8(vcltzq_s8(value), counts)) != 0;
}

static inline vec vec_size(vec value)
{
    return vabsq_s8(value);
}

static inline vec vec_signed_like(vec size, vec sign)
{
    return vbslq_s8(vcltzq_s8(sign), vnegq_s8(size), size);
}

static inline vec vec_again(vec q)
{
    return q;
}

static inline vec vec_choose(vec q, vec least, vec other, vec second)
{
    return vbslq_s8(vceqq_s8(vec_size(q), least), second, other);
}

#include "simulation/ldpc/min_sum_rows.h"

#endif
