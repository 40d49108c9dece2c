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
 * receiver-table.txt). Worked number: reaches of 12 us, 20 dB, step 0.05, one echo of 5.03 us, -10
 * dB at 20 Hz: the error grows from 0.01167 by 0.0015, 0.53 dB. */
#include "physics/vsb/learning.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "standard/vsb/signal.h"

#define RUN_IN 4.0         /* time constants of the slowest taps */
#define RUN_IN_MOST 1500.0 /* in 1 / mu: some seconds */
#define STEPS_A_TURN 24    /* of the fastest echo */
#define STEP_MOST 10.0     /* in 1 / mu */
#define STAGES_MOST 40
#define INSTANTS 12         /* at which the best taps are designed */
#define NEGLIGIBLE_TAP 3e-3 /* of the channel, against the strongest echo that turns */
#define REACH_SYMBOLS 64    /* of taps beyond the echoes' own places */
#define REACH_MULTIPLES 6

/* Echoes of one Doppler: their channel taps as they stand and a quarter of a turn on. */
struct group {
    double doppler_hz;
    double *now, *ahead; /* tap_count each, owned */
};

struct curve {
    const struct vsb_learning *learning;
    struct vsb_equaliser_spans spans; /* no longer than the echoes need */
    int forward, inputs;
    int first_symbol, symbol_count; /* symbols before the wanted one that forward taps weigh */
    int tap_count;
    int *at;      /* of each channel tap that counts: symbols, owned */
    double *rest; /* the taps of what does not turn, owned */
    int group_count;
    struct group groups[ECHOES_MAX];
    float *channel, *symbols; /* at the instant in question, owned */
};

static void curve_free(struct curve *c)
{
    for (int i = 0; i < c->group_count; i++) {
        free(c->groups[i].now);
        free(c->groups[i].ahead);
    }
    free(c->at);
    free(c->rest);
    free(c->channel);
    free(c->symbols);
}

static int least(int a, int b)
{
    return a < b ? a : b;
}

/* Taps far beyond all echoes' places stay 0. */
static void limit_spans(struct curve *c)
{
    double reach = 0.0;
    for (int i = 0; i < c->learning->count; i++) {
        reach = fmax(reach, fabs(c->learning->echoes[i].delay_us) / vsb_symbol_us());
    }
    int most = reach < 1e5 ? REACH_SYMBOLS + REACH_MULTIPLES * (int)ceil(reach) : 1 << 20;
    c->spans = c->learning->spans;
    c->spans.earlier = least(c->spans.earlier, most);
    c->spans.later = least(c->spans.later, most);
    c->spans.feedback = least(c->spans.feedback, most);
    c->forward = c->spans.earlier + c->spans.later + 1;
    c->inputs = c->forward + c->spans.feedback;
}

/* The channel of the echoes of that Doppler alone, `turned` degrees on, with the main signal or
 * without, over the range of all. */
static enum status part_make(const struct vsb_learning *learning, double doppler_hz, double turned,
                             bool with_main, const struct vsb_channel *range, double *taps)
{
    struct echo echoes[ECHOES_MAX];
    struct vsb_channel part;
    int count = 0;
    for (int i = 0; i < learning->count; i++) {
        if (learning->echoes[i].doppler_hz == doppler_hz) {
            echoes[count] = learning->echoes[i];
            echoes[count++].phase_deg += turned;
        }
    }
    enum status status = vsb_channel_make(echoes, count, &part);
    for (int i = 0; i < range->count && status == STATUS_OK; i++) {
        int k = range->first + i;
        taps[i] = vsb_channel_tap(&part, k) - (k == 0 && !with_main ? 1.0 : 0.0);
    }
    vsb_channel_free(&part);
    return status;
}

