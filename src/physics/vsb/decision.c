/* How often decisions are wrong. A decision of error e over the symbols' power has the correlation
 * k = 1 - e / 2 with the symbol, for it takes the same levels as often. The best that feedback can
 * do with it leaves 1 - k^2 of the symbol's power: the doubt. The nearest level: of eight levels 2
 * apart, each as likely, in Gaussian noise; exact, by adding over all pairs of levels. The best
 * survivor of the trellis decoder: by simulation in white noise (*computed*, 2 to 80 million
 * symbols a row; tests/simulation/vsb/receiver/test_survivors.c holds it), by age. Between rows the
 * logarithm is interpolated over dB; above the last it falls as between the last two, and below the
 * first it stays. Worked number: 15 dB: nearest level 0.0367; survivor 0.0112 at once, 0.0024 nine
 * symbols later.
 *
 * What they cost. Feedback taps b put the errors of past decisions into the next one, and errors
 * that follow each other in the rhythm of b grow. For the nearest level: with v the noise before
 * the decision, of variance sv, its error is K v + d, d not correlated with v (the gain of a
 * nonlinear element for random input: Booton, IRE Trans. Circuit Theory 1, 1954), so that v = w - B
 * (K v + d), w being the noise that error-free feedback leaves, and
 *
 *     sv = mean over f of (sw + |B|^2 D) / |1 + K B|^2,   D = e - K^2 sv.
 *
 * Put the other way round, this gives the sw that may be left for an sv. The receiver holds itself
 * where some sv that the code bears, that at NEEDED_DB or less, goes with its sw: the loss is taken
 * at the one of a few that allows most. Errors come in bursts, which the code bears less well than
 * noise of the same power: D counts 1 + BURSTS times.
 *
 * Taps that learn from the nearest level are moved by the decision less the output, (1 - K)(-v) +
 * d: of the error itself they see 1 - K, so that they learn slower by that (lag: learning.h), and d
 * is chance. They jitter as taps do that are moved by noise (adaptation.h), so that sv grows by
 * step / 2 ((1 - K)^2 sv + D) / (1 - K). The best survivor as it decides at once teaches the same
 * way; its K is simulated with its error. Where the code needs it, it hides a quarter of the error,
 * and three decibels above hardly a hundredth.
 *
 * For the trellis decoder's feedback: survivors.c. Both end at an output SNR at which hardly a
 * decision is wrong in an hour. While a fall into errors lasts, taps that learn from survivors
 * learn what is wrong. Where they learn fast that keeps it from mending: what is lost beyond
 * LASTS_FROM_DB counts 1 + (step mu / ASTRAY)^2 times, mu the step of a symbol (adaptation.h). What
 * lag and the way make of it: way.c.
 *
 * Validity: receivers whose taps are of least mean square error, for the trellis decoder with the
 * doubt above counted, or learn. Of 191 rooms drawn widely that its model has not been made from
 * (the last ones of tests/proof/fresh-table.txt, settled by the whole receiver, and looked at while
 * the fit was weighed) 149 lose less than 3 dB by the trellis decoder's feedback: 145 are told
 * within 0.5 dB, two are told too good by 0.6 and 0.75 dB, two too bad by 0.6 dB. Beyond 3 dB four
 * of 42 are more than 0.5 dB too good: one that loses 11 dB by 1.9 dB, the others by up to 0.8 dB;
 * most there are told too bad, by a dB or two. All 248 of receiver-table.txt that lose less are
 * told within 0.5 dB, and none beyond too good. Among rays that turn one room that starts in a fade
 * is told 2.7 dB too good. What rooms lose is known to 0.1 dB below 2 dB, to 0.2 up to 4 dB, to
 * half a dB beyond. Worked number: one tap of 0.5 eighty symbols back: nearest level 1.68 dB,
 * trellis 0.69 dB. */
#include "physics/vsb/decision.h"

#include <math.h>
#include <string.h>

#include "base/units.h"
#include "physics/vsb/rhythm.h"
#include "physics/vsb/survivors.h"

