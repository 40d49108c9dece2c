/* Idea. The mean of taps w that learn by the least-mean-square rule follows their learning curve,
 *
 *     dw/dn = mu (p(n) - R(n) w),
 *
 * R the covariance of what the taps weigh and p its correlation with the wanted symbol (Haykin,
 * Adaptive Filter Theory, the chapters on the LMS algorithm; taps are taken as independent of their
 * inputs, as there). While echoes turn, R and p turn with them. Taps whose inputs are weak (where
 * feedback cancels what forward taps weigh, only noise is left) learn a hundred times slower than
 * others: within a turn they stand still, but what the fast taps lag behind pushes them the same
 * way turn for turn, far from their best place. That costs more than the lag of the fast ones, and
 * shows only where the curve is followed for as long as the slow ones take.
 *
 * Solution. The curve is followed step by step, from the best taps on, for RUN_IN time constants of
 * the slowest taps, 2 / (mu noise) symbols: two taps share the noise of one sample. Steps are as
 * long as the fastest echo's turn lets them; that fast taps would settle many times within one is
 * taken care of by stages (Runge-Kutta-Chebyshev of second order: Sommeijer, Shampine and Verwer,
 * J. Comput. Appl. Math. 88, 1998). Over the turns that follow, the mean square error is compared
 * with that of the best taps.
 *
 * Validity: against the simulated receiver within 0.3 dB up to 3 dB of loss (tests/proof/
 * receiver-table.txt, and fresh-table.txt, whose motions were drawn by a seed). Worked number:
 * reaches of 12 us, 20 dB, step 0.05, one echo of 5.03 us, -10 dB at 20 Hz: the error grows from
 * 0.01167 by 0.0015, 0.53 dB. */
#include "physics/vsb/learning.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/vsb/curve.h"
#include "physics/vsb/decision.h"
#include "standard/vsb/signal.h"

#define RUN_IN 4.0         /* time constants of the slowest taps */
#define RUN_IN_MOST 1500.0 /* in 1 / mu: some seconds */
#define RUN_IN_STEPS 2000  /* at most; fewer where echoes are too fast to be followed at all */
#define GROWTH 1.3         /* of its steps, backwards */
#define COARSEST 4.0       /* of them, over the last */
#define COARSE_TURNS 2.0   /* of the fastest echo, in a run-in that has such steps */
#define STEPS_A_TURN 24    /* of the fastest echo */
#define STEP_MOST 20.0     /* in 1 / mu, and not above that over the noise: of the slow taps */
#define STAGES_MOST 40
#define INSTANTS 12 /* of the fastest echo's turn, at which the best taps are designed */

/* Coefficients of the stages. */
struct stages {
    int count;
    double w0, w1;
    double value[STAGES_MOST + 1], share[STAGES_MOST + 1], time[STAGES_MOST + 1];
};

static void chebyshev(int degree, double x, double *value, double *first, double *second)
{
    double t[3] = {1.0, x, 0.0}, d[3] = {0.0, 1.0, 0.0}, e[3] = {0.0, 0.0, 0.0};
    for (int j = 2; j <= degree; j++) {
        t[2] = 2.0 * x * t[1] - t[0];
        d[2] = 2.0 * t[1] + 2.0 * x * d[1] - d[0];
        e[2] = 4.0 * d[1] + 2.0 * x * e[1] - e[0];
        t[0] = t[1], t[1] = t[2];
        d[0] = d[1], d[1] = d[2];
        e[0] = e[1], e[1] = e[2];
    }
    *value = degree == 0 ? 1.0 : t[1];
    *first = degree == 0 ? 0.0 : d[1];
    *second = degree < 2 ? 0.0 : e[1];
}