/* Groups by Doppler, over the range of all echoes. */
static enum status split_channel(struct curve *c, const struct vsb_channel *range)
{
    const struct vsb_learning *learning = c->learning;
    size_t size = (size_t)range->count * sizeof(double);
    c->rest = malloc(size);
    enum status status =
        c->rest ? part_make(learning, 0.0, 0.0, true, range, c->rest) : STATUS_NO_MEMORY;
    for (int i = 0; i < learning->count && status == STATUS_OK; i++) {
        double doppler_hz = learning->echoes[i].doppler_hz;
        bool known = doppler_hz == 0.0;
        for (int g = 0; g < c->group_count; g++) {
            known = known || c->groups[g].doppler_hz == doppler_hz;
        }
        if (!known) {
            struct group *group = &c->groups[c->group_count++];
            *group = (struct group){doppler_hz, malloc(size), malloc(size)};
            if (!group->now || !group->ahead) {
                return STATUS_NO_MEMORY;
            }
            status = part_make(learning, doppler_hz, 0.0, false, range, group->now);
            if (status == STATUS_OK) {
                status = part_make(learning, doppler_hz, 90.0, false, range, group->ahead);
            }
        }
    }
    return status;
}

/* Keeps the channel taps that ever count. */
static enum status keep_taps(struct curve *c, const struct vsb_channel *range)
{
    double strongest = 0.0;
    for (int i = 0; i < c->learning->count; i++) {
        const struct echo *echo = &c->learning->echoes[i];
        strongest = echo->doppler_hz != 0.0 ? fmax(strongest, sqrt(ratio_from_db(echo->level_db)))
                                            : strongest;
    }
    c->at = malloc((size_t)range->count * sizeof *c->at);
    c->channel = malloc((size_t)range->count * sizeof *c->channel);
    if (!c->at || !c->channel) {
        return STATUS_NO_MEMORY;
    }
    for (int i = 0; i < range->count; i++) {
        double most = fabs(c->rest[i]);
        for (int g = 0; g < c->group_count; g++) {
            most += hypot(c->groups[g].now[i], c->groups[g].ahead[i]);
        }
        if (most > NEGLIGIBLE_TAP * strongest) {
            c->at[c->tap_count] = range->first + i;
            c->rest[c->tap_count] = c->rest[i];
            for (int g = 0; g < c->group_count; g++) {
                c->groups[g].now[c->tap_count] = c->groups[g].now[i];
                c->groups[g].ahead[c->tap_count] = c->groups[g].ahead[i];
            }
            c->tap_count++;
        }
    }
    return STATUS_OK;
}

static enum status curve_make(const struct vsb_learning *learning, struct curve *c)
{
    struct vsb_channel range;
    memset(c, 0, sizeof *c);
    c->learning = learning;
    limit_spans(c);
    enum status status = vsb_channel_make(learning->echoes, learning->count, &range);
    if (status != STATUS_OK) {
        return status;
    }
    int last = range.first + range.count + c->spans.earlier;
    c->first_symbol = range.first - c->spans.later;
    c->symbol_count = (last > c->spans.feedback ? last : c->spans.feedback + 1) - c->first_symbol;
    c->symbols = malloc((size_t)c->symbol_count * sizeof *c->symbols);
    status = c->symbols ? split_channel(c, &range) : STATUS_NO_MEMORY;
    if (status == STATUS_OK) {
        status = keep_taps(c, &range);
    }
    vsb_channel_free(&range);
    return status;
}

/* The channel `symbols` after the beginning. */
static void set_channel(struct curve *c, double symbols)
{
    for (int t = 0; t < c->tap_count; t++) {
        c->channel[t] = (float)c->rest[t];
    }
    for (int g = 0; g < c->group_count; g++) {
        const struct group *group = &c->groups[g];
        double turns = group->doppler_hz * symbols / vsb_symbol_rate_hz();
        double angle = 2.0 * PI * fmod(turns, 1.0), now = cos(angle), ahead = sin(angle);
        for (int t = 0; t < c->tap_count; t++) {
            c->channel[t] += (float)(now * group->now[t] + ahead * group->ahead[t]);
        }
    }
}

/* What is left of each symbol: what forward taps weigh less what feedback taps take off, the wanted
 * symbol itself, `wanted` times, taken off too. */
