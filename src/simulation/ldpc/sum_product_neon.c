/* The sum-product decoder with NEON: 90 registers of 4 lanes, rotated by looking up bytes. */
#include "simulation/ldpc/kernel.h"
#include "simulation/ldpc/prepare.h"

#if defined(__aarch64__)

#include <arm_neon.h>
#include <math.h>

#include "simulation/ldpc/sum_product.h"

enum { VECTORS = 90, LANES = 4, SLOT_BYTES = 16, ROTATION_BYTES = 4, AT_ONCE = 3 };

typedef float element;
typedef float32x4_t vec;

/* From element k on: the bytes that turn a register by k. */
static const uint8_t turning[32] = {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15,
                                    0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15};

static inline bool is_negative(element value)
{
    return signbit(value) != 0;
}

static inline vec slot_read(const unsigned char *slot)
{
    return vld1q_f32((const float *)(const void *)slot);
}

static inline vec slot_read_turned(const unsigned char *slot, unsigned rotation)
{
    uint8x16_t bytes = vreinterpretq_u8_f32(slot_read(slot));
    return vreinterpretq_f32_u8(vqtbl1q_u8(bytes, vld1q_u8(turning + rotation)));
}

static inline void slot_write(unsigned char *slot, vec value)
{
    vst1q_f32((float *)(void *)slot, value);
}

static inline bool vec_any_negative(vec value, int skip)
{
    static const int32_t lanes[LANES] = {0, 1, 2, 3};
    uint32x4_t counts = vcgeq_s32(vld1q_s32(lanes), vdupq_n_s32(skip));
    return vmaxvq_u32(vandq_u32(vcltzq_s32(vreinterpretq_s32_f32(value)), counts)) != 0;
}

static inline vec vec_splat(float value)
{
    return vdupq_n_f32(value);
}

static inline vec vec_add(vec a, vec b)
{
    return vaddq_f32(a, b);
}

static inline vec vec_sub(vec a, vec b)
{
    return vsubq_f32(a, b);
}

static inline vec vec_times(vec a, vec b)
{
    return vmulq_f32(a, b);
}

static inline vec vec_over(vec a, vec b)
{
    return vdivq_f32(a, b);
}

static inline vec vec_xor(vec a, vec b)
{
    return vreinterpretq_f32_u32(veorq_u32(vreinterpretq_u32_f32(a), vreinterpretq_u32_f32(b)));
}

static inline vec vec_fused(vec a, vec b, vec c)
{
    return vfmaq_f32(c, a, b);
}

static inline vec vec_sign(vec value)
{
    return vreinterpretq_f32_u32(vandq_u32(vreinterpretq_u32_f32(value), vdupq_n_u32(0x80000000U)));
}

static inline vec vec_bits(int pattern)
{
    return vreinterpretq_f32_s32(vdupq_n_s32(pattern));
}

static inline vec bits_plus(vec a, vec b)
{
    return vreinterpretq_f32_s32(vaddq_s32(vreinterpretq_s32_f32(a), vreinterpretq_s32_f32(b)));
}

static inline vec bits_minus(vec a, vec b)
{
    return vreinterpretq_f32_s32(vsubq_s32(vreinterpretq_s32_f32(a), vreinterpretq_s32_f32(b)));
}

static inline vec bits_up_23(vec value)
{
    return vreinterpretq_f32_s32(vshlq_n_s32(vreinterpretq_s32_f32(value), 23));
}

static inline vec bits_value(vec value)
{
    return vcvtq_f32_s32(vreinterpretq_s32_f32(value));
}

static inline vec vec_size_within(vec value, vec limit)
{
    return vminq_f32(vabsq_f32(value), limit);
}

static inline vec bits_mantissa(vec value)
{
    uint32x4_t mantissa = vandq_u32(vreinterpretq_u32_f32(value), vdupq_n_u32(LOG_MANTISSA));
    return vreinterpretq_f32_u32(vorrq_u32(mantissa, vreinterpretq_u32_f32(vec_splat(1.0F))));
}

#include "simulation/ldpc/layers.h"

#include "simulation/ldpc/sum_product_rows.h"

static void prepare(const float *llr, void *elements, int count)
{
    limit_ratios(llr, elements, count);
}

const struct ldpc_kernel ldpc_sum_product_neon = {
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
