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
 * the slowest taps, 2 / (mu noise) symbols: two taps share the noise of one sample. Fast taps would
 * settle many times within a step, so that steps are implicit: by backward differentiation (Gear,
 * Numerical Initial Value Problems in ODEs, 1971; R is symmetric, and its orders stable for real
 * rates), each solved as the equaliser itself is (settling.c). A step is as long as the taps' way
 * lets it: how far it ends from where the steps before point is held against the error of the best
 * taps, and against more of it the longer ago it is: of what a step errs no more is left in the end
 * than slow taps keep, exp(-mu noise n / 2) after n symbols. Over the turns that follow, the mean
 * square error is compared with that of the best taps. A receiver that moves does not meet the same
 * field turn for turn, and its slow taps are pushed to and fro: it is followed for WAVES_RUN_IN
 * turns of the fastest wave at most. In one room, at 0.5 to 50 km/h and 18 to 30 dB, that moved the
 * share of positions by 0.03 at most, at a ninth of the cost.
 *
 * Validity: against the simulated receiver within 0.3 dB up to 3 dB of loss (tests/proof/
 * receiver-table.txt, and fresh-table.txt, whose motions were drawn by a seed). Worked number:
 * reaches of 12 us, 20 dB, step 0.05, one echo of 5.03 us, -10 dB at 20 Hz: the error grows from
 * 0.01167 by 0.0015, 0.53 dB. */
#include "physics/vsb/learning.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/twins.h"
#include "base/units.h"
#include "physics/vsb/adaptation.h"
#include "physics/vsb/decision.h"
#include "physics/vsb/settling.h"
#include "physics/vsb/way.h"
#include "standard/vsb/signal.h"

#define RUN_IN 4.0         /* time constants of the slowest taps */
#define RUN_IN_MOST 1500.0 /* in 1 / mu: some seconds */
#define RUN_IN_STEPS 1000  /* at most; fewer where echoes are too fast to be followed at all */
#define RUN_IN_LEAST 12    /* steps */
#define WAVES_RUN_IN 4.0   /* turns of the fastest wave at most, where a receiver moves */
#define ORDER 5
#define STEPS_A_TURN 96 /* of the fastest echo, where they are even */
#define STEP_FIRST 8.0  /* of those, where they are chosen */
#define STEP_GROWS 1.6  /* at most, from one to the next */
#define STEP_SHRINKS 0.4
#define OFF_MOST 0.5       /* from where steps before point: square, over the least error */
#define FORGOTTEN_MOST 3.5 /* logarithm of what is forgotten of squares until the end */
#define WAVES_LEAST 0.003  /* error that steps behind waves are held against: 25 dB */
#define TURNS_LEAST 3e-4   /* behind rays that turn: 35 dB; at 100 dB none is short enough */
#define LATER_MOST 100.0   /* in 1 / mu: so soon after another instant taps go on from there */
#define NOISE_APART 0.02   /* of a part: the SNR stays, what is received may not */
#define SPEED_APART 0.1
#define SAME_PHASE_DEG 1e-6
#define INSTANTS 12 /* of the fastest echo's turn, at which the best taps are designed */

/* The taps of the last steps, the latest first, and when they were, in 1 / mu. */
struct past {
    int count;
    double at[ORDER];
    float *taps[ORDER + 1]; /* room for one more */
    float *from;
    double off; /* square, of the latest from where those before it point */
};

/* The weights with which the values at times `at` give the value at `now` of the polynomial through
 * them, and those with which they and the value at `now` give its slope there. */
static void weights_at(double now, const double *at, int count, double *value, double *slope)
{
    double x[ORDER + 1] = {now};
    for (int i = 0; i < count; i++) {
        x[1 + i] = at[i];
    }
    for (int j = 0; j <= count; j++) {
        double scale = 1.0, all = 1.0, but_one = 0.0;
        for (int i = 0; i <= count; i++) {
            scale *= i != j ? x[j] - x[i] : 1.0;
        }
        for (int m = 0; m <= count; m++) { /* slope of the product over i != j of now - x[i] */
            double product = m != j ? 1.0 : 0.0;
            for (int i = 0; i <= count; i++) {
                product *= i != j && i != m ? now - x[i] : 1.0;
            }
            but_one += product;
        }
        slope[j] = but_one / scale;
        for (int i = 1; i <= count && j > 0; i++) {
            all *= i != j ? (now - x[i]) / (x[j] - x[i]) : 1.0;
        }
        value[j] = j > 0 ? all : 0.0;
    }
}

