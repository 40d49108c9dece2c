/* Idea. What lag costs a position hangs on its phases, but mostly by way of what the ideal
 * equaliser makes of them: x, its SNR, and y, what wrong decisions cost it. So straight lines in x
 * and y are laid by least squares through the logarithm of the error that lag adds, and through
 * what wrong decisions cost lagging taps. How well they foretell is told by the positions
 * themselves: each is foretold from all the others (leaving one out: its residual over 1 - h, h its
 * own weight in the fit; Allen, Technometrics 16, 1974), and while the root mean square of what the
 * margins are then off is above SURE_DB each position finds its own. A position outside of what was
 * seen does too. The errors of single positions are nearly independent, so that margins that half,
 * 90 and 99 % of them reach are nearer yet.
 * Where the receiver moves each position has waves of its own, which no line foretells, and
 * following all would take seconds: those after the first WAVES_MOST take what happened to the one
 * of these where the ideal equaliser and wrong decisions leave most nearly as much. A single margin
 * may be dB off; the share of positions that decode is not (test_lags.c).
 *
 * Worked number (computed, tests/physics/vsb/test_lags.c): three echoes of -8 to -14 dB of which
 * one turns at 1 Hz, 22 dB, step 0.05: 16 positions foretell the others within 0.03 dB, root mean
 * square. Three rays of 0.6 and -1.1 Hz at -5 to -7 dB, 18 dB: all are followed.
 */
#include "physics/vsb/lags.h"

#include <math.h>

#include "base/units.h"
#include "physics/vsb/adaptation.h"

#define SAME_SNR_DB 0.5 /* what was found at another is forgotten */
#define LEAST 16        /* positions before anything is foretold */
#define EACH 8          /* and as many more before it is tried again */
#define SURE_DB 0.03
#define WAVES_MOST 192    /* positions that are followed where each has waves of its own */
#define SOME_MORE_DB 0.02 /* outside of what was seen */

void vsb_lags_free(struct vsb_lags *lags)
{
    for (int i = 0; i < VSB_TEACHERS; i++) {
        vsb_learner_free(lags->learners[i]);
        lags->learners[i] = NULL;
    }
}

double vsb_lag_left_db(const struct vsb_lag *lag, double step)
{
    double least_error = 1.0 / (1.0 + ratio_from_db(lag->ideal_db));
    double added = lag->error + vsb_adaptation_noise(least_error + lag->error, step);
    return db_from_ratio(vsb_adaptation_snr(least_error, added));
}

/* How far a lag seen is from what is asked, by what the ideal equaliser leaves and, where each has
 * waves of its own, by what wrong decisions cost that. */
static double apart_db(const struct vsb_lag *seen, const struct vsb_lag *lag, bool waves)
{
    double ideal_db = fabs(seen->ideal_db - lag->ideal_db);
    return waves ? ideal_db + fabs(seen->static_db - lag->static_db) : ideal_db;
}

static const struct vsb_lag *nearest(const struct vsb_lags *lags, const struct vsb_lag *lag,
                                     bool waves)
{
    const struct vsb_lag *nearest = &lags->lags[0];
    for (int i = 1; i < lags->count; i++) {
        if (apart_db(&lags->lags[i], lag, waves) < apart_db(nearest, lag, waves)) {
            nearest = &lags->lags[i];
        }
    }
    return nearest;
}

static const struct vsb_lag *seen_already(const struct vsb_lags *lags, const struct vsb_lag *lag)
{
    for (int i = 0; i < lags->count; i++) {
        if (lags->lags[i].ideal_db == lag->ideal_db && lags->lags[i].static_db == lag->static_db) {
            return &lags->lags[i];
        }
    }
    return NULL;
}

static void features(const struct vsb_lags *lags, const struct vsb_lag *lag, double x[3])
{
    x[0] = 1.0;
    x[1] = lag->ideal_db - lags->centre[0];
    x[2] = lag->static_db - lags->centre[1];
}

static double line(const double coefficients[3], const double x[3])
{
    return coefficients[0] * x[0] + coefficients[1] * x[1] + coefficients[2] * x[2];
}