#define NEEDED_DB 14.57 /* SNR of the data at the threshold, white noise (*computed*) */
#define LEVELS 8
#define LEVEL_POWER 21.0 /* mean square of -7, -5 ... 7 */

#define TABLE_FIRST_DB 4
/* For each age the error; last K of the best survivor as it decides at once. */
#define GAIN VSB_DOUBT_AGES
static const double survivor[][VSB_DOUBT_AGES + 1] = {
    {3.294e-01, 3.344e-01, 3.365e-01, 3.390e-01, 3.403e-01, 3.412e-01, 3.418e-01, 3.422e-01,
     3.425e-01, 3.427e-01, 7.763e-01},
    {2.768e-01, 2.815e-01, 2.834e-01, 2.857e-01, 2.870e-01, 2.879e-01, 2.887e-01, 2.892e-01,
     2.895e-01, 2.899e-01, 7.911e-01},
    {2.322e-01, 2.363e-01, 2.385e-01, 2.406e-01, 2.419e-01, 2.429e-01, 2.436e-01, 2.441e-01,
     2.445e-01, 2.447e-01, 8.036e-01},
    {1.951e-01, 1.986e-01, 2.006e-01, 2.025e-01, 2.038e-01, 2.049e-01, 2.056e-01, 2.061e-01,
     2.066e-01, 2.066e-01, 8.134e-01},
    {1.643e-01, 1.672e-01, 1.691e-01, 1.708e-01, 1.721e-01, 1.729e-01, 1.737e-01, 1.740e-01,
     1.745e-01, 1.747e-01, 8.203e-01},
    {1.384e-01, 1.404e-01, 1.417e-01, 1.427e-01, 1.435e-01, 1.443e-01, 1.448e-01, 1.453e-01,
     1.456e-01, 1.458e-01, 8.202e-01},
    {1.148e-01, 1.156e-01, 1.160e-01, 1.165e-01, 1.167e-01, 1.171e-01, 1.173e-01, 1.176e-01,
     1.178e-01, 1.180e-01, 8.069e-01},
    {9.191e-02, 9.142e-02, 9.043e-02, 8.995e-02, 8.948e-02, 8.923e-02, 8.905e-02, 8.884e-02,
     8.873e-02, 8.865e-02, 7.648e-01},
    {6.787e-02, 6.564e-02, 6.354e-02, 6.210e-02, 6.071e-02, 5.971e-02, 5.876e-02, 5.807e-02,
     5.750e-02, 5.704e-02, 6.752e-01},
    {4.407e-02, 4.054e-02, 3.794e-02, 3.567e-02, 3.388e-02, 3.231e-02, 3.110e-02, 3.011e-02,
     2.925e-02, 2.847e-02, 5.270e-01},
    {2.436e-02, 2.078e-02, 1.858e-02, 1.629e-02, 1.483e-02, 1.342e-02, 1.241e-02, 1.149e-02,
     1.079e-02, 1.027e-02, 3.528e-01},
    {1.118e-02, 8.446e-03, 7.103e-03, 5.639e-03, 4.782e-03, 3.982e-03, 3.433e-03, 2.977e-03,
     2.649e-03, 2.384e-03, 1.992e-01},
    {4.320e-03, 2.774e-03, 2.177e-03, 1.512e-03, 1.170e-03, 8.681e-04, 6.787e-04, 5.308e-04,
     4.337e-04, 3.654e-04, 9.540e-02},
    {1.372e-03, 7.058e-04, 5.145e-04, 2.921e-04, 2.027e-04, 1.257e-04, 8.849e-05, 6.121e-05,
     4.700e-05, 3.556e-05, 3.687e-02},
    {3.386e-04, 1.302e-04, 8.684e-05, 3.846e-05, 2.360e-05, 1.156e-05, 6.643e-06, 3.712e-06,
     2.460e-06, 1.631e-06, 1.136e-02},
    {6.082e-05, 1.618e-05, 1.022e-05, 3.079e-06, 1.591e-06, 5.857e-07, 2.738e-07, 1.048e-07,
     5.715e-08, 3.572e-08, 2.630e-03},
    {6.936e-06, 1.288e-06, 7.333e-07, 2.071e-07, 1.286e-07, 1.905e-08, 1.000e-09, 1.000e-09,
     1.000e-09, 1.000e-09, 3.900e-04},
};
#define TABLE_ROWS ((int)(sizeof survivor / sizeof survivor[0]))

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