/* For steps of `step`, in which the fastest tap would settle step * fastest times. */
static void stages_make(double fastest_times_step, struct stages *s)
{
    s->count = (int)ceil(sqrt(1.0 + fastest_times_step / 0.65));
    s->count = s->count < 2 ? 2 : s->count > STAGES_MOST ? STAGES_MOST : s->count;
    double value, first, second;
    s->w0 = 1.0 + 2.0 / 13.0 / (s->count * s->count);
    chebyshev(s->count, s->w0, &value, &first, &second);
    s->w1 = first / second;
    for (int j = 2; j <= s->count; j++) {
        chebyshev(j, s->w0, &value, &first, &second);
        s->value[j] = value;
        s->share[j] = second / (first * first);
        s->time[j] = s->w1 * second / first;
    }
    s->value[0] = 1.0;
    s->value[1] = s->w0;
    s->share[0] = s->share[1] = s->share[2];
    s->time[0] = 0.0;
    s->time[1] = s->time[2] / (4.0 * s->w0); /* T'_2(w0) = 4 w0 */
}

/* Arrays of taps that a step needs. */
struct places {
    float *taps, *start_slope, *slope, *before, *now, *next;
};

static void slope_at(struct curve *c, double symbols, const float *taps, float *slope)
{
    curve_set(c, symbols);
    curve_slope(c, taps, slope);
}

/* One step of `step` (in 1 / mu) from `symbols` on. */
static void take_step(struct curve *c, const struct stages *s, double symbols, double step,
                      struct places *r)
{
    const double mu = c->learning->mu;
    int n = c->inputs;
    slope_at(c, symbols, r->taps, r->start_slope);
    double first = s->share[1] * s->w1 * step;
    for (int i = 0; i < n; i++) {
        r->before[i] = r->taps[i];
        r->now[i] = r->taps[i] + (float)first * r->start_slope[i];
    }
    for (int j = 2; j <= s->count; j++) {
        double m = 2.0 * s->share[j] * s->w0 / s->share[j - 1];
        double v = -s->share[j] / s->share[j - 2];
        double m1 = 2.0 * s->share[j] * s->w1 / s->share[j - 1];
        double a = 1.0 - s->share[j - 1] * s->value[j - 1];
        slope_at(c, symbols + s->time[j - 1] * step / mu, r->now, r->slope);
        float of_now = (float)m, of_before = (float)v, of_start = (float)(1.0 - m - v);
        float of_slope = (float)(m1 * step), of_first = (float)(-a * m1 * step);
        for (int i = 0; i < n; i++) {
            r->next[i] = of_start * r->taps[i] + of_now * r->now[i] + of_before * r->before[i] +
                         of_slope * r->slope[i] + of_first * r->start_slope[i];
        }
        float *kept = r->before;
        r->before = r->now;
        r->now = r->next;
        r->next = kept;
    }
    float *kept = r->taps;
    r->taps = r->now;
    r->now = kept;
}

/* How long and in which steps the curve is followed; times in 1 / mu. */
struct plan {
    double fastest; /* rate at which the fastest tap settles */
    double step, run_in, turn;
    double fast_turns; /* of the fastest echo in a turn, 1 to 4 */
    double coarsest;   /* steps of the run-in, over the last */
};

static void plan_make(const struct curve *c, struct plan *plan)
{
    double fastest = 0.0, slowest = INFINITY, amplitude = 1.0;
    for (int g = 0; g < c->group_count; g++) {
        fastest = fmax(fastest, fabs(c->groups[g].doppler_hz));
        slowest = fmin(slowest, fabs(c->groups[g].doppler_hz));
    }
    for (int i = 0; i < c->learning->count; i++) {
        amplitude += sqrt(ratio_from_db(c->learning->echoes[i].level_db));
    }
    double turn = vsb_symbol_rate_hz() * c->learning->mu;
    plan->step = fmin(turn / fastest / STEPS_A_TURN, fmin(STEP_MOST, 1.0 / c->learning->noise));
    plan->run_in = fmin(2.0 * RUN_IN / c->learning->noise, RUN_IN_MOST);
    plan->turn = turn / fmax(slowest, fastest / 4.0);
    plan->fast_turns = fastest / fmax(slowest, fastest / 4.0);
    plan->fastest = amplitude * amplitude + c->learning->noise + 1.0;
    plan->coarsest = plan->run_in * fastest < COARSE_TURNS * turn ? COARSEST : 1.0;
}