/* The inverse of a symmetric matrix, by its cofactors. False: it has none to speak of. */
static bool invert(double m[3][3], double inverse[3][3])
{
    for (int i = 0; i < 3; i++) {
        for (int k = 0; k < 3; k++) {
            int a = (k + 1) % 3, b = (k + 2) % 3, c = (i + 1) % 3, d = (i + 2) % 3;
            inverse[i][k] = m[a][c] * m[b][d] - m[a][d] * m[b][c];
        }
    }
    double determinant =
        m[0][0] * inverse[0][0] + m[0][1] * inverse[1][0] + m[0][2] * inverse[2][0];
    for (int i = 0; i < 3; i++) {
        for (int k = 0; k < 3; k++) {
            inverse[i][k] /= determinant;
        }
    }
    return determinant > 1e-12 * m[0][0] * m[1][1] * m[2][2];
}

static void find_bounds(struct vsb_lags *lags)
{
    lags->low[0] = lags->low[1] = INFINITY;
    lags->high[0] = lags->high[1] = -INFINITY;
    lags->centre[0] = lags->centre[1] = 0.0;
    for (int i = 0; i < lags->count; i++) {
        const double at[2] = {lags->lags[i].ideal_db, lags->lags[i].static_db};
        for (int k = 0; k < 2; k++) {
            lags->low[k] = fmin(lags->low[k], at[k] - SOME_MORE_DB);
            lags->high[k] = fmax(lags->high[k], at[k] + SOME_MORE_DB);
            lags->centre[k] += at[k] / lags->count;
        }
    }
}

/* Lays the lines; `inverse` is left with that of the features' products. */
static bool fit(struct vsb_lags *lags, double inverse[3][3])
{
    double products[3][3] = {{0.0}}, errors[3] = {0.0}, losses[3] = {0.0}, unrests[3] = {0.0}, x[3];
    find_bounds(lags);
    for (int i = 0; i < lags->count; i++) {
        const struct vsb_lag *lag = &lags->lags[i];
        features(lags, lag, x);
        for (int k = 0; k < 3; k++) {
            for (int l = 0; l < 3; l++) {
                products[k][l] += x[k] * x[l];
            }
            errors[k] += x[k] * log(lag->error);
            losses[k] += x[k] * lag->decisions.loss_db;
            unrests[k] += x[k] * lag->decisions.unrest_db;
        }
    }
    products[1][1] += 1e-6; /* one of them may not vary at all */
    products[2][2] += 1e-6;
    bool good = invert(products, inverse);
    for (int k = 0; k < 3; k++) {
        lags->log_error[k] = line(inverse[k], errors);
        lags->loss[k] = line(inverse[k], losses);
        lags->unrest[k] = line(inverse[k], unrests);
    }
    return good;
}

static double margin_db(const struct vsb_lag *lag, double step)
{
    return vsb_lag_left_db(lag, step) - lag->decisions.loss_db - lag->decisions.unrest_db;
}

/* Whether the lines foretell each of those seen from the others. What happened on the way to one
 * is told by nothing that it shares with others. */
static bool foretells(struct vsb_lags *lags, double step)
{
    double inverse[3][3], x[3], squares = 0.0;
    if (!fit(lags, inverse)) {
        return false;
    }
    for (int i = 0; i < lags->count; i++) {
        const struct vsb_lag *lag = &lags->lags[i];
        if (lag->held_db < margin_db(lag, step)) {
            return false;
        }
        features(lags, lag, x);
        double weight = 0.0;
        for (int k = 0; k < 3; k++) {
            weight += x[k] * line(inverse[k], x);
        }
        double part = 1.0 / (1.0 - fmin(weight, 0.999));
        struct vsb_lag other = *lag;
        other.error *= exp(part * (line(lags->log_error, x) - log(lag->error)));
        other.decisions.loss_db += part * (line(lags->loss, x) - lag->decisions.loss_db);
        other.decisions.unrest_db += part * (line(lags->unrest, x) - lag->decisions.unrest_db);
        double off_db = margin_db(&other, step) - margin_db(lag, step);
        squares += off_db * off_db / lags->count;
    }
    return squares < SURE_DB * SURE_DB;
}

