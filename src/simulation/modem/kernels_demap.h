/* Demapping, in the words of simulation/simd/words.h. Included by kernels_body.h.
 *
 * With r the received cell, N its noise power and s a point, a bit's log-likelihood ratio is
 * log sum_{s: bit 0} exp(-|r - s|^2 / N) - log sum_{s: bit 1} of the same. All sets are symmetric
 * in both axes: for the quadrant's point (a, b), with M = (2 a |r_re| + 2 b |r_im| - a^2 - b^2) / N
 * the exponent of the nearest of its four mirror images (|r|^2 cancels), the others are less likely
 * by the factors u = exp(-4 a |r_re| / N), v = exp(-4 b |r_im| / N) and u v. The largest M comes
 * from a pass over a quarter of the points; a second pass takes three powers a point, of which all
 * four probabilities are products. Products of two axes take one axis at a time. Worked number:
 * QPSK, r_re = 0.5, N = 1: 4 x 0.5 / sqrt(2) = 1.414.
 * A rotated set has no such mirrors once its parts meet unequal noise: there all points count. */

#define EACH_VEC_LANE(bits) for (int i = 0; i < (bits)*VEC_LANES; i++)

/* Exponents are to the base 2, in sixteenths of an octave. */
#define SIXTEENTHS 16.0f
#define LOG2_E 1.44269504f

/* The most likely probability is 2^TOP, so that sums of 256 are finite; no other, and none of the
 * factors, is taken for less than 2^LEAST of it, so that no product falls below a float's normal
 * range. What that adds is exp(-84) of the most likely for each point. */
#define TOP 118
#define LEAST (-121)

/* 2^(i/16) for i = 0 to 15, a float's bits, less i 2^19: what i sixteenths put into the bits below
 * the exponent. */
static const uint32_t sixteenths[16] = {0x3F800000u, 0x3F7DAAC3u, 0x3F7B95C2u, 0x3F79C3D3u,
                                        0x3F7837F0u, 0x3F76F532u, 0x3F75FED7u, 0x3F75583Fu,
                                        0x3F7504F3u, 0x3F7508A4u, 0x3F75672Au, 0x3F76248Cu,
                                        0x3F7744FDu, 0x3F78CCDFu, 0x3F7AC0C7u, 0x3F7D257Du};

/* 2^(t/16 + raise) for t <= 0, to 5e-7, in place of t; `count` of them side by side, to fill the
 * pipelines. Adding 1.5 x 2^23 rounds t to a whole number i, which is left in the low bits: its low
 * four choose 2^(i mod 16 / 16), those above are the exponent. For the rest, |f| <= 1/2, a
 * polynomial has the smallest relative error of 2^(f/16) that its second power allows, 4.2e-7
 * (Remez's method). */
static inline __attribute__((always_inline)) void take_powers(vec *t, const int *raise, int count)
{
    vec shifted[8], p[8];
#pragma GCC unroll 8
    for (int i = 0; i < count; i++) {
        const vec rounder = vec_splat(12582912.0f + (float)raise[i] * SIXTEENTHS);
        t[i] = vec_larger(t[i], vec_splat(LEAST * SIXTEENTHS));
        shifted[i] = t[i] + rounder;
        t[i] -= shifted[i] - rounder;
    }
#pragma GCC unroll 8
    for (int i = 0; i < count; i++) {
        p[i] = vec_fused(t[i], vec_splat(9.383572755e-4f), vec_splat(4.332423946e-2f));
        p[i] = vec_fused(p[i], t[i], vec_splat(1.0f));
    }
#pragma GCC unroll 8
    for (int i = 0; i < count; i++) {
        vec octaves = bits_up(shifted[i], 19);
        t[i] = p[i] * bits_plus(bits_look_up(sixteenths, shifted[i]), octaves);
    }
}

/* Sums of probabilities for both values of up to twelve bits, and their ratios' logarithms. One
 * long loop: compilers make scalar code of short ones. */
struct sums {
    float zero[12 * VEC_LANES], one[12 * VEC_LANES], llr[12 * VEC_LANES];
};

/* With zero = m 2^i and one = n 2^j, both m and n in sqrt(1/2)..sqrt(2): (i - j) log 2 plus
 * log(m / n) = 2 atanh(s), s = (m - n) / (m + n), atanh(s) / s by the best polynomial of the
 * fourth power of s^2 for |s| <= 1/3, to 4e-9 (Remez's method). Sums end at 1e-37 of the most
 * likely point. */
