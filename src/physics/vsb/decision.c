/* Idea. A decision of error e over the symbols' power has the correlation k = 1 - e / 2 with the
 * symbol, for it takes the same levels as often. The best that feedback can do with it leaves 1 -
 * k^2 of the symbol's power: the doubt.
 *
 * The nearest level: of eight levels 2 apart, each as likely, in Gaussian noise; exact, by adding
 * over all pairs of levels. The best survivor of the trellis decoder: by simulation in white noise
 * (*computed*: guardspan-receiver --decisions), by age. Between rows the logarithm is interpolated
 * over dB; above the last it falls as between the last two, and below the first it stays.
 *
 * Worked number: 15 dB: nearest level 0.0368; survivor 0.0111 at once, 0.0024 nine symbols later.
 */
#include "physics/vsb/decision.h"

#include <math.h>

#include "base/units.h"

#define LEVELS 8
#define LEVEL_POWER 21.0 /* mean square of -7, -5 ... 7 */

#define TABLE_FIRST_DB 4
static const double survivor_error[][VSB_DOUBT_AGES] = {
    {3.294e-01, 3.344e-01, 3.365e-01, 3.390e-01, 3.403e-01, 3.412e-01, 3.418e-01, 3.422e-01,
     3.425e-01, 3.427e-01},
    {2.768e-01, 2.815e-01, 2.834e-01, 2.857e-01, 2.870e-01, 2.879e-01, 2.887e-01, 2.892e-01,
     2.895e-01, 2.899e-01},
    {2.322e-01, 2.363e-01, 2.385e-01, 2.406e-01, 2.419e-01, 2.429e-01, 2.436e-01, 2.441e-01,
     2.445e-01, 2.447e-01},
    {1.951e-01, 1.986e-01, 2.006e-01, 2.025e-01, 2.038e-01, 2.049e-01, 2.056e-01, 2.061e-01,
     2.066e-01, 2.066e-01},
    {1.643e-01, 1.672e-01, 1.691e-01, 1.708e-01, 1.721e-01, 1.729e-01, 1.737e-01, 1.740e-01,
     1.745e-01, 1.747e-01},
    {1.384e-01, 1.404e-01, 1.417e-01, 1.427e-01, 1.435e-01, 1.443e-01, 1.448e-01, 1.453e-01,
     1.456e-01, 1.458e-01},
    {1.148e-01, 1.156e-01, 1.160e-01, 1.165e-01, 1.167e-01, 1.171e-01, 1.173e-01, 1.176e-01,
     1.178e-01, 1.180e-01},
    {9.191e-02, 9.142e-02, 9.043e-02, 8.995e-02, 8.948e-02, 8.923e-02, 8.905e-02, 8.884e-02,
     8.873e-02, 8.865e-02},
    {6.787e-02, 6.564e-02, 6.354e-02, 6.210e-02, 6.071e-02, 5.971e-02, 5.876e-02, 5.807e-02,
     5.750e-02, 5.704e-02},
    {4.407e-02, 4.054e-02, 3.794e-02, 3.567e-02, 3.388e-02, 3.231e-02, 3.110e-02, 3.011e-02,
     2.925e-02, 2.847e-02},
    {2.436e-02, 2.078e-02, 1.858e-02, 1.629e-02, 1.483e-02, 1.342e-02, 1.241e-02, 1.149e-02,
     1.079e-02, 1.027e-02},
    {1.118e-02, 8.446e-03, 7.103e-03, 5.639e-03, 4.782e-03, 3.982e-03, 3.433e-03, 2.977e-03,
     2.649e-03, 2.384e-03},
    {4.320e-03, 2.774e-03, 2.177e-03, 1.512e-03, 1.170e-03, 8.681e-04, 6.787e-04, 5.308e-04,
     4.337e-04, 3.654e-04},
    {1.372e-03, 7.058e-04, 5.145e-04, 2.921e-04, 2.027e-04, 1.257e-04, 8.849e-05, 6.121e-05,
     4.700e-05, 3.556e-05},
    {3.386e-04, 1.302e-04, 8.684e-05, 3.846e-05, 2.360e-05, 1.156e-05, 6.643e-06, 3.712e-06,
     2.460e-06, 1.631e-06},
    {6.082e-05, 1.618e-05, 1.022e-05, 3.079e-06, 1.591e-06, 5.857e-07, 2.738e-07, 1.048e-07,
     5.715e-08, 3.572e-08},
    {6.936e-06, 1.288e-06, 7.333e-07, 2.071e-07, 1.286e-07, 1.905e-08, 1.000e-09, 1.000e-09,
     1.000e-09, 1.000e-09},
};
#define TABLE_ROWS ((int)(sizeof survivor_error / sizeof survivor_error[0]))

const char *vsb_feedback_name(enum vsb_feedback feedback)
{
    static const char *const names[FEEDBACK_COUNT] = {[FEEDBACK_TRELLIS] = "trellis",
                                                      [FEEDBACK_SLICER] = "slicer",
                                                      [FEEDBACK_ERROR_FREE] = "error-free"};
    return (unsigned)feedback < FEEDBACK_COUNT ? names[feedback] : "?";
}

static double slicer_error(double snr)
{
    double deviation = sqrt(LEVEL_POWER / snr), sum = 0.0;
    for (int sent = 0; sent < LEVELS; sent++) {
        for (int step = 1; step < LEVELS; step++) {
            /* Decided `step` levels or more away, to either side: adds (2 s)^2 - (2 (s - 1))^2. */
            double tail = 0.5 * erfc((2.0 * step - 1.0) / deviation / sqrt(2.0));
            int sides = (sent + step < LEVELS) + (sent - step >= 0);
            sum += sides * tail * 4.0 * (2.0 * step - 1.0);
        }
    }
    return sum / LEVELS / LEVEL_POWER;
}

static double table_error(int age, double snr)
{
    double at = db_from_ratio(snr) - TABLE_FIRST_DB;
    age = age < VSB_DOUBT_AGES ? age : VSB_DOUBT_AGES - 1;
    if (!(at > 0.0)) {
        return survivor_error[0][age];
    }
    int row = at < TABLE_ROWS - 2 ? (int)at : TABLE_ROWS - 2;
    double low = log(survivor_error[row][age]), high = log(survivor_error[row + 1][age]);
    return exp(low + (high - low) * (at - row));
}

double vsb_decision_error(enum vsb_feedback feedback, int age, double snr)
{
    switch (feedback) {
    case FEEDBACK_SLICER:
        return slicer_error(snr);
    case FEEDBACK_TRELLIS:
        return table_error(age, snr);
    default:
        return 0.0;
    }
}

void vsb_decision_doubt(enum vsb_feedback feedback, double snr,
                        struct vsb_interference *interference)
{
    interference->ages = feedback == FEEDBACK_ERROR_FREE ? 0 : VSB_DOUBT_AGES;
    for (int age = 0; age < interference->ages; age++) {
        double error = fmin(vsb_decision_error(feedback, age, snr), 2.0); /* then k is 0 */
        interference->doubt[age] = error * (1.0 - error / 4.0);
    }
}
