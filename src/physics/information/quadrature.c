/* What a bit-by-bit demapper can learn from a cell (Caire, Taricco and Biglieri, "Bit-interleaved
 * coded modulation", IEEE Trans. Inf. Theory 44, 1998): for m bits a cell
 *
 *     I = m - mean over sent points s and noise n of
 *             sum over bits i of log2( sum over all x of p(y|x) / sum over x with s's bit i of
 * p(y|x) )
 *
 * with y = s + n and p(y|x) ~ exp(-|y - x|^2 / N0), N0 = 1 / SNR at unit mean power. With t = n /
 * sqrt(N0) the mean over noise is a Gauss-Hermite sum in both axes. The sums are exact; nothing is
 * replaced by its largest term. Sets that are products of one real set need one axis only. Where
 * they are not, quadrants mirror each other and swap one bit, so a quarter of the points is
 * enough.
 *
 * Valid at any SNR. The mean is rough where points lie apart by many noise widths, but there the
 * logarithm is rough only where the Gaussian has no weight. Worked number: QPSK at 0 dB carries
 * 2 x 0.4859 bit, twice the binary-input Gaussian channel at Es/N0 = -3 dB. */
#include "physics/information/information.h"

#include <assert.h>
#include <math.h>

#include "base/units.h"
#include "physics/information/gauss_hermite.h"
#include "standard/atsc3/constellation.h"

struct rule {
    int order;
    double nodes[GAUSS_HERMITE_ORDER_MAX], weights[GAUSS_HERMITE_ORDER_MAX];
};

/* Sum over bits of log2(total / sum of likelihoods with the sent point's bit). `likelihoods` is
 * used up: pairs are folded bit by bit, the last bit first. */
static double bits_missed(double *likelihoods, int bits, int sent)
{
    int count = 1 << bits;
    double missed = 0.0;
    for (int bit = 0; bit < bits; bit++) {
        double with[2] = {0.0, 0.0};
        count /= 2;
        for (int i = 0; i < count; i++) {
            with[0] += likelihoods[2 * i];
            with[1] += likelihoods[2 * i + 1];
            likelihoods[i] = likelihoods[2 * i] + likelihoods[2 * i + 1];
        }
        missed += log2((with[0] + with[1]) / with[sent >> bit & 1]);
    }
    return missed;
}

static double axis_information(const double *levels, int count, double scale,
                               const struct rule *rule)
{
    int bits = 0;
    while (1 << bits < count) {
        bits++;
    }
    double likelihoods[CONSTELLATION_LEVELS_MAX] = {0};
    double missed = 0.0;
    for (int sent = 0; sent < count / 2; sent++) { /* the other half mirrors it */
        for (int node = 0; node < rule->order; node++) {
            for (int i = 0; i < count; i++) {
                double apart = scale * (levels[sent] - levels[i]) + rule->nodes[node];
                likelihoods[i] = exp(-apart * apart);
            }
            missed += rule->weights[node] * bits_missed(likelihoods, bits, sent);
        }
    }
    return bits - missed / (0.5 * count);
}

#define PLANE_POINTS_MAX 256

/* exp(-(scale * (sent - x) + node)^2) for every node and point, of one axis. */
static void fill_axis(double (*table)[PLANE_POINTS_MAX], const double *values, int count, int sent,
                      double scale, const struct rule *rule)
{
    for (int node = 0; node < rule->order; node++) {
        for (int i = 0; i < count; i++) {
            double apart = scale * (values[sent] - values[i]) + rule->nodes[node];
            table[node][i] = exp(-apart * apart);
        }
    }
}

static double plane_information(const double complex *points, int count, double scale,
                                const struct rule *rule)
{
    double re[PLANE_POINTS_MAX], im[PLANE_POINTS_MAX];
    double along_re[GAUSS_HERMITE_ORDER_MAX][PLANE_POINTS_MAX];
    double along_im[GAUSS_HERMITE_ORDER_MAX][PLANE_POINTS_MAX];
    int bits = 0;
    while (1 << bits < count) {
        bits++;
    }
    for (int i = 0; i < count; i++) {
        re[i] = creal(points[i]);
        im[i] = cimag(points[i]);
    }
    double likelihoods[PLANE_POINTS_MAX] = {0};
    double missed = 0.0;
    for (int sent = 0; sent < count / 4; sent++) {
        fill_axis(along_re, re, count, sent, scale, rule);
        fill_axis(along_im, im, count, sent, scale, rule);
        for (int a = 0; a < rule->order; a++) {
            for (int b = 0; b < rule->order; b++) {
                for (int i = 0; i < count; i++) {
                    likelihoods[i] = along_re[a][i] * along_im[b][i];
                }
                missed +=
                    rule->weights[a] * rule->weights[b] * bits_missed(likelihoods, bits, sent);
            }
        }
    }
    return bits - missed / (0.25 * count);
}

static double mean_power(const double complex *points, int count)
{
    double sum = 0.0;
    for (int i = 0; i < count; i++) {
        sum += creal(points[i]) * creal(points[i]) + cimag(points[i]) * cimag(points[i]);
    }
    return sum / count;
}

double information_by_quadrature(enum constellation constellation, int rate_15ths, double snr_db,
                                 int order)
{
    assert(order >= 16 && order <= GAUSS_HERMITE_ORDER_MAX);
    struct rule rule = {.order = order};
    gauss_hermite(order, rule.nodes, rule.weights);
    /* Published points are rounded: the SNR counts their true mean power. */
    double complex points[CONSTELLATION_POINTS_MAX];
    int count = constellation_fill(constellation, rate_15ths, points);
    double scale = sqrt(ratio_from_db(snr_db) / mean_power(points, count));
    double levels[CONSTELLATION_LEVELS_MAX];
    int level_count = constellation_levels(constellation, rate_15ths, levels);
    return level_count > 0 ? 2.0 * axis_information(levels, level_count, scale, &rule)
                           : plane_information(points, count, scale, &rule);
}