static void take_ratios(struct sums *restrict sums, int bits)
{
    const float least = 1e-37f * 0x1p118f;
    EACH_VEC_LANE(bits)
    {
        /* cppcheck-suppress uninitvar ; vec_store has written them */
        uint32_t zero = to_bits(sums->zero[i] > least ? sums->zero[i] : least) - 0x3F3504F3u;
        uint32_t one = to_bits(sums->one[i] > least ? sums->one[i] : least) - 0x3F3504F3u;
        float exponent = (float)(((int32_t)zero >> 23) - ((int32_t)one >> 23));
        float m = from_bits((zero & 0x007FFFFFu) + 0x3F3504F3u);
        float n = from_bits((one & 0x007FFFFFu) + 0x3F3504F3u);
        float s = (m - n) / (m + n);
        float s2 = s * s;
        float p = 1.4089167e-1f;
        p = p * s2 + 1.3980301e-1f;
        p = p * s2 + 2.00124551e-1f;
        p = p * s2 + 3.33331573e-1f;
        p = p * s2 + 1.0f;
        sums->llr[i] = exponent * 0.693147181f + 2.0f * s * p;
    }
}

/* ---- Marginals: sums (or maxima) over the index bits of `count` values. ---- */

static inline void fold_sums(vec *t, int count, float *zeros, float *ones)
{
    for (int half = count / 2; half > 0; half /= 2, zeros += VEC_LANES, ones += VEC_LANES) {
        vec zero = t[0], one = t[half];
        t[0] = zero + one;
        for (int k = 1; k < half; k++) {
            vec a = t[k], b = t[k + half];
            zero += a;
            one += b;
            t[k] = a + b;
        }
        vec_store(zeros, zero);
        vec_store(ones, one);
    }
}

static inline void fold_maxima(vec *t, int count, float *planes, int step)
{
    for (int half = count / 2; half > 0; half /= 2, planes += step) {
        vec zero = t[0], one = t[half];
        t[0] = vec_larger(zero, one);
        for (int k = 1; k < half; k++) {
            vec a = t[k], b = t[k + half];
            zero = vec_larger(zero, a);
            one = vec_larger(one, b);
            t[k] = vec_larger(a, b);
        }
        vec_store(planes, zero - one);
    }
}

static void write_planes(const float *llr, int bits, float *planes, int step)
{
    for (int y = 0; y < bits; y++) {
        vec_store(planes + (size_t)y * (size_t)step, vec_load(llr + (size_t)y * VEC_LANES));
    }
}

/* Negated where `sign` has its sign bit set. */
static inline vec vec_turned(vec value, vec sign)
{
    return vec_xor(value, vec_sign(sign));
}

/* 2 |r| / N, to the base `scale`. */
static inline vec axis_slope(const float *r, const float *inverse_noise, float scale)
{
    vec size = vec_size(vec_load(r));
    return 2.0f * scale * size * vec_load(inverse_noise);
}

/* ---- Products of two axes: QPSK, 1024QAM, 4096QAM. ---- */

static void axis_exact(const struct demapper *d, const float *r, const float *inverse_noise,
                       float *planes, int step)
{
    static const int raise[2] = {TOP, 0};
    struct sums sums;
    vec t[32], largest = vec_splat(-1e30f), same = vec_splat(0.0f), opposite = vec_splat(0.0f);
    const vec x = axis_slope(r, inverse_noise, LOG2_E * SIXTEENTHS), x_far = -2.0f * x;
    const vec noise = -LOG2_E * SIXTEENTHS * vec_load(inverse_noise);
    for (int k = 0; k < d->count; k++) {
        t[k] = vec_fused(vec_splat(d->re[k]), x, d->power[k] * noise);
        largest = vec_larger(t[k], largest);
    }
    for (int k = 0; k < d->count; k++) {
        vec factors[2] = {t[k] - largest, d->re[k] * x_far};
        take_powers(factors, raise, 2);
        vec near_side = factors[0], far_side = near_side * factors[1];
        same += near_side;
        opposite += far_side;
        t[k] = near_side + far_side;
    }
    vec_store(sums.zero, same);
    vec_store(sums.one, opposite);
    fold_sums(t, d->count, sums.zero + VEC_LANES, sums.one + VEC_LANES);
    take_ratios(&sums, d->bits / 2);
    vec_store(planes, vec_turned(vec_load(sums.llr), vec_load(r)));
    write_planes(sums.llr + VEC_LANES, d->bits / 2 - 1, planes + step, step);
}

