/* What a bit-by-bit demapper learns from an evenly spaced set, one axis at a time: quadrature.c has
 * the formula. With a hierarchy the sign of an axis is the high priority stream's bit and the rest
 * the low one's; the demapper knows nothing of the other stream's bits, as where both are decoded
 * on their own. Levels: odd numbers, in a hierarchy alpha - 1 further out; Gray codes as in ETSI
 * EN 300 744 and EN 302 755 (tables 14 and 15).
 *
 * Worked number: 16QAM at 10 dB carries 3.163 bit; its high priority stream alone, alpha 2, 1.95.
 */
#include "physics/information/uniform.h"

#include <assert.h>
#include <math.h>

#include "base/units.h"
#include "physics/information/gauss_hermite.h"

#define AXIS_MAX 16

/* Every set has its place: all of 2 to 8 bits first, then streams by bits, alpha and stream. */
int uniform_set(int bits, int alpha, enum uniform_stream stream)
{
    if (stream == STREAM_ALL) {
        return alpha == 1 && bits % 2 == 0 && bits >= 2 && bits <= 8 ? bits / 2 - 1 : -1;
    }
    int step = alpha == 1 ? 0 : alpha == 2 ? 1 : alpha == 4 ? 2 : -1;
    return step >= 0 && (bits == 4 || bits == 6)
               ? 4 + (bits / 2 - 2) * 6 + step * 2 + (stream == STREAM_LOW)
               : -1;
}

struct information_curve information_curve_uniform(int bits, int alpha, enum uniform_stream stream)
{
    int set = uniform_set(bits, alpha, stream);
    assert(set >= 0);
    return (struct information_curve){
        .microbits = uniform_microbits + uniform_starts[set],
        .count = uniform_starts[set + 1] - uniform_starts[set],
    };
}

/* Gray levels of an axis for unit mean power; the first bit of an index is the sign, the others are
 * the Gray code of the place from the outside in. */
static int fill_levels(int bits, int alpha, double *levels)
{
    int count = 1 << bits, half = count / 2;
    double power = 0.0;
    for (int i = 0; i < half; i++) {
        int place = i ^ i >> 1 ^ i >> 2;
        levels[i] = 2 * (half - 1 - place) + alpha;
        power += levels[i] * levels[i] / half;
    }
    for (int i = 0; i < half; i++) {
        levels[i] /= sqrt(power);
        levels[half + i] = -levels[i];
    }
    return count;
}

/* log2 of all likelihoods over those with the sent level's bit, over the bits from..to of it. */
static double missed_bits(const double *likelihoods, int count, int sent, int from, int to)
{
    double missed = 0.0;
    for (int bit = from; bit < to; bit++) {
        double all = 0.0, alike = 0.0;
        for (int i = 0; i < count; i++) {
            all += likelihoods[i];
            alike += ((i ^ sent) >> bit & 1) == 0 ? likelihoods[i] : 0.0;
        }
        missed += log2(all / alike);
    }
    return missed;
}

double information_uniform_by_quadrature(int bits, int alpha, enum uniform_stream stream,
                                         double snr_db, int order)
{
    double nodes[GAUSS_HERMITE_ORDER_MAX], weights[GAUSS_HERMITE_ORDER_MAX];
    double levels[AXIS_MAX] = {0.0}, likelihoods[AXIS_MAX];
    assert(order >= 16 && order <= GAUSS_HERMITE_ORDER_MAX &&
           uniform_set(bits, alpha, stream) >= 0);
    gauss_hermite(order, nodes, weights);
    int axis = bits / 2, count = fill_levels(axis, alpha, levels);
    /* Bit numbers from the last one: the sign is number axis - 1. */
    int from = stream == STREAM_HIGH ? axis - 1 : 0, to = stream == STREAM_LOW ? axis - 1 : axis;
    double scale = sqrt(ratio_from_db(snr_db) / 2.0), missed = 0.0;
    for (int sent = 0; sent < count / 2; sent++) { /* the other half mirrors it */
        for (int node = 0; node < order; node++) {
            for (int i = 0; i < count; i++) {
                double apart = scale * (levels[sent] - levels[i]) + nodes[node];
                likelihoods[i] = exp(-apart * apart);
            }
            missed += weights[node] * missed_bits(likelihoods, count, sent, from, to);
        }
    }
    return 2.0 * ((to - from) - missed / (0.5 * count));
}
