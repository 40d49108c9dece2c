/* What a bit-by-bit demapper learns from a rotated cell whose parts meet unequal noise.
 *
 * Turned by an angle every point of a set has a real and an imaginary part that no other has, so
 * each part tells all bits; sent on cells of their own, a part that is lost leaves the other. The
 * mean of quadrature.c stands, with a scale for each part in its exponents:
 *
 *     p(y|x) ~ exp(-(y_re - x_re)^2 snr_re - (y_im - x_im)^2 snr_im),
 *
 * over points of unit mean power. The demapper has to look at both parts at once: the sums over
 * points are over the plane even where the unrotated set falls into two axes. Turned by 180 degrees
 * a set is itself but for its two sign bits, so half of its points are enough.
 *
 * Source: ETSI EN 302 755 V1.4.1 clause 6.3 and table 16 for the angles. Validity: as
 * quadrature.c. Worked number: QPSK turned by 29 degrees at 12 dB with one part lost carries 1.681
 * bit, of which a set that is not turned keeps 1. */
#include "physics/information/rotated/rotated.h"

#include <assert.h>
#include <math.h>

#include "base/units.h"
#include "physics/information/gauss_hermite.h"

#define POINTS_MAX 256

const struct information_surface *rotated_surface(enum t2_constellation constellation)
{
    return &rotated_surfaces[constellation];
}

struct set {
    int bits;
    double re[POINTS_MAX], im[POINTS_MAX]; /* each part scaled to its noise */
};

/* Even bits are the real axis's before it is turned. */
static void fill_set(enum t2_constellation constellation, double re_db, double im_db,
                     struct set *set)
{
    double levels[T2_LEVELS_MAX], angle = t2_rotation_degrees(constellation) * PI / 180.0;
    double re_scale = sqrt(ratio_from_db(re_db)), im_scale = sqrt(ratio_from_db(im_db));
    set->bits = t2_constellation_bits(constellation);
    (void)t2_levels(constellation, levels);
    for (int i = 0; i < 1 << set->bits; i++) {
        int axes[2] = {0, 0};
        for (int y = 0; y < set->bits; y++) {
            axes[y % 2] = axes[y % 2] << 1 | (i >> (set->bits - 1 - y) & 1);
        }
        double re = levels[axes[0]], im = levels[axes[1]];
        set->re[i] = re_scale * (re * cos(angle) - im * sin(angle));
        set->im[i] = im_scale * (re * sin(angle) + im * cos(angle));
    }
}

/* log2 of all likelihoods over those with the sent point's bit, over all bits; uses them up. */
static double bits_missed(double *likelihoods, int bits, int sent)
{
    double missed = 0.0;
    for (int bit = 0, count = 1 << bits; bit < bits; bit++) {
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

struct rule {
    int order;
    double nodes[GAUSS_HERMITE_ORDER_MAX], weights[GAUSS_HERMITE_ORDER_MAX];
};

/* Likelihoods of one part by the rule's nodes and the points; of a lost part all are alike. */
static void fill_part(const struct rule *rule, const double *points, int count, int sent,
                      double (*likelihoods)[POINTS_MAX])
{
    for (int node = 0; node < rule->order; node++) {
        for (int i = 0; i < count; i++) {
            double apart = points[sent] - points[i] + rule->nodes[node];
            likelihoods[node][i] = exp(-apart * apart);
        }
    }
}

static double point_missed(const struct set *set, const struct rule *rule, int sent)
{
    double re[GAUSS_HERMITE_ORDER_MAX][POINTS_MAX], im[GAUSS_HERMITE_ORDER_MAX][POINTS_MAX];
    double missed = 0.0, both[POINTS_MAX] = {0.0};
    int count = 1 << set->bits;
    fill_part(rule, set->re, count, sent, re);
    fill_part(rule, set->im, count, sent, im);
    for (int node = 0; node < rule->order; node++) {
        for (int other = 0; other < rule->order; other++) {
            for (int i = 0; i < count; i++) {
                both[i] = re[node][i] * im[other][i];
            }
            missed +=
                rule->weights[node] * rule->weights[other] * bits_missed(both, set->bits, sent);
        }
    }
    return missed;
}

double rotated_by_quadrature(enum t2_constellation constellation, double re_db, double im_db,
                             int order)
{
    struct set set;
    struct rule rule = {.order = order};
    double missed = 0.0;
    assert(order >= 16 && order <= GAUSS_HERMITE_ORDER_MAX);
    gauss_hermite(order, rule.nodes, rule.weights);
    fill_set(constellation, re_db, im_db, &set);
    int half = 1 << (set.bits - 1); /* the others are these turned by 180 degrees */
    for (int i = 0; i < half; i++) {
        missed += point_missed(&set, &rule, i);
    }
    return set.bits - missed / half;
}