static double table_value(int column, double snr)
{
    double at = db_from_ratio(snr) - TABLE_FIRST_DB;
    if (!(at > 0.0)) {
        return survivor[0][column];
    }
    int row = at < TABLE_ROWS - 2 ? (int)at : TABLE_ROWS - 2;
    double low = log(survivor[row][column]), high = log(survivor[row + 1][column]);
    return exp(low + (high - low) * (at - row));
}

static double table_error(int age, double snr)
{
    return table_value(age < VSB_DOUBT_AGES ? age : VSB_DOUBT_AGES - 1, snr);
}

/* K of the nearest level: the mean slope of its staircase, by Price's theorem. */
static double slicer_gain(double snr)
{
    double deviation = sqrt(LEVEL_POWER / snr), sum = 0.0;
    for (int sent = 0; sent < LEVELS; sent++) {
        for (int step = 1; step < LEVELS; step++) {
            double off = (2.0 * step - 1.0) / deviation;
            int sides = (sent + step < LEVELS) + (sent - step >= 0);
            sum += sides * 2.0 * exp(-0.5 * off * off) / sqrt(2.0 * PI) / deviation;
        }
    }
    return sum / LEVELS;
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

void vsb_decision_survivors_doubt(double snr, struct vsb_doubts *doubts)
{
    snr = fmax(snr, ratio_from_db(NEEDED_DB));
    doubts->ages = VSB_DOUBT_AGES;
    for (int age = 0; age < doubts->ages; age++) {
        double error = table_error(age, snr);
        doubts->doubt[age] = error * (1.0 - error / 4.0);
    }
}

/* ---- What they cost. ---- */

#define BURSTS 0.25 /* nearest level */

#define ASTRAY 6.3e-5        /* step times mu at which falls that last cost twice as much */
#define LASTS_FROM_DB 2.9    /* of loss */
#define DIVERGES_FROM_DB 1.5 /* smaller losses come and go with single errors */
#define NEGLIGIBLE_ENERGY 1e-5

/* What decisions at that SNR teach, of which the error is `error` and the gain `gain`. */
static struct vsb_teacher teacher_of(double snr, double error, double gain)
{
    double slow = 1.0 - gain, chance = fmax(0.0, error * snr - gain * gain);
    return (struct vsb_teacher){snr, slow, slow * slow + chance};
}

int vsb_decision_teachers(enum vsb_feedback feedback, double snr,
                          struct vsb_teacher teachers[VSB_TEACHERS])
{
    static const double at_db[VSB_TEACHERS] = {NEEDED_DB, 15.5, 16.5, 18.0};
    snr = fmax(snr, ratio_from_db(NEEDED_DB));
    if (feedback == FEEDBACK_ERROR_FREE) {
        teachers[0] = teacher_of(snr, 0.0, 0.0);
        return 1;
    }
    if (feedback == FEEDBACK_TRELLIS) {
        teachers[0] = teacher_of(snr, table_error(0, snr), table_value(GAIN, snr));
        return 1;
    }
    for (int i = 0; i < VSB_TEACHERS; i++) {
        double at = ratio_from_db(at_db[i]);
        teachers[i] = teacher_of(at, slicer_error(at), slicer_gain(at));
    }
    return VSB_TEACHERS;
}

/* Noise that error-free feedback may leave for the nearest level to hold the point; less what taps
 * add that are taught there with `step`. */
static double slicer_budget(const struct rhythm_response *response, const struct vsb_teacher *point,
                            double step)
{
    double gain = 1.0 - point->speed, sv = 1.0 / point->snr;
    double chance = (point->unrest - point->speed * point->speed) * sv;
    struct rhythm rhythm = rhythm_of(response, gain);
    double jitter = 0.5 * step * point->unrest / point->speed * sv;
    return (sv - jitter - (1.0 + BURSTS) * chance * rhythm.energy) / rhythm.growth;
}

static enum status slicer_costs(const double *taps, int count, const struct vsb_teacher *teacher,
                                double step, struct vsb_room *room,
                                struct vsb_decision_costs *costs)
{
    struct vsb_teacher all[VSB_TEACHERS];
    int points = teacher != NULL ? 1 : vsb_decision_teachers(FEEDBACK_SLICER, 0.0, all);
    double needed = ratio_from_db(NEEDED_DB);
    double least = 1.0 / needed / ratio_from_db(VSB_SLICER_MOST_DB), best = least, taught = least;
    struct rhythm_response response;
    enum status status = rhythm_respond(taps, count, 0.0, room, &response);
    for (int i = 0; i < points && status == STATUS_OK; i++) {
        const struct vsb_teacher *point = teacher != NULL ? teacher : &all[i];
        best = fmax(best, slicer_budget(&response, point, 0.0));
        taught = fmax(taught, slicer_budget(&response, point, step));
    }
    double error_free_db = -db_from_ratio(1.0 - 0.5 * step);
    costs->loss_db = fmax(0.0, -db_from_ratio(needed * best));
    costs->unrest_db = fmax(0.0, db_from_ratio(best / taught) - error_free_db);
    return status;
}

/* The same of taps that learn: while a fall lasts they are led astray. */
static enum status survivors_cost(const double *taps, int count, struct vsb_pace pace,
                                  struct vsb_room *room, struct vsb_decision_costs *costs)
{
    enum status status = survivors_loss(taps, count, room, &costs->loss_db);
    double astray = pow(pace.step * pace.mu / ASTRAY, 2.0);
    costs->loss_db += astray * fmax(0.0, costs->loss_db - LASTS_FROM_DB);
    costs->loss_db = fmin(costs->loss_db, VSB_TRELLIS_MOST_DB);
    return status;
}

/* What taps jitter more that survivors teach. */
static double survivors_unrest_db(const struct vsb_teacher *teacher, double step)
{
    return teacher == NULL ? 0.0
                           : db_from_ratio((1.0 - 0.5 * step) /
                                           (1.0 - 0.5 * step * teacher->unrest / teacher->speed));
}

enum status vsb_decision_costs(enum vsb_feedback feedback, const double *backward, int count,
                               const struct vsb_teacher *teacher, struct vsb_pace pace,
                               struct vsb_room *room, struct vsb_decision_costs *costs)
{
    double energy = 0.0;
    *costs = (struct vsb_decision_costs){0.0, 0.0};
    for (int j = 0; j < count; j++) {
        energy += backward[j] * backward[j];
    }
    if (feedback == FEEDBACK_SLICER && (energy >= NEGLIGIBLE_ENERGY || pace.step > 0.0)) {
        return slicer_costs(backward, count, teacher, pace.step, room, costs);
    }
    if (feedback != FEEDBACK_TRELLIS) {
        return STATUS_OK;
    }
    costs->unrest_db = survivors_unrest_db(teacher, pace.step);
    return energy < NEGLIGIBLE_ENERGY ? STATUS_OK
                                      : survivors_cost(backward, count, pace, room, costs);
}

enum status vsb_decision_loss(enum vsb_feedback feedback, const double *backward, int count,
                              struct vsb_room *room, double *loss_db)
{
    struct vsb_decision_costs costs;
    const struct vsb_pace none = {0.0, 0.0};
    enum status status = vsb_decision_costs(feedback, backward, count, NULL, none, room, &costs);
    *loss_db = costs.loss_db;
    return status;
}

bool vsb_decision_diverges(double loss_db, double snr)
{
    return loss_db > DIVERGES_FROM_DB && db_from_ratio(snr) - loss_db < NEEDED_DB;
}