#define LANES 8
typedef float lanes __attribute__((vector_size(4 * LANES)));

/* The sum over j of weights[j] taps[j], LANES numbers from `i` on. */
INLINED void mix(float *const *taps, const float *weights, int i, lanes *sum)
{
    *sum = (lanes){0.0f};
    for (int j = 0; j < ORDER; j++) {
        lanes x;
        memcpy(&x, taps[j] + i, sizeof x);
        *sum += weights[j] * x;
    }
}

/* Where a step begins, the sum over j of back[j] taps[j]. */
TWINS static void begin_step(const struct past *past, const float *back, int inputs)
{
    for (int i = 0; i < inputs; i += LANES) {
        lanes sum;
        mix(past->taps, back, i, &sum);
        memcpy(past->from + i, &sum, sizeof sum);
    }
}

/* How far a step has ended from the sum over j of on[j] taps[j], square. */
TWINS static double end_step(const struct past *past, const float *on, int inputs)
{
    lanes squares = {0.0f};
    double sum = 0.0;
    for (int i = 0; i < inputs; i += LANES) { /* nothing lies behind */
        lanes pointed, x;
        mix(past->taps, on, i, &pointed);
        memcpy(&x, past->taps[ORDER] + i, sizeof x);
        x -= pointed;
        squares += x * x;
    }
    for (int i = 0; i < LANES; i++) {
        sum += squares[i];
    }
    return sum;
}

/* One step to `now`. */
static void take_step(struct curve *c, struct settling *settling, double now, struct past *past)
{
    double value[ORDER + 1] = {0.0}, slope[ORDER + 1] = {0.0};
    float back[ORDER] = {0.0f}, on[ORDER] = {0.0f}, *next = past->taps[ORDER];
    weights_at(now, past->at, past->count, value, slope);
    for (int j = 0; j < past->count; j++) {
        back[j] = (float)(-slope[1 + j] / slope[0]);
        on[j] = (float)value[1 + j];
    }
    begin_step(past, back, c->inputs);
    curve_set(c, now / c->learning->mu);
    settling_find(c, settling, 1.0 / slope[0], past->from, next);
    past->off = end_step(past, on, c->inputs);
    for (int j = ORDER; j > 0; j--) {
        past->taps[j] = past->taps[j - 1];
    }
    for (int j = ORDER - 1; j > 0; j--) {
        past->at[j] = past->at[j - 1];
    }
    past->taps[0] = next;
    past->at[0] = now;
    past->count += past->count < ORDER ? 1 : 0;
}

/* How long and in which steps the curve is followed; times in 1 / mu. */
struct plan {
    double step, step_most, run_in, turn;
    double fast_turns; /* of the fastest echo in a turn, 1 to 4 */
};

static void plan_make(const struct curve *c, bool evenly, double window, struct plan *plan)
{
    double fastest = 0.0, slowest = INFINITY;
    for (int g = 0; g < c->group_count; g++) {
        fastest = fmax(fastest, fabs(c->groups[g].doppler_hz));
        slowest = fmin(slowest, fabs(c->groups[g].doppler_hz));
    }
    double turn = vsb_symbol_rate_hz() * c->learning->mu;
    plan->step = turn / fastest / STEPS_A_TURN;
    plan->run_in = fmin(2.0 * RUN_IN / c->learning->noise, RUN_IN_MOST);
    plan->run_in = fmax(plan->run_in, window);
    plan->run_in = fmin(plan->run_in, RUN_IN_STEPS * STEP_FIRST * plan->step);
    if (c->learning->waves) {
        plan->run_in = fmin(plan->run_in, WAVES_RUN_IN * turn / fastest);
    }
    plan->run_in = evenly ? fmax(plan->run_in, 2.0 * ORDER * plan->step) : plan->run_in;
    plan->step_most = evenly ? plan->step : plan->run_in / RUN_IN_LEAST;
    plan->turn = turn / fmax(slowest, fastest / 4.0);
    plan->fast_turns = fastest / fmax(slowest, fastest / 4.0);
}