/* The step of the run-in that has `later` ones behind it: the longer ago the coarser, for what it
 * errs by is forgotten like all else; not where it would err turn for turn the same way. */
static double run_in_step(const struct plan *plan, int later)
{
    return plan->step * fmin(pow(GROWTH, later), plan->coarsest);
}

/* Runs the taps in, up to the phases given. */
static enum status run_in(struct curve *c, const struct plan *plan, struct places *r)
{
    double unused, before = 0.0, mu = c->learning->mu;
    int steps = 0;
    while (before < plan->run_in && steps < RUN_IN_STEPS) {
        before += run_in_step(plan, steps++);
    }
    curve_set(c, -before / mu);
    enum status status = curve_best(c, r->taps, &unused);
    while (steps > 0 && status == STATUS_OK) {
        struct stages stages;
        double step = run_in_step(plan, --steps);
        stages_make(step * plan->fastest, &stages);
        take_step(c, &stages, -before / mu, step, r);
        before -= step;
    }
    return status;
}

/* Adds `share` of what wrong decisions cost taps that pass `gain`. */
static enum status add_decisions(const struct curve *c, const float *taps, double gain,
                                 double share, struct vsb_room *room,
                                 struct vsb_decision_costs *sum)
{
    const struct vsb_learning *learning = c->learning;
    struct vsb_decision_costs costs;
    int count = c->spans.feedback;
    double *backward = vsb_room_array(room, ROOM_FEEDBACK, ((size_t)count + 1) * sizeof *backward);
    if (backward == NULL) {
        return STATUS_NO_MEMORY;
    }
    for (int j = 0; j < count; j++) {
        backward[j] = taps[c->forward + j] / gain;
    }
    enum status status = vsb_decision_costs(learning->feedback, backward, count, learning->teacher,
                                            learning->step, room, &costs);
    sum->loss_db += share * costs.loss_db;
    sum->unrest_db += share * costs.unrest_db;
    return status;
}

/* Adds `share` of how the taps compare with the best ones, found in `best`, at this instant. */
static enum status compare(struct curve *c, double symbols, const float *taps, float *best,
                           double share, struct vsb_room *room, struct vsb_learning_error *lag)
{
    double least = 0.0;
    curve_set(c, symbols);
    enum status status = curve_best(c, best, &least);
    if (status == STATUS_OK) {
        status = add_decisions(c, taps, curve_gain(c, taps), share, room, &lag->decisions);
    }
    for (int i = 0; i < c->inputs && status == STATUS_OK; i++) {
        best[i] -= taps[i];
    }
    if (status == STATUS_OK) {
        lag->least += least * share;
        lag->added += curve_error(c, best) * share;
    }
    return status;
}

/* Follows the curve for a turn more and compares it with the best taps, `instants` times. */
static enum status follow_turn(struct curve *c, const struct plan *plan, struct places *r,
                               struct vsb_room *room, struct vsb_learning_error *lag)
{
    double mu = c->learning->mu;
    int steps = (int)ceil(plan->turn / plan->step), done = 0;
    int instants = INSTANTS * (int)lround(plan->fast_turns);
    enum status status = STATUS_OK;
    struct stages stages;
    stages_make(plan->step * plan->fastest, &stages);
    for (int i = 0; i < steps && status == STATUS_OK; i++) {
        take_step(c, &stages, i * plan->step / mu, plan->step, r);
        if ((i + 1) * instants / steps > done) {
            done++;
            status =
                compare(c, (i + 1) * plan->step / mu, r->taps, r->next, 1.0 / instants, room, lag);
        }
    }
    return status;
}