static bool is_among(const struct vsb_lags *lags, const struct vsb_lag *lag)
{
    return lag->ideal_db >= lags->low[0] && lag->ideal_db <= lags->high[0] &&
           lag->static_db >= lags->low[1] && lag->static_db <= lags->high[1];
}

/* What wrong decisions cost taps that lag. The unrest that survivors bring has nothing to do with
 * it. */
static void take_costs(enum vsb_feedback feedback, struct vsb_decision_costs costs,
                       struct vsb_lag *lag)
{
    lag->decisions.loss_db = costs.loss_db;
    if (feedback == FEEDBACK_SLICER) {
        lag->decisions.unrest_db = costs.unrest_db;
    }
}

/* How far taps stay behind that learn from what `teacher` says. */
static enum status learn_from(const struct vsb_teacher *teacher,
                              const struct vsb_learning *learning, struct vsb_learner **learner,
                              struct vsb_room *room, struct vsb_lag *lag)
{
    struct vsb_learning taught = *learning;
    struct vsb_learning_error error;
    taught.mu *= teacher->speed;
    taught.teacher = teacher;
    enum status status = vsb_learning_now(&taught, learner, room, &error);
    lag->error = error.added;
    take_costs(learning->feedback, error.decisions, lag);
    lag->held_db = error.held_db;
    return status;
}

static enum status follow(struct vsb_lags *lags, const struct vsb_learning *learning,
                          struct vsb_room *room, struct vsb_lag *lag)
{
    struct vsb_teacher teachers[VSB_TEACHERS];
    const struct vsb_lag none = {.ideal_db = lag->ideal_db};
    double snr = ratio_from_db(vsb_lag_left_db(&none, learning->step));
    int points = vsb_decision_teachers(learning->feedback, snr, teachers);
    double best_db = -INFINITY;
    enum status status = STATUS_OK;
    for (int i = 0; i < points && status == STATUS_OK; i++) {
        struct vsb_lag here = *lag;
        status = learn_from(&teachers[i], learning, &lags->learners[i], room, &here);
        double left_db = fmin(margin_db(&here, learning->step), here.held_db);
        if (status == STATUS_OK && left_db > best_db) {
            best_db = left_db;
            *lag = here;
        }
    }
    if (status != STATUS_OK) {
        return status;
    }
    if (learning->waves) { /* what happened on the way is one loss with the others */
        double left_db = vsb_lag_left_db(lag, learning->step) - lag->decisions.unrest_db;
        lag->decisions.loss_db = fmax(lag->decisions.loss_db, left_db - lag->held_db);
        lag->held_db = INFINITY;
    }
    lags->lags[lags->count++] = *lag;
    if (!learning->waves && lags->count >= LEAST && lags->count % EACH == 0 && lag->error > 0.0) {
        lags->foretold = foretells(lags, learning->step);
    }
    return STATUS_OK;
}

enum status vsb_lags_find(struct vsb_lags *lags, const struct vsb_learning *learning, double snr_db,
                          struct vsb_room *room, struct vsb_lag *lag)
{
    if (fabs(lags->snr_db - snr_db) > SAME_SNR_DB) {
        lags->count = 0;
        lags->foretold = false;
        lags->snr_db = snr_db;
    }
    const struct vsb_lag *seen = seen_already(lags, lag);
    int most = learning->waves ? WAVES_MOST : VSB_LAG_POSITIONS;
    if (seen == NULL && !(lags->foretold && is_among(lags, lag)) && lags->count < most) {
        return follow(lags, learning, room, lag);
    }
    if (seen == NULL && lags->foretold) {
        double x[3];
        features(lags, lag, x);
        lag->error = exp(line(lags->log_error, x));
        take_costs(learning->feedback,
                   (struct vsb_decision_costs){fmax(0.0, line(lags->loss, x)),
                                               fmax(0.0, line(lags->unrest, x))},
                   lag);
        lag->held_db = INFINITY;
        return STATUS_OK;
    }
    seen = seen != NULL ? seen : nearest(lags, lag, learning->waves);
    lag->error = seen->error;
    take_costs(learning->feedback, seen->decisions, lag);
    lag->held_db = seen->held_db;
    return STATUS_OK;
}