/* The step after one of `step`, over which a polynomial of as many points as `order` fitted. */
static double step_after(double step, int order, double off, double least)
{
    double change = pow(fmax(off / (OFF_MOST * least), 1e-12), -0.5 / order);
    return step * fmin(fmax(change, STEP_SHRINKS), STEP_GROWS);
}

/* When taps are looked at on their way, in 1 / mu. */
struct looks {
    struct vsb_room *room; /* NULL: never */
    double next, apart, window;
    struct way way;
};

/* Looks at where the taps have been since the step before the last. */
static void look_back(struct curve *c, const struct past *past, struct looks *looks)
{
    while (looks->room != NULL && looks->next < fmin(past->at[0], -0.5 * looks->apart)) {
        double value[ORDER + 1] = {0.0}, slope[ORDER + 1];
        float on[ORDER] = {0.0f};
        weights_at(looks->next, past->at, past->count, value, slope);
        for (int j = 0; j < past->count; j++) {
            on[j] = (float)value[1 + j];
        }
        begin_step(past, on, c->inputs);
        way_look(&looks->way, c, looks->next / c->learning->mu, past->from);
        looks->next += looks->apart;
    }
}

/* Taps that have run in. */
struct vsb_learner {
    struct vsb_learning learning; /* of the echoes below */
    struct echo echoes[ECHOES_MAX];
    struct curve curve;
    struct settling settling;
    struct plan plan;
    struct past past;
    struct looks looks;
    double least;  /* error of the best taps where they began */
    float *memory; /* owned: what the past lies in */
};

/* The error that a step is held against: little of it is left in the end where that is far. */
static double may_be_off(const struct vsb_learner *f)
{
    double forgotten = f->learning.noise * -f->past.at[0];
    return f->least * exp(fmin(forgotten, FORGOTTEN_MOST));
}

/* Follows the taps up to the phases given, in steps from `step` on. */
static void step_on(struct vsb_learner *f, double step)
{
    struct past *past = &f->past;
    while (past->at[0] < 0.0) {
        double left = -past->at[0], now = past->at[0];
        int order = past->count;
        step = step >= left ? left : fmin(step, left / 2.0); /* none much shorter than the last */
        take_step(&f->curve, &f->settling, step == left ? 0.0 : now + step, past);
        step = fmin(step_after(step, order, past->off, may_be_off(f)), f->plan.step_most);
        look_back(&f->curve, past, &f->looks);
    }
}

/* Runs the taps in. */
static enum status run_in(struct vsb_learner *f)
{
    f->past.at[0] = -f->plan.run_in;
    f->past.count = 1;
    f->looks.next = fmax(f->looks.next, f->past.at[0]);
    curve_set(&f->curve, f->past.at[0] / f->learning.mu);
    enum status status = curve_best(&f->curve, f->past.taps[0], &f->least);
    f->least = fmax(f->least, f->learning.waves ? WAVES_LEAST : TURNS_LEAST);
    if (status == STATUS_OK) {
        step_on(f, fmin(STEP_FIRST * f->plan.step, f->plan.step_most));
    }
    return status;
}