static void axis_max_log(const struct demapper *d, const float *r, const float *inverse_noise,
                         float *planes, int step)
{
    vec t[32], same = vec_splat(-1e30f), opposite = same;
    const vec x = axis_slope(r, inverse_noise, 1.0f), x_far = -2.0f * x;
    const vec noise = -vec_load(inverse_noise);
    for (int k = 0; k < d->count; k++) {
        vec level = vec_splat(d->re[k]);
        vec m = vec_fused(level, x, d->power[k] * noise);
        t[k] = m;
        same = vec_larger(m, same);
        opposite = vec_larger(vec_fused(level, x_far, m), opposite);
    }
    vec_store(planes, vec_turned(same - opposite, vec_load(r)));
    fold_maxima(t, d->count, planes + step, step);
}

/* QPSK needs neither logarithm nor maximum. */
static void axis_two_levels(const struct demapper *d, const float *r, const float *inverse_noise,
                            float *plane)
{
    vec scaled = 4.0f * d->re[0] * vec_load(r);
    vec_store(plane, scaled * vec_load(inverse_noise));
}

/* ---- Sets of the plane: 16QAM, 64QAM, 256QAM. ---- */

struct quadrant_sums {
    vec right, left, up, down;
};

/* The four probabilities of a point, of factors w, u and v: all of them. */
static inline vec add_point(struct quadrant_sums *sums, vec w, vec u, vec v)
{
    vec both_x = vec_fused(w, u, w), both_y = 1.0f + v;
    sums->right = vec_fused(w, both_y, sums->right);
    sums->left = vec_fused(w * u, both_y, sums->left);
    sums->up += both_x;
    sums->down = vec_fused(both_x, v, sums->down);
    return both_x * both_y;
}

static void quadrant_exact(const struct demapper *d, const float *re, const float *im,
                           const float *inverse_noise, float *planes, int stride)
{
    static const int raise[6] = {TOP, 0, 0, TOP, 0, 0};
    const int half = d->count / 2;
    const float *const a = d->re, *const b = d->im;
    struct sums sums;
    struct quadrant_sums all = {vec_splat(0.0f), vec_splat(0.0f), vec_splat(0.0f), vec_splat(0.0f)};
    vec t[64], largest = vec_splat(-1e30f), zero = vec_splat(0.0f), one = vec_splat(0.0f);
    const vec x = axis_slope(re, inverse_noise, LOG2_E * SIXTEENTHS);
    const vec y = axis_slope(im, inverse_noise, LOG2_E * SIXTEENTHS);
    const vec x_far = -2.0f * x, y_far = -2.0f * y;
    const vec noise = -LOG2_E * SIXTEENTHS * vec_load(inverse_noise);
    for (int k = 0; k < d->count; k++) {
        vec m = vec_fused(vec_splat(b[k]), y, d->power[k] * noise);
        t[k] = vec_fused(vec_splat(a[k]), x, m);
        largest = vec_larger(t[k], largest);
    }
    for (int k = 0; k < half; k++) {
        int l = k + half;
        vec factors[6] = {t[k] - largest, a[k] * x_far, b[k] * y_far,
                          t[l] - largest, a[l] * x_far, b[l] * y_far};
        take_powers(factors, raise, 6);
        vec first = add_point(&all, factors[0], factors[1], factors[2]);
        vec second = add_point(&all, factors[3], factors[4], factors[5]);
        zero += first;
        one += second;
        t[k] = first + second;
    }
    vec_store(sums.zero, all.up);
    vec_store(sums.one, all.down);
    vec_store(sums.zero + VEC_LANES, all.right);
    vec_store(sums.one + VEC_LANES, all.left);
    vec_store(sums.zero + 2 * VEC_LANES, zero);
    vec_store(sums.one + 2 * VEC_LANES, one);
    fold_sums(t, half, sums.zero + 3 * VEC_LANES, sums.one + 3 * VEC_LANES);
    take_ratios(&sums, d->bits);
    vec_store(planes, vec_turned(vec_load(sums.llr), vec_load(im)));
    vec_store(planes + stride, vec_turned(vec_load(sums.llr + VEC_LANES), vec_load(re)));
    write_planes(sums.llr + 2 * VEC_LANES, d->bits - 2, planes + 2 * (size_t)stride, stride);
}

