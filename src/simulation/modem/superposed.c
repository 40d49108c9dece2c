/* The likelihood of the lower point c is the sum over all upper points e of exp(-|r - c - a e|^2 /
 * N); a bit's ratio is the logarithm of the sums over c. Powers are taken against the most likely
 * point of all, by 2^x = 2^i 2^f: i goes to a float's exponent, 2^f is Taylor's series
 * to the sixth power, which errs by 1.2e-7 for |f| <= 1/2.
 * Lanes of cells are side by side, so that compilers make vector code; steps are rounded exactly,
 * so that all processors give the same bits. Worked number: QPSK upon QPSK with a = 1/2 at 0.7 on
 * one axis, N = 1: the ratio is log of (exp(-(0.7 - 1.061)^2) + exp(-(0.7 - 0.354)^2)) over
 * (exp(-(0.7 + 1.061)^2) + exp(-(0.7 + 0.354)^2)) = 1.550. */
#include "simulation/modem/superposed.h"

#include <math.h>
#include <string.h>

#include "simulation/modem/floats.h"

#define EACH_LANE for (int l = 0; l < KERNEL_LANES; l++)
#define LOG2_E 1.44269504f
#define LEAST (-120.0f) /* powers of two below the most likely: nothing */

struct lanes {
    float at[KERNEL_LANES];
};

/* 2^x for x from LEAST to 0. Adding 1.5 x 2^23 rounds to a whole number in the low bits. */
static inline float power_of_two(float x)
{
    float shifted = x + 12582912.0f, f = x - (shifted - 12582912.0f);
    float p = 1.5403530e-4f;
    p = p * f + 1.3333558e-3f;
    p = p * f + 9.6181291e-3f;
    p = p * f + 5.5504109e-2f;
    p = p * f + 2.4022651e-1f;
    p = p * f + 6.9314718e-1f;
    p = p * f + 1.0f;
    return p * from_bits((to_bits(shifted) + 127u) << 23);
}

/* Of the likelihood of a point so far away, 1/N and it to the base 2. */
static inline float exponent(float re, float im, float inverse_noise)
{
    return -(re * re + im * im) * inverse_noise;
}

/* Sums of the upper point's likelihoods over each lower point's, for a row of lanes. */
struct row {
    struct lanes re, im, inverse_noise, largest;
};

static void find_largest(const struct modem *lower, const struct modem *upper, float alpha,
                         struct row *row)
{
    EACH_LANE
    {
        row->largest.at[l] = -1e30f;
    }
    for (int c = 0; c < lower->points; c++) {
        for (int e = 0; e < upper->points; e++) {
            float re = lower->re[c] + alpha * upper->re[e];
            float im = lower->im[c] + alpha * upper->im[e];
            EACH_LANE
            {
                float x =
                    exponent(row->re.at[l] - re, row->im.at[l] - im, row->inverse_noise.at[l]);
                row->largest.at[l] = x > row->largest.at[l] ? x : row->largest.at[l];
            }
        }
    }
}

static void sum_upper(const struct modem *lower, int c, const struct modem *upper, float alpha,
                      const struct row *row, struct lanes *sum)
{
    memset(sum, 0, sizeof *sum);
    for (int e = 0; e < upper->points; e++) {
        float re = lower->re[c] + alpha * upper->re[e];
        float im = lower->im[c] + alpha * upper->im[e];
        EACH_LANE
        {
            float x = exponent(row->re.at[l] - re, row->im.at[l] - im, row->inverse_noise.at[l]) -
                      row->largest.at[l];
            sum->at[l] += power_of_two(x > LEAST ? x : LEAST);
        }
    }
}

void superposed_demap(const struct modem *lower, const struct modem *upper, float alpha,
                      struct received cells, struct bit_planes to)
{
    for (int first = 0; first < cells.count; first += KERNEL_LANES) {
        struct row row;
        struct lanes sums[2][12] = {{{{0}}}}, sum;
        memcpy(&row.re, cells.re + first, sizeof row.re);
        memcpy(&row.im, cells.im + first, sizeof row.im);
        EACH_LANE
        {
            row.inverse_noise.at[l] = LOG2_E * cells.inverse_noise[first + l];
        }
        find_largest(lower, upper, alpha, &row);
        for (int c = 0; c < lower->points; c++) {
            sum_upper(lower, c, upper, alpha, &row, &sum);
            for (int y = 0; y < lower->bits; y++) {
                struct lanes *of = &sums[c >> (lower->bits - 1 - y) & 1][y];
                EACH_LANE
                {
                    of->at[l] += sum.at[l];
                }
            }
        }
        for (int y = 0; y < lower->bits; y++) {
            float *ratios = to.ratios + (size_t)y * (size_t)to.stride + first;
            EACH_LANE
            {
                ratios[l] = log_positive(sums[0][y].at[l]) - log_positive(sums[1][y].at[l]);
            }
        }
    }
}

/* log(exp(a) + exp(b)). */
static double join(double a, double b)
{
    double high = fmax(a, b), low = fmin(a, b);
    return isfinite(low) ? high + log1p(exp(low - high)) : high;
}

void superposed_demap_by_definition(const struct modem *lower, const struct modem *upper,
                                    double alpha, double re, double im, double inverse_noise,
                                    double *llr)
{
    for (int y = 0; y < lower->bits; y++) {
        double sums[2] = {-INFINITY, -INFINITY};
        for (int c = 0; c < lower->points; c++) {
            int bit = c >> (lower->bits - 1 - y) & 1;
            for (int e = 0; e < upper->points; e++) {
                double x = re - (double)lower->re[c] - alpha * (double)upper->re[e];
                double z = im - (double)lower->im[c] - alpha * (double)upper->im[e];
                sums[bit] = join(sums[bit], -(x * x + z * z) * inverse_noise);
            }
        }
        llr[y] = sums[0] - sums[1];
    }
}
