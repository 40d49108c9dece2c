#ifndef SIMULATION_MODEM_KERNELS_H
#define SIMULATION_MODEM_KERNELS_H

#include <stdint.h>

#include "simulation/simd/kind.h"

/* The hot loops of the transmission chain. They are compiled once for each processor family from
 * the same source: plain C (kernels_body.h) and vector registers (kernels_demap.h), whose
 * arithmetic is exactly rounded step by step, so that all of them give the same bits; the best one
 * is chosen at run time. */

#define KERNEL_LANES 16 /* arrays are padded to a multiple of this */

/* Random numbers for noise: sixteen independent xoshiro128++ generators (Blackman and Vigna,
 * ACM Trans. Math. Softw. 47, 2021) side by side. Copyable; seeded by noise_seeded (noise.h). */
struct noise {
    uint32_t state[4][KERNEL_LANES];
};

/* A constellation as the demapper sees it: the points of the first quadrant, indexed by the bits
 * behind the two sign bits; for products of two equal axes the positive levels, indexed by the
 * bits behind the sign bit. */
struct demapper {
    int bits; /* per cell */
    int is_product;
    int count; /* of points or levels */
    float re[64], im[64], power[64];
};

enum demapper_method {
    DEMAP_EXACT,   /* logarithm of sums of probabilities */
    DEMAP_MAX_LOG, /* the best point for each value of a bit */
    DEMAP_COUNT
};

/* Cells re + i im, received with the noise power 1 / inverse_noise (complex) each. */
struct received {
    const float *re, *im, *inverse_noise;
    int count;
};

/* The same where the two parts of a cell came apart ways, as those of a rotated constellation do:
 * each has a noise power of its own. */
struct received_apart {
    const float *re, *re_inverse_noise, *im, *im_inverse_noise;
    int count;
};

/* All of 2^bits points by their bits, 8 bits at most. */
struct points {
    int bits;
    const float *re, *im;
};

/* Log-likelihood ratios, positive for bit 0: that of bit y of cell i is ratios[y * stride + i]. */
struct bit_planes {
    float *ratios;
    int stride;
};

struct kernels {
    /* Normal numbers, mean 0 and variance 1 (Box and Muller); `count` a multiple of 2 lanes. */
    void (*normal)(struct noise *noise, float *out, int count);

    /* Exponential numbers, mean 1: the power gains of Rayleigh fading. A multiple of lanes. */
    void (*exponential)(struct noise *noise, float *out, int count);

    /* Adds noise to one axis of cells that an ideal equaliser has divided by their gain:
     * axis[i] += noise[i] * sigma / sqrt(gain_power[i]). */
    void (*add_noise)(float *axis, const float *noise, const float *gain_power, float sigma,
                      int count);

    /* The exact method is true to 0.001 up to +-70 and ends at +-85, as a float's exponential
     * does. */
    void (*demap)(const struct demapper *demapper, enum demapper_method method,
                  struct received cells, struct bit_planes to);

    /* The same for points and cells of any kind; the arrays of points are whole. */
    void (*demap_apart)(struct points points, enum demapper_method method,
                        struct received_apart cells, struct bit_planes to);
};

/* The fastest set that this processor can run. */
const struct kernels *kernels_best(void);

/* The set of a kind of instructions; NULL where that is not available. */
const struct kernels *kernels_of(enum simd_kind kind);

extern const struct kernels kernels_plain, kernels_neon, kernels_avx2, kernels_avx512;

#endif