static void quadrant_max_log(const struct demapper *d, const float *re, const float *im,
                             const float *inverse_noise, float *planes, int stride)
{
    vec t[64], best = vec_splat(-1e30f), left = best, down = best;
    const vec x = axis_slope(re, inverse_noise, 1.0f), y = axis_slope(im, inverse_noise, 1.0f);
    const vec x_far = -2.0f * x, y_far = -2.0f * y;
    const vec noise = -vec_load(inverse_noise);
    for (int k = 0; k < d->count; k++) {
        vec a = vec_splat(d->re[k]), b = vec_splat(d->im[k]);
        vec m = vec_fused(b, y, d->power[k] * noise);
        m = vec_fused(a, x, m);
        t[k] = m;
        best = vec_larger(m, best);
        left = vec_larger(vec_fused(a, x_far, m), left);
        down = vec_larger(vec_fused(b, y_far, m), down);
    }
    vec_store(planes, vec_turned(best - down, vec_load(im)));
    vec_store(planes + stride, vec_turned(best - left, vec_load(re)));
    fold_maxima(t, d->count, planes + 2 * (size_t)stride, stride);
}

static void demap_product(const struct demapper *d, enum demapper_method method, const float *r,
                          const float *inverse_noise, float *planes, int step)
{
    if (d->count == 1) {
        axis_two_levels(d, r, inverse_noise, planes);
    } else if (method == DEMAP_EXACT) {
        axis_exact(d, r, inverse_noise, planes, step);
    } else {
        axis_max_log(d, r, inverse_noise, planes, step);
    }
}

static void kernel_demap(const struct demapper *d, enum demapper_method method,
                         struct received cells, struct bit_planes to)
{
    for (int i = 0; i < cells.count; i += VEC_LANES) {
        const float *re = cells.re + i, *im = cells.im + i, *noise = cells.inverse_noise + i;
        float *planes = to.ratios + i;
        if (d->is_product) {
            demap_product(d, method, im, noise, planes, 2 * to.stride);
            demap_product(d, method, re, noise, planes + to.stride, 2 * to.stride);
        } else if (method == DEMAP_EXACT) {
            quadrant_exact(d, re, im, noise, planes, to.stride);
        } else {
            quadrant_max_log(d, re, im, noise, planes, to.stride);
        }
    }
}

/* ---- Any set whose two parts meet unequal noise: rotated constellations. ---- */

/* Exponents of all points, 2 a r_re / N_re - a^2 / N_re and the same of the other part, to the base
 * `scale`; returns the largest. */
static inline vec fill_exponents(struct points points, struct received_apart cells, float scale,
                                 vec *t)
{
    const vec re_noise = scale * vec_load(cells.re_inverse_noise);
    const vec im_noise = scale * vec_load(cells.im_inverse_noise);
    const vec x = 2.0f * vec_load(cells.re) * re_noise, y = 2.0f * vec_load(cells.im) * im_noise;
    vec largest = vec_splat(-1e30f);
    for (int k = 0; k < 1 << points.bits; k++) {
        float a = points.re[k], b = points.im[k];
        vec m = vec_fused(vec_splat(b), y, -(b * b) * im_noise);
        m = vec_fused(vec_splat(-(a * a)), re_noise, m);
        t[k] = vec_fused(vec_splat(a), x, m);
        largest = vec_larger(t[k], largest);
    }
    return largest;
}

static void apart_exact(struct points points, struct received_apart cells, float *planes,
                        int stride)
{
    static const int raise[4] = {TOP, TOP, TOP, TOP};
    struct sums sums;
    vec t[256];
    const vec largest = fill_exponents(points, cells, LOG2_E * SIXTEENTHS, t);
    for (int k = 0; k < 1 << points.bits; k += 4) {
        vec four[4] = {t[k] - largest, t[k + 1] - largest, t[k + 2] - largest, t[k + 3] - largest};
        take_powers(four, raise, 4);
        for (int i = 0; i < 4; i++) {
            t[k + i] = four[i];
        }
    }
    fold_sums(t, 1 << points.bits, sums.zero, sums.one);
    take_ratios(&sums, points.bits);
    write_planes(sums.llr, points.bits, planes, stride);
}

static void apart_max_log(struct points points, struct received_apart cells, float *planes,
                          int stride)
{
    vec t[256];
    (void)fill_exponents(points, cells, 1.0f, t);
    fold_maxima(t, 1 << points.bits, planes, stride);
}

static void kernel_demap_apart(struct points points, enum demapper_method method,
                               struct received_apart cells, struct bit_planes to)
{
    for (int i = 0; i < cells.count; i += VEC_LANES) {
        struct received_apart here = {cells.re + i, cells.re_inverse_noise + i, cells.im + i,
                                      cells.im_inverse_noise + i, VEC_LANES};
        (method == DEMAP_EXACT ? apart_exact : apart_max_log)(points, here, to.ratios + i,
                                                              to.stride);
    }
}
