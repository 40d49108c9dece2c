#ifndef SIMULATION_SIMD_NEON_H
#define SIMULATION_SIMD_NEON_H

/* The words of words.h with NEON, four floats at a time. */
#include <arm_neon.h>

enum { VEC_LANES = 4 };
typedef float32x4_t vec;

#include "simulation/simd/words.h"

static inline vec vec_fused(vec a, vec b, vec c)
{
    return vfmaq_f32(c, a, b);
}

static inline vec vec_and(vec a, vec b)
{
    return (vec)((vec_bits)a & (vec_bits)b);
}

static inline vec vec_or(vec a, vec b)
{
    return (vec)((vec_bits)a | (vec_bits)b);
}

static inline vec vec_xor(vec a, vec b)
{
    return (vec)((vec_bits)a ^ (vec_bits)b);
}

/* NEON's own maximum takes +0 for larger than -0. */
static inline vec vec_larger(vec a, vec b)
{
    return vbslq_f32(vcgtq_f32(a, b), a, b);
}

static inline vec vec_size_within(vec value, vec limit)
{
    return vminq_f32(vabsq_f32(value), limit);
}

static inline unsigned vec_signs(vec value)
{
    static const int32_t places[VEC_LANES] = {0, 1, 2, 3};
    uint32x4_t signs = vshrq_n_u32(vreinterpretq_u32_f32(value), 31);
    return vaddvq_u32(vshlq_u32(signs, vld1q_s32(places)));
}

/* Bytes are looked up, the four of each float. */
#define VEC_PICK(e) (0x03020100U + 0x04040404U * (e))

static inline vec vec_picked(vec value, const void *picks)
{
    return vreinterpretq_f32_u8(vqtbl1q_u8(vreinterpretq_u8_f32(value), vld1q_u8(picks)));
}

static inline vec bits_look_up(const uint32_t *table, vec index)
{
    uint32x4_t i = vandq_u32(vreinterpretq_u32_f32(index), vdupq_n_u32(15));
    uint8x16_t picks = vreinterpretq_u8_u32(VEC_PICK(i));
    return vreinterpretq_f32_u8(vqtbl4q_u8(vld1q_u8_x4((const uint8_t *)table), picks));
}

#endif