static void weigh_symbols(struct curve *c, const float *restrict taps, float wanted)
{
    memset(c->symbols, 0, (size_t)c->symbol_count * sizeof *c->symbols);
    float *zero = c->symbols - c->first_symbol;
    for (int t = 0; t < c->tap_count; t++) {
        float value = c->channel[t], *restrict to = zero + c->at[t] + c->spans.earlier;
        for (int i = 0; i < c->forward; i++) {
            to[-i] += value * taps[i];
        }
    }
    const float *restrict back = taps + c->forward;
    for (int j = 0; j < c->spans.feedback; j++) {
        zero[1 + j] -= back[j];
    }
    zero[0] -= wanted;
}

/* slope[] = (p - R taps), the learning curve's over mu, `symbols` after the beginning. */
static void learn(struct curve *c, double symbols, const float *restrict taps,
                  float *restrict slope)
{
    float noise = (float)c->learning->noise;
    set_channel(c, symbols);
    weigh_symbols(c, taps, 1.0f);
    const float *zero = c->symbols - c->first_symbol;
    for (int i = 0; i < c->forward; i++) {
        slope[i] = -noise * taps[i];
    }
    for (int t = 0; t < c->tap_count; t++) {
        float value = c->channel[t];
        const float *restrict from = zero + c->at[t] + c->spans.earlier;
        for (int i = 0; i < c->forward; i++) {
            slope[i] -= value * from[-i];
        }
    }
    for (int j = 0; j < c->spans.feedback; j++) {
        slope[c->forward + j] = zero[1 + j];
    }
}

/* Mean square error that taps off their best place by `off` add, the channel being set. */
static double error_of(struct curve *c, const float *off)
{
    double sum = 0.0;
    weigh_symbols(c, off, 0.0f);
    for (int i = 0; i < c->forward; i++) {
        sum += c->learning->noise * off[i] * off[i];
    }
    for (int j = 0; j < c->symbol_count; j++) {
        sum += (double)c->symbols[j] * c->symbols[j];
    }
    return sum;
}

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
struct room {
    float *taps, *start_slope, *slope, *before, *now, *next;
};