/* Taps at the ends of the whole spans stay 0. */
static enum status give_taps(const struct curve *c, const float *from, struct vsb_equaliser *taps)
{
    const struct vsb_equaliser_spans *spans = &c->learning->spans;
    *taps = (struct vsb_equaliser){.spans = *spans};
    taps->forward = calloc((size_t)(spans->earlier + spans->later) + 1, sizeof *taps->forward);
    taps->backward = calloc((size_t)spans->feedback + 1, sizeof *taps->backward);
    if (!taps->forward || !taps->backward) {
        vsb_equaliser_free(taps);
        return STATUS_NO_MEMORY;
    }
    for (int i = 0; i < c->forward; i++) {
        taps->forward[spans->earlier + c->spans.later - i] = from[i];
    }
    for (int j = 0; j < c->spans.feedback; j++) {
        taps->backward[j] = from[c->forward + j];
    }
    return STATUS_OK;
}

/* Taps that have run in. */
struct follower {
    struct curve curve;
    struct plan plan;
    struct places places;
    float *memory; /* owned: what the places lie in */
};

static void follower_free(struct follower *f)
{
    if (f != NULL) {
        curve_free(&f->curve);
        free(f->memory);
    }
    free(f);
}

/* The owner calls follower_free either way. */
static enum status follower_make(const struct vsb_learning *learning, struct follower **made)
{
    struct follower *f = *made = calloc(1, sizeof *f);
    if (f == NULL) {
        return STATUS_NO_MEMORY;
    }
    struct curve *c = &f->curve;
    enum status status = curve_make(learning, c);
    if (status != STATUS_OK) {
        return status;
    }
    size_t n = (size_t)c->inputs + CURVE_PLACES;
    float *m = f->memory = malloc(6 * n * sizeof *m);
    if (m == NULL) {
        return STATUS_NO_MEMORY;
    }
    f->places = (struct places){m, m + n, m + 2 * n, m + 3 * n, m + 4 * n, m + 5 * n};
    if (c->group_count > 0) {
        plan_make(c, &f->plan);
        return run_in(c, &f->plan, &f->places);
    }
    double unused;
    curve_set(c, 0.0);
    return curve_best(c, f->places.taps, &unused);
}

enum status vsb_learning_turn(const struct vsb_learning *learning, struct vsb_room *room,
                              struct vsb_learning_error *lag)
{
    struct follower *f;
    enum status status = follower_make(learning, &f);
    *lag = (struct vsb_learning_error){0};
    if (status == STATUS_OK && f->curve.group_count > 0) {
        status = follow_turn(&f->curve, &f->plan, &f->places, room, lag);
    } else if (status == STATUS_OK) {
        status = compare(&f->curve, 0.0, f->places.taps, f->places.next, 1.0, room, lag);
    }
    follower_free(f);
    return status;
}

enum status vsb_learning_now(const struct vsb_learning *learning, struct vsb_room *room,
                             struct vsb_learning_error *lag)
{
    struct follower *f;
    enum status status = follower_make(learning, &f);
    *lag = (struct vsb_learning_error){0};
    if (status == STATUS_OK) {
        status = compare(&f->curve, 0.0, f->places.taps, f->places.next, 1.0, room, lag);
    }
    follower_free(f);
    return status;
}

enum status vsb_learning_taps(const struct vsb_learning *learning, struct vsb_equaliser *taps,
                              double *gain)
{
    struct follower *f;
    enum status status = follower_make(learning, &f);
    *taps = (struct vsb_equaliser){0};
    if (status == STATUS_OK) {
        curve_set(&f->curve, 0.0);
        *gain = curve_gain(&f->curve, f->places.taps);
        status = give_taps(&f->curve, f->places.taps, taps);
    }
    follower_free(f);
    return status;
}
