/* The body of kernels_*.c, which define KERNELS after their family's words. Every loop over lanes
 * is of constant length without branches, so that compilers turn it into vector code; contraction
 * into fused operations is off (-ffp-contract=off), so that every processor family rounds alike. */

#include "simulation/modem/kernels.h"

#include <math.h>

#include "simulation/modem/floats.h"

#define LANES KERNEL_LANES
#define EACH_LANE for (int l = 0; l < LANES; l++)

static void random_lanes(struct noise *noise, uint32_t *restrict out)
{
    uint32_t(*s)[LANES] = noise->state;
    EACH_LANE
    {
        uint32_t sum = s[0][l] + s[3][l];
        out[l] = (sum << 7 | sum >> 25) + s[0][l];
        uint32_t t = s[1][l] << 9;
        s[2][l] ^= s[0][l];
        s[3][l] ^= s[1][l];
        s[1][l] ^= s[2][l];
        s[0][l] ^= s[3][l];
        s[2][l] ^= t;
        s[3][l] = s[3][l] << 11 | s[3][l] >> 21;
    }
}

/* Uniform in (0, 1], 2^-32 at least. */
static inline float uniform_of(uint32_t bits)
{
    return ((float)(int32_t)(bits >> 1) + 0.5f) * 0x1.0p-31f;
}

static void kernel_exponential(struct noise *noise, float *restrict out, int count)
{
    for (int i = 0; i < count; i += LANES) {
        uint32_t bits[LANES];
        random_lanes(noise, bits);
        EACH_LANE
        {
            out[i + l] = -log_positive(uniform_of(bits[l]));
        }
    }
}

/* Box and Muller: radius sqrt(-2 log u), angle uniform. The angle is drawn within an eighth of a
 * turn to either side of the first axis, where short series do, and turned by a random multiple
 * of a quarter turn. */
static void kernel_normal(struct noise *noise, float *restrict out, int count)
{
    for (int i = 0; i < count; i += 2 * LANES) {
        uint32_t bits[LANES], turn[LANES];
        random_lanes(noise, bits);
        random_lanes(noise, turn);
        EACH_LANE
        {
            float radius = sqrtf(-2.0f * log_positive(uniform_of(bits[l])));
            float angle =
                ((float)(int32_t)(turn[l] << 2 >> 2) + 0.5f) * (0x1.0p-30f * 1.57079633f) -
                0.785398163f;
            float x2 = angle * angle;
            float sine =
                angle *
                (1.0f + x2 * (-1.66666667e-1f + x2 * (8.33333333e-3f + x2 * -1.98412698e-4f)));
            float cosine =
                1.0f +
                x2 * (-0.5f + x2 * (4.16666667e-2f + x2 * (-1.38888889e-3f + x2 * 2.48015873e-5f)));
            int swap = (int)(turn[l] >> 30 & 1);
            float sign = turn[l] >> 31 ? -radius : radius;
            out[i + l] = sign * (swap ? -sine : cosine);
            out[i + LANES + l] = sign * (swap ? cosine : sine);
        }
    }
}

static void kernel_add_noise(float *restrict axis, const float *restrict noise,
                             const float *restrict gain_power, float sigma, int count)
{
    for (int i = 0; i < count; i += LANES) {
        EACH_LANE
        {
            axis[i + l] += noise[i + l] * sigma / sqrtf(gain_power[i + l]);
        }
    }
}

#include "simulation/modem/kernels_demap.h"

const struct kernels KERNELS = {.normal = kernel_normal,
                                .exponential = kernel_exponential,
                                .add_noise = kernel_add_noise,
                                .demap = kernel_demap,
                                .demap_apart = kernel_demap_apart};