/* One step of `step` (in 1 / mu) from `symbols` on. */
static void take_step(struct curve *c, const struct stages *s, double symbols, double step,
                      struct room *r)
{
    const double mu = c->learning->mu;
    int n = c->inputs;
    learn(c, symbols, r->taps, r->start_slope);
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
        learn(c, symbols + s->time[j - 1] * step / mu, r->now, r->slope);
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

/* The best taps at an instant and their error, for the channel taps that count. */
static enum status best_at(struct curve *c, double symbols, float *taps, double *error)
{
    struct vsb_channel channel = {.first = c->at[0],
                                  .count = c->at[c->tap_count - 1] - c->at[0] + 1};
    struct vsb_equaliser best;
    channel.taps = calloc((size_t)channel.count, sizeof *channel.taps);
    if (channel.taps == NULL) {
        return STATUS_NO_MEMORY;
    }
    set_channel(c, symbols);
    for (int t = 0; t < c->tap_count; t++) {
        channel.taps[c->at[t] - channel.first] = c->channel[t];
    }
    enum status status = vsb_equaliser_design(&channel, c->learning->noise, c->spans, NULL, &best);
    vsb_channel_free(&channel);
    if (status != STATUS_OK) {
        return status;
    }
    *error = 1.0 / (1.0 + best.snr);
    float gain = (float)(best.snr / (1.0 + best.snr));
    for (int i = 0; i < c->forward; i++) {
        taps[i] = gain * (float)best.forward[i];
    }
    for (int j = 0; j < c->spans.feedback; j++) {
        taps[c->forward + j] = gain * (float)best.backward[j];
    }
    vsb_equaliser_free(&best);
    return STATUS_OK;
}

/* How long and in which steps the curve is followed; times in 1 / mu. */
struct plan {
    double step, run_in, turn;
    struct stages stages;
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
    plan->step = fmin(turn / fastest / STEPS_A_TURN, STEP_MOST);
    plan->run_in = fmin(2.0 * RUN_IN / c->learning->noise, RUN_IN_MOST);
    plan->turn = turn / fmax(slowest, fastest / 4.0);
    stages_make(plan->step * (amplitude * amplitude + c->learning->noise + 1.0), &plan->stages);
}

/* Runs the taps in, up to the phases given. */
static enum status run_in(struct curve *c, const struct plan *plan, struct room *r)
{
    double unused, mu = c->learning->mu;
    int steps = (int)ceil(plan->run_in / plan->step);
    enum status status = best_at(c, -steps * plan->step / mu, r->taps, &unused);
    for (int i = -steps; i < 0 && status == STATUS_OK; i++) {
        take_step(c, &plan->stages, i * plan->step / mu, plan->step, r);
    }
    return status;
}

/* Follows the curve for a turn more and compares it with the best taps, INSTANTS times. */
static enum status follow_turn(struct curve *c, const struct plan *plan, struct room *r,
                               struct vsb_learning_error *lag)
{
    double mu = c->learning->mu;
    int steps = (int)ceil(plan->turn / plan->step), done = 0;
    enum status status = STATUS_OK;
    for (int i = 0; i < steps && status == STATUS_OK; i++) {
        take_step(c, &plan->stages, i * plan->step / mu, plan->step, r);
        if ((i + 1) * INSTANTS / steps > done) {
            double least = 0.0;
            done++;
            status = best_at(c, (i + 1) * plan->step / mu, r->next, &least);
            for (int j = 0; j < c->inputs; j++) {
                r->next[j] -= r->taps[j];
            }
            lag->least += least / INSTANTS;
            lag->added += error_of(c, r->next) / INSTANTS;
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
        taps->forward[spans->earlier - c->spans.earlier + i] = from[i];
    }
    for (int j = 0; j < c->spans.feedback; j++) {
        taps->backward[j] = from[c->forward + j];
    }
    return STATUS_OK;
}

/* `taps`, where it is not NULL, is asked for instead of a turn's lag. */
static enum status follow(struct curve *c, struct vsb_learning_error *lag,
                          struct vsb_equaliser *taps)
{
    size_t n = (size_t)c->inputs;
    float *memory = malloc(6 * n * sizeof *memory);
    if (memory == NULL) {
        return STATUS_NO_MEMORY;
    }
    struct room room = {memory,         memory + n,     memory + 2 * n,
                        memory + 3 * n, memory + 4 * n, memory + 5 * n};
    struct plan plan = {.run_in = 0.0};
    enum status status;
    if (c->group_count > 0) {
        plan_make(c, &plan);
        status = run_in(c, &plan, &room);
    } else {
        status = best_at(c, 0.0, room.taps, &lag->least);
    }
    if (status == STATUS_OK && taps != NULL) {
        status = give_taps(c, room.taps, taps);
    } else if (status == STATUS_OK && c->group_count > 0) {
        status = follow_turn(c, &plan, &room, lag);
    }
    free(memory);
    return status;
}

enum status vsb_learning_lag(const struct vsb_learning *learning, struct vsb_learning_error *lag)
{
    *lag = (struct vsb_learning_error){0};
    struct curve *c = malloc(sizeof *c);
    if (c == NULL) {
        return STATUS_NO_MEMORY;
    }
    enum status status = curve_make(learning, c);
    if (status == STATUS_OK) {
        status = follow(c, lag, NULL);
    }
    curve_free(c);
    free(c);
    return status;
}

enum status vsb_learning_taps(const struct vsb_learning *learning, struct vsb_equaliser *taps)
{
    *taps = (struct vsb_equaliser){0};
    struct curve *c = malloc(sizeof *c);
    if (c == NULL) {
        return STATUS_NO_MEMORY;
    }
    struct vsb_learning_error unused = {0};
    enum status status = curve_make(learning, c);
    if (status == STATUS_OK) {
        status = follow(c, &unused, taps);
    }
    curve_free(c);
    free(c);
    return status;
}