/* Adds `share` of how the taps compare with the best ones at this instant. */
static enum status compare(struct vsb_learner *f, double symbols, double share,
                           struct vsb_room *room, struct vsb_learning_error *lag)
{
    struct curve *c = &f->curve;
    const float *taps = f->past.taps[0];
    float *best = f->past.from;
    double least = 0.0;
    struct vsb_decision_costs costs = {0.0, 0.0};
    curve_set(c, symbols);
    enum status status = curve_best(c, best, &least);
    if (status == STATUS_OK) {
        status = way_costs(c, taps, best, room, &costs);
        lag->decisions.loss_db += share * costs.loss_db;
        lag->decisions.unrest_db += share * costs.unrest_db;
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
static enum status follow_turn(struct vsb_learner *f, struct vsb_room *room,
                               struct vsb_learning_error *lag)
{
    struct curve *c = &f->curve;
    int instants = INSTANTS * (int)lround(f->plan.fast_turns);
    int each = STEPS_A_TURN / INSTANTS;
    enum status status = STATUS_OK;
    for (int i = 1; i <= instants * each && status == STATUS_OK; i++) {
        double now = f->plan.turn * i / (instants * each);
        take_step(c, &f->settling, now, &f->past);
        if (i % each == 0) {
            status = compare(f, now / c->learning->mu, 1.0 / instants, room, lag);
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

void vsb_learner_free(struct vsb_learner *f)
{
    if (f != NULL) {
        curve_free(&f->curve);
        settling_free(&f->settling);
        way_free(&f->looks.way);
        free(f->memory);
    }
    free(f);
}

/* The curve of that learning, whose echoes are copied. */
static enum status take_up(struct vsb_learner *f, const struct vsb_learning *learning, bool evenly)
{
    f->learning = *learning;
    f->learning.echoes = f->echoes;
    for (int i = 0; i < learning->count; i++) {
        f->echoes[i] = learning->echoes[i];
    }
    enum status status = curve_make(&f->learning, &f->curve);
    if (status == STATUS_OK && f->curve.group_count > 0) {
        status = settling_make(&f->curve, &f->settling);
        f->looks.window = f->looks.room != NULL ? WAY_SYMBOLS * learning->mu : 0.0;
        f->looks.apart = f->looks.window / WAY_LOOKS;
        plan_make(&f->curve, evenly, f->looks.window, &f->plan);
    }
    return status;
}

/* `evenly`: in steps that go on in a turn. Without a room nobody asks what happened on the way. The
 * owner calls vsb_learner_free either way. */
static enum status learner_make(const struct vsb_learning *learning, bool evenly,
                                struct vsb_room *room, struct vsb_learner **made)
{
    struct vsb_learner *f = *made = calloc(1, sizeof *f);
    if (f == NULL) {
        return STATUS_NO_MEMORY;
    }
    f->looks.room = room;
    enum status status = take_up(f, learning, evenly);
    if (status != STATUS_OK) {
        return status;
    }
    size_t n = (size_t)f->curve.inputs + CURVE_PLACES;
    f->memory = calloc((ORDER + 2) * n, sizeof *f->memory);
    if (f->memory == NULL) {
        return STATUS_NO_MEMORY;
    }
    for (int j = 0; j <= ORDER; j++) {
        f->past.taps[j] = f->memory + (size_t)j * n;
    }
    f->past.from = f->memory + (ORDER + 1) * n;
    if (f->curve.group_count > 0) {
        f->looks.next = -f->looks.window;
        enum status made_way = room != NULL ? way_make(&f->looks.way, &f->curve) : STATUS_OK;
        return made_way == STATUS_OK ? run_in(f) : made_way;
    }
    curve_set(&f->curve, 0.0);
    return curve_best(&f->curve, f->past.taps[0], &f->least);
}

/* How many symbols after the phases of one learning the same echoes have those of another: at most
 * LATER_MOST / mu; 0: never, or not soon. */
static double symbols_later(const struct vsb_learning *one, const struct vsb_learning *other)
{
    double fastest_hz = 0.0, later_s = 0.0;
    bool same = one->count == other->count && one->spans.earlier == other->spans.earlier &&
                one->spans.later == other->spans.later &&
                one->spans.feedback == other->spans.feedback &&
                fabs(other->noise / one->noise - 1.0) < NOISE_APART &&
                fabs(other->mu / one->mu - 1.0) < SPEED_APART;
    for (int i = 0; i < one->count && same; i++) {
        const struct echo *a = &one->echoes[i], *b = &other->echoes[i];
        same = a->delay_us == b->delay_us && a->level_db == b->level_db &&
               a->doppler_hz == b->doppler_hz;
        if (fabs(a->doppler_hz) > fastest_hz) {
            fastest_hz = fabs(a->doppler_hz);
            double turns = (b->phase_deg - a->phase_deg) / 360.0 * copysign(1.0, a->doppler_hz);
            later_s = (turns - floor(turns)) / fastest_hz;
        }
    }
    for (int i = 0; i < one->count && same; i++) {
        const struct echo *a = &one->echoes[i], *b = &other->echoes[i];
        double off = b->phase_deg - a->phase_deg - 360.0 * a->doppler_hz * later_s;
        same = fabs(remainder(off, 360.0)) < SAME_PHASE_DEG;
    }
    double symbols = later_s * vsb_symbol_rate_hz();
    return same && symbols * other->mu < LATER_MOST ? symbols : 0.0;
}

/* Goes on to that learning, `symbols` later; not gone: its curve weighs other taps. */
static enum status go_on(struct vsb_learner *f, const struct vsb_learning *learning, double symbols,
                         bool *gone)
{
    double faster = learning->mu / f->learning.mu, later = symbols * learning->mu;
    int forward = f->curve.forward, inputs = f->curve.inputs;
    curve_free(&f->curve);
    settling_free(&f->settling);
    enum status status = take_up(f, learning, false);
    *gone = status == STATUS_OK && f->curve.forward == forward && f->curve.inputs == inputs;
    if (*gone) {
        for (int j = 0; j < f->past.count; j++) { /* the last ended at 0 */
            f->past.at[j] = f->past.at[j] * faster - later;
        }
        f->looks.next = f->looks.next * faster - later;
        way_go_on(&f->looks.way, symbols);
        step_on(f, fmin(f->past.at[0] - f->past.at[1], f->plan.step_most));
    }
    return status;
}

enum status vsb_learning_turn(const struct vsb_learning *learning, struct vsb_room *room,
                              struct vsb_learning_error *lag)
{
    struct vsb_learner *f;
    enum status status = learner_make(learning, true, NULL, &f);
    *lag = (struct vsb_learning_error){.held_db = INFINITY};
    if (status == STATUS_OK && f->curve.group_count > 0) {
        status = follow_turn(f, room, lag);
    } else if (status == STATUS_OK) {
        status = compare(f, 0.0, 1.0, room, lag);
    }
    vsb_learner_free(f);
    return status;
}

/* Brings the learner to that instant, from where it is or run in anew. */
static enum status bring(const struct vsb_learning *learning, struct vsb_room *room,
                         struct vsb_learner **learner)
{
    struct vsb_learner *f = *learner;
    enum status status = STATUS_OK;
    double symbols = f != NULL && f->past.count > 1 && (f->looks.room != NULL) == (room != NULL)
                         ? symbols_later(&f->learning, learning)
                         : 0.0;
    bool gone = false;
    if (f != NULL && symbols > 0.0) {
        f->looks.room = room;
        status = go_on(f, learning, symbols, &gone);
    }
    if (status == STATUS_OK && !gone) {
        vsb_learner_free(f);
        status = learner_make(learning, false, room, learner);
    }
    return status;
}

enum status vsb_learning_now(const struct vsb_learning *learning, struct vsb_learner **learner,
                             struct vsb_room *room, struct vsb_learning_error *lag)
{
    bool errs = learning->feedback != FEEDBACK_ERROR_FREE;
    enum status status = bring(learning, errs ? room : NULL, learner);
    *lag = (struct vsb_learning_error){.held_db = INFINITY};
    if (status == STATUS_OK) {
        status = compare(*learner, 0.0, 1.0, room, lag);
    }
    if (status == STATUS_OK && errs) {
        double snr = vsb_adaptation_snr(lag->least, lag->added) * (1.0 - 0.5 * learning->step);
        struct vsb_learner *f = *learner;
        status = way_held_db(&f->looks.way, &f->curve, db_from_ratio(snr), &lag->decisions, room,
                             &lag->held_db);
    }
    if (status != STATUS_OK) {
        vsb_learner_free(*learner);
        *learner = NULL;
    }
    return status;
}

enum status vsb_learning_taps(const struct vsb_learning *learning, struct vsb_equaliser *taps,
                              double *gain)
{
    struct vsb_learner *f;
    enum status status = learner_make(learning, false, NULL, &f);
    *taps = (struct vsb_equaliser){0};
    if (status == STATUS_OK) {
        curve_set(&f->curve, 0.0);
        *gain = curve_gain(&f->curve, f->past.taps[0]);
        status = give_taps(&f->curve, f->past.taps[0], taps);
    }
    vsb_learner_free(f);
    return status;
}
