/* The body of kernels_*.c, which define KERNELS and KERNELS_NAME. Every loop over lanes is of
 * constant length without branches, so that compilers turn it into vector code; contraction into
 * fused operations is off (-ffp-contract=off), so that every processor family rounds alike.
 *
 * Demapping. With r the received cell, N its noise power and s a point, a bit's log-likelihood
 * ratio is log sum_{s: bit 0} exp(-|r - s|^2 / N) - log sum_{s: bit 1} of the same. All sets are
 * symmetric in both axes: for the quadrant's point (a, b), with M = (2 a |r_re| + 2 b |r_im| -
 * a^2 - b^2) / N the exponent of the nearest of its four mirror images (|r|^2 cancels), the others
 * have 4 a |r_re| / N or 4 b |r_im| / N or both less. The largest exponent comes from a pass over
 * a quarter of the points; the sums then are exact. Products of two axes take one
 * axis at a time. Worked number: QPSK, r_re = 0.5, N = 1: 4 x 0.5 / sqrt(2) = 1.414. */

#include <math.h>
#include <string.h>

#define LANES KERNEL_LANES
#define EACH_LANE for (int l = 0; l < LANES; l++)

static inline float from_bits(uint32_t bits)
{
    float value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

static inline uint32_t to_bits(float value)
{
    uint32_t bits;
    memcpy(&bits, &value, sizeof bits);
    return bits;
}

/* exp(x) for x <= 0, to 2e-7 of its value near 0, growing to 5e-6 at -80; nothing for smaller x,
 * so that no sum ever meets the slow numbers below a float's normal range. The polynomial has the
 * smallest relative error on |f| <= 1/2 that the fifth power allows, 7.5e-8 (Remez's method). */
static inline float exp_negative(float x)
{
    float t = (x > -80.0f ? x : -80.0f) * 1.44269504f;
    float shifted = t + 12582912.0f; /* 1.5 x 2^23: rounds to a whole number */
    float f = t - (shifted - 12582912.0f);
    float p = 1.327647198e-3f;
    p = p * f + 9.675541334e-3f;
    p = p * f + 5.550713274e-2f;
    p = p * f + 2.402211972e-1f;
    p = p * f + 6.931469671e-1f;
    p = p * f + 1.000000072f;
    return x > -80.0f ? from_bits(to_bits(p) + (to_bits(shifted) << 23)) : 0.0f;
}

/* log(x) for normal x > 0, to 1e-7 absolute near 1: 2 atanh((m - 1) / (m + 1)) by its series for
 * m in sqrt(1/2)..sqrt(2), plus the exponent's part. */
static inline float log_positive(float x)
{
    uint32_t bits = to_bits(x) - 0x3F3504F3u;
    float exponent = (float)((int32_t)bits >> 23);
    float m = from_bits((bits & 0x007FFFFFu) + 0x3F3504F3u);
    float s = (m - 1.0f) / (m + 1.0f);
    float s2 = s * s;
    float p = 1.0f / 9.0f;
    p = p * s2 + 1.0f / 7.0f;
    p = p * s2 + 1.0f / 5.0f;
    p = p * s2 + 1.0f / 3.0f;
    p = p * s2 + 1.0f;
    return exponent * 0.693147181f + 2.0f * s * p;
}

/* Sums of probabilities for both values of up to twelve bits, and their ratios' logarithms. One
 * long loop: compilers make scalar code of short ones. */
struct sums {
    float zero[12 * LANES], one[12 * LANES], llr[12 * LANES];
};

static void take_ratios(struct sums *restrict sums, int bits)
{
    for (int i = 0; i < bits * LANES; i++) {
        float zero = sums->zero[i] > 1e-37f ? sums->zero[i] : 1e-37f;
        float one = sums->one[i] > 1e-37f ? sums->one[i] : 1e-37f;
        sums->llr[i] = log_positive(zero) - log_positive(one);
    }
}

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

/* ---- Marginals: sums (or maxima) over the index bits of `count` x LANES values. ---- */

static void fold_sums(float (*t)[LANES], int count, float *restrict sums_zero,
                      float *restrict sums_one)
{
    for (int half = count / 2; half > 0; half /= 2, sums_zero += LANES, sums_one += LANES) {
        float zero[LANES] = {0}, one[LANES] = {0};
        for (int k = 0; k < half; k++) {
            EACH_LANE
            {
                zero[l] += t[k][l];
                one[l] += t[k + half][l];
                t[k][l] += t[k + half][l];
            }
        }
        EACH_LANE
        {
            sums_zero[l] = zero[l];
            sums_one[l] = one[l];
        }
    }
}

static void fold_maxima(float (*t)[LANES], int count, float *restrict planes, int step)
{
    for (int half = count / 2; half > 0; half /= 2, planes += step) {
        float zero[LANES], one[LANES];
        EACH_LANE
        {
            zero[l] = one[l] = -1e30f;
        }
        for (int k = 0; k < half; k++) {
            EACH_LANE
            {
                float a = t[k][l], b = t[k + half][l];
                zero[l] = a > zero[l] ? a : zero[l];
                one[l] = b > one[l] ? b : one[l];
                t[k][l] = a > b ? a : b;
            }
        }
        EACH_LANE
        {
            planes[l] = zero[l] - one[l];
        }
    }
}

/* Log-likelihood ratio of a sign bit from that of the magnitudes. */
static void write_signed(const float *restrict llr, const float *restrict axis,
                         float *restrict plane)
{
    EACH_LANE
    {
        plane[l] = axis[l] < 0.0f ? -llr[l] : llr[l];
    }
}

static void write_planes(const float *restrict llr, int bits, float *restrict planes, int step)
{
    for (int y = 0; y < bits; y++) {
        memcpy(planes + (size_t)y * (size_t)step, llr + (size_t)y * LANES, sizeof(float) * LANES);
    }
}

struct axis {
    float slope[LANES]; /* 2 |r| / N */
};

static void axis_prepare(struct axis *axis, const float *restrict r,
                         const float *restrict inverse_noise)
{
    EACH_LANE
    {
        axis->slope[l] = 2.0f * fabsf(r[l]) * inverse_noise[l];
    }
}

/* ---- Products of two axes: QPSK, 1024QAM, 4096QAM. ---- */

static void axis_exact(const struct demapper *d, const float *restrict r,
                       const float *restrict inverse_noise, float *restrict planes, int step)
{
    struct axis axis;
    struct sums sums;
    float t[32][LANES], largest[LANES], same[LANES] = {0}, opposite[LANES] = {0};
    axis_prepare(&axis, r, inverse_noise);
    EACH_LANE
    {
        largest[l] = -1e30f;
    }
    for (int k = 0; k < d->count; k++) {
        EACH_LANE
        {
            float m = d->re[k] * axis.slope[l] - d->power[k] * inverse_noise[l];
            t[k][l] = m;
            largest[l] = m > largest[l] ? m : largest[l];
        }
    }
    for (int k = 0; k < d->count; k++) {
        EACH_LANE
        {
            float m = t[k][l] - largest[l];
            float near_side = exp_negative(m);
            float far_side = exp_negative(m - 2.0f * d->re[k] * axis.slope[l]);
            same[l] += near_side;
            opposite[l] += far_side;
            t[k][l] = near_side + far_side;
        }
    }
    memcpy(sums.zero, same, sizeof same);
    memcpy(sums.one, opposite, sizeof opposite);
    fold_sums(t, d->count, sums.zero + LANES, sums.one + LANES);
    take_ratios(&sums, d->bits / 2);
    write_signed(sums.llr, r, planes);
    write_planes(sums.llr + LANES, d->bits / 2 - 1, planes + step, step);
}

static void axis_max_log(const struct demapper *d, const float *restrict r,
                         const float *restrict inverse_noise, float *restrict planes, int step)
{
    struct axis axis;
    float t[32][LANES], same[LANES], opposite[LANES], llr[LANES];
    axis_prepare(&axis, r, inverse_noise);
    EACH_LANE
    {
        same[l] = opposite[l] = -1e30f;
    }
    for (int k = 0; k < d->count; k++) {
        EACH_LANE
        {
            float m = d->re[k] * axis.slope[l] - d->power[k] * inverse_noise[l];
            float far_side = m - 2.0f * d->re[k] * axis.slope[l];
            t[k][l] = m;
            same[l] = m > same[l] ? m : same[l];
            opposite[l] = far_side > opposite[l] ? far_side : opposite[l];
        }
    }
    EACH_LANE
    {
        llr[l] = same[l] - opposite[l];
    }
    write_signed(llr, r, planes);
    fold_maxima(t, d->count, planes + step, step);
}

/* QPSK needs neither logarithm nor maximum. */
static void axis_two_levels(const struct demapper *d, const float *restrict r,
                            const float *restrict inverse_noise, float *restrict plane)
{
    EACH_LANE
    {
        plane[l] = 4.0f * d->re[0] * r[l] * inverse_noise[l];
    }
}

/* ---- Sets of the plane: 16QAM, 64QAM, 256QAM. ---- */

static void quadrant_exact(const struct demapper *d, const float *restrict re,
                           const float *restrict im, const float *restrict inverse_noise,
                           float *restrict planes, int stride)
{
    struct axis x, y;
    struct sums sums;
    float t[64][LANES], largest[LANES];
    float right[LANES] = {0}, left[LANES] = {0}, up[LANES] = {0}, down[LANES] = {0};
    axis_prepare(&x, re, inverse_noise);
    axis_prepare(&y, im, inverse_noise);
    EACH_LANE
    {
        largest[l] = -1e30f;
    }
    for (int k = 0; k < d->count; k++) {
        EACH_LANE
        {
            float m =
                d->re[k] * x.slope[l] + d->im[k] * y.slope[l] - d->power[k] * inverse_noise[l];
            t[k][l] = m;
            largest[l] = m > largest[l] ? m : largest[l];
        }
    }
    for (int k = 0; k < d->count; k++) {
        EACH_LANE
        {
            float m = t[k][l] - largest[l];
            float to_left = 2.0f * d->re[k] * x.slope[l], to_down = 2.0f * d->im[k] * y.slope[l];
            float right_up = exp_negative(m), left_up = exp_negative(m - to_left);
            float right_down = exp_negative(m - to_down);
            float left_down = exp_negative(m - to_left - to_down);
            right[l] += right_up + right_down;
            left[l] += left_up + left_down;
            up[l] += right_up + left_up;
            down[l] += right_down + left_down;
            t[k][l] = (right_up + right_down) + (left_up + left_down);
        }
    }
    memcpy(sums.zero, up, sizeof up);
    memcpy(sums.one, down, sizeof down);
    memcpy(sums.zero + LANES, right, sizeof right);
    memcpy(sums.one + LANES, left, sizeof left);
    fold_sums(t, d->count, sums.zero + 2 * LANES, sums.one + 2 * LANES);
    take_ratios(&sums, d->bits);
    write_signed(sums.llr, im, planes);
    write_signed(sums.llr + LANES, re, planes + stride);
    write_planes(sums.llr + 2 * LANES, d->bits - 2, planes + 2 * stride, stride);
}

static void quadrant_max_log(const struct demapper *d, const float *restrict re,
                             const float *restrict im, const float *restrict inverse_noise,
                             float *restrict planes, int stride)
{
    struct axis x, y;
    float t[64][LANES], best[LANES], left[LANES], down[LANES];
    axis_prepare(&x, re, inverse_noise);
    axis_prepare(&y, im, inverse_noise);
    EACH_LANE
    {
        best[l] = left[l] = down[l] = -1e30f;
    }
    for (int k = 0; k < d->count; k++) {
        EACH_LANE
        {
            float to_x = d->re[k] * x.slope[l], to_y = d->im[k] * y.slope[l];
            float m = to_x + to_y - d->power[k] * inverse_noise[l];
            float m_left = m - 2.0f * to_x, m_down = m - 2.0f * to_y;
            t[k][l] = m;
            best[l] = m > best[l] ? m : best[l];
            left[l] = m_left > left[l] ? m_left : left[l];
            down[l] = m_down > down[l] ? m_down : down[l];
        }
    }
    EACH_LANE
    {
        left[l] = best[l] - left[l];
        down[l] = best[l] - down[l];
    }
    write_signed(down, im, planes);
    write_signed(left, re, planes + stride);
    fold_maxima(t, d->count, planes + 2 * stride, stride);
}

static void demap_product(const struct demapper *d, enum demapper_method method,
                          const float *restrict r, const float *restrict inverse_noise,
                          float *restrict planes, int step)
{
    if (d->count == 1) {
        axis_two_levels(d, r, inverse_noise, planes);
    } else if (method == DEMAP_EXACT) {
        axis_exact(d, r, inverse_noise, planes, step);
    } else {
        axis_max_log(d, r, inverse_noise, planes, step);
    }
}

static void kernel_demap(const struct demapper *d, enum demapper_method method, const float *re,
                         const float *im, const float *inverse_noise, int count, float *planes,
                         int stride)
{
    for (int i = 0; i < count; i += LANES) {
        if (d->is_product) {
            demap_product(d, method, im + i, inverse_noise + i, planes + i, 2 * stride);
            demap_product(d, method, re + i, inverse_noise + i, planes + stride + i, 2 * stride);
        } else if (method == DEMAP_EXACT) {
            quadrant_exact(d, re + i, im + i, inverse_noise + i, planes + i, stride);
        } else {
            quadrant_max_log(d, re + i, im + i, inverse_noise + i, planes + i, stride);
        }
    }
}

const struct kernels KERNELS = {.name = KERNELS_NAME,
                                .normal = kernel_normal,
                                .exponential = kernel_exponential,
                                .add_noise = kernel_add_noise,
                                .demap = kernel_demap};
