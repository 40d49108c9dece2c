#include "physics/vsb/equaliser.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/wide.h"
#include "physics/vsb/within.h"
#include "standard/vsb/signal.h"

/* Idea. Let sample n + s, s = -earlier..later, be sum over k of h[k] x[n + s - k] plus noise.
 * Feedback removes the decided symbols x[n - 1]..x[n - feedback] whatever they weigh, so the
 * forward filter need only fight the others: with x[n] itself left out too, their covariance is
 *
 *     R(s, s') = noise delta(s - s') + sum over k < s and k > s + feedback of h[k] h[k + s' - s],
 *
 * and the largest unbiased output SNR is h' R^-1 h, reached by the filter R^-1 h / (h' R^-1 h)
 * (Al-Dhahir and Cioffi, "MMSE decision-feedback equalizers: finite-length results", IEEE Trans.
 * Inf. Theory 41, 1995; the unbiased form in Cioffi et al., IEEE Trans. Commun. 43, 1995).
 * What lies outside the spans stays in R as interference: the reach needs no rule of its own. A
 * symbol fed back in doubt stays in with that share w of its power, and its feedback tap is the
 * smaller by sqrt(1 - w): the best that a decision of correlation sqrt(1 - w) with the symbol does.
 *
 * Structure. R(s, s') - R(s - 1, s' - 1) = h[s-1] h[s'-1] - h[s+feedback] h[s'+feedback]: R is
 * Toeplitz but for two outer products, and one more where doubt changes with age. Its Cholesky
 * factor therefore follows column by column from four vectors (generators) or more by plane and
 * hyperbolic rotations, the generalized Schur algorithm (Kailath and Sayed, "Displacement
 * structure: theory and applications", SIAM Review 37, 1995), in time N^2 instead of N^3, N =
 * earlier + later + 1. The hyperbolic rotations are done in the mixed form, which is stable for a
 * positive definite R.
 *
 * Validity: any taps; rounding matters only when noise is below 1e-10 of the channel's energy.
 * Worked number: h = (1, 1), noise 0.01, earlier 0, later 1, feedback 1: R = diag(0.01, 1.01), so
 * the SNR is 1 / 0.01 + 1 / 1.01 = 100.99, 20.04 dB: feedback saves the first sample, and the
 * second, where a new symbol covers the old one's echo, adds little. */

struct vsb_equaliser_spans vsb_equaliser_spans(double before_us, double after_us)
{
    int before = (int)floor(before_us / vsb_symbol_us());
    int after = (int)floor(after_us / vsb_symbol_us());
    struct vsb_equaliser_spans spans = {before < after ? before : after, before, after};
    return spans;
}

static int forward_count(struct vsb_equaliser_spans spans)
{
    return spans.earlier + spans.later + 1;
}

/* sums[d] += the sum over i of weights[i] * values[i + d], as far as there are values. */
INLINED void add_correlation(const double *weights, int weight_count, const double *values,
                             int value_count, double *sums, int count)
{
    int i = 0;
    for (; i + 4 <= weight_count; i += 4) {
        const double *w = weights + i, *v = values + i;
        int there = value_count - i - 3 < count ? value_count - i - 3 : count, d = 0;
        for (; d + WIDE <= there; d += WIDE) {
            wide x0, x1, x2, x3, sum;
            memcpy(&sum, sums + d, sizeof sum);
            memcpy(&x0, v + d, sizeof x0);
            memcpy(&x1, v + d + 1, sizeof x1);
            memcpy(&x2, v + d + 2, sizeof x2);
            memcpy(&x3, v + d + 3, sizeof x3);
            sum += (w[0] * x0 + w[1] * x1) + (w[2] * x2 + w[3] * x3);
            memcpy(sums + d, &sum, sizeof sum);
        }
        for (; d < count && i + d < value_count; d++) {
            for (int k = 0; k < 4 && i + k + d < value_count; k++) {
                sums[d] += w[k] * v[d + k];
            }
        }
    }
    for (; i < weight_count; i++) {
        for (int d = 0; d < count && i + d < value_count; d++) {
            sums[d] += weights[i] * values[i + d];
        }
    }
}

/* The share of the symbol `j` before the wanted one that stays in R; 0 for the wanted one. */
static double weight_of(struct vsb_equaliser_spans spans, const struct vsb_doubts *doubts, int j)
{
    if (j <= 0 || j > spans.feedback) {
        return j == 0 ? 0.0 : 1.0;
    }
    if (doubts == NULL || doubts->ages == 0) {
        return 0.0;
    }
    int age = (j - 1) / VSB_DOUBT_SYMBOLS;
    return doubts->doubt[age < doubts->ages ? age : doubts->ages - 1];
}

/* Row s = -earlier of R. `room` for as many numbers as the channel has taps. */
INLINED void first_row(const struct vsb_channel *channel, double noise,
                       struct vsb_equaliser_spans spans, const struct vsb_doubts *doubts,
                       double *row, double *room)
{
    int n = forward_count(spans), from = 0, count = channel->count;
    for (int i = 0; i < count; i++) {
        room[i] = weight_of(spans, doubts, channel->first + i + spans.earlier) * channel->taps[i];
    }
    memset(row, 0, (size_t)n * sizeof *row);
    row[0] = noise;
    while (from < count) { /* stretches without the zeros between */
        int to = from;
        while (to < count && room[to] != 0.0) {
            to++;
        }
        add_correlation(room + from, to - from, channel->taps + from, count - from, row, n);
        for (from = to; from < count && room[from] == 0.0;) {
            from++;
        }
    }
}

/* Where doubt changes: one more generator, added to the plus or the minus ones. */
struct step_of_doubt {
    bool minus;
    double *values;
};

#define ARRAYS 5
#define STEPS_MAX VSB_DOUBT_AGES

/* The four generators of the part of R not yet factored; plus is stored without its leading
 * zeros, so that moving it down by one is free. Then the right-hand side under elimination. */
struct generators {
    int n;
    double *plus, *plus2, *minus, *minus2, *right;
    int step_count;
    struct step_of_doubt steps[STEPS_MAX];
    bool alone; /* minus2 is nothing: no symbol is too old to be fed back */
};

/* The generator for a change of weight by `change` between the symbols j and j + 1. */
static void add_step(struct generators *g, const struct vsb_channel *channel,
                     struct vsb_equaliser_spans spans, int j, double change)
{
    if (change == 0.0) {
        return;
    }
    double *values = g->right + ((size_t)g->n + WIDE) * (size_t)(1 + g->step_count);
    double scale = sqrt(fabs(change));
    for (int i = 0; i < g->n; i++) {
        values[i] = i == 0 ? 0.0 : scale * vsb_channel_tap(channel, i - spans.earlier + j);
    }
    g->steps[g->step_count++] = (struct step_of_doubt){change < 0.0, values};
}

static void start_generators(struct generators *g, const struct vsb_channel *channel,
                             struct vsb_equaliser_spans spans, const struct vsb_doubts *doubts)
{
    /* g->plus holds the first row. */
    double scale = 1.0 / sqrt(g->plus[0]), old = 0.0;
    double last = sqrt(1.0 - weight_of(spans, doubts, spans.feedback));
    for (int i = 0; i < g->n; i++) {
        int s = i - spans.earlier;
        g->plus[i] *= scale;
        g->minus[i] = i == 0 ? 0.0 : g->plus[i];
        g->plus2[i] = i == 0 ? 0.0 : vsb_channel_tap(channel, s - 1);
        g->minus2[i] = i == 0 ? 0.0 : last * vsb_channel_tap(channel, s + spans.feedback);
        g->right[i] = vsb_channel_tap(channel, s);
        old += g->minus2[i] * g->minus2[i];
    }
    g->alone = old == 0.0;
    for (int age = 0; doubts != NULL && age < doubts->ages; age++) {
        int j = age * VSB_DOUBT_SYMBOLS;
        if (j < spans.feedback) {
            add_step(g, channel, spans, j,
                     weight_of(spans, doubts, j) - weight_of(spans, doubts, j + 1));
        }
    }
}

/* The plane rotation that takes (a, b) to (length, 0). */
INLINED void plane_rotation(double a, double b, double *c, double *s)
{
    double length = sqrt(a * a + b * b);
    *c = length > 0.0 ? a / length : 1.0;
    *s = length > 0.0 ? b / length : 0.0;
}

/* Rotates a further generator into a main one. */
INLINED void rotate_step(double *main, double *further, int count)
{
    double c, s;
    plane_rotation(main[0], further[0], &c, &s);
    for (int i = 0; i < count; i += WIDE) {
        wide a, b;
        memcpy(&a, main + i, sizeof a);
        memcpy(&b, further + i, sizeof b);
        wide turned = c * a + s * b;
        b = c * b - s * a;
        memcpy(main + i, &turned, sizeof turned);
        memcpy(further + i, &b, sizeof b);
    }
}

/* What becomes of the generators as a column is taken out. */
struct turn {
    double pc, ps, mc, ms;     /* plane rotations of the plus and the minus ones */
    double root, rho, inverse; /* the hyperbolic one of what is left; inverse = 1 / root */
    double solved;
};

/* `alone`: the second minus one is nothing. */
INLINED void turn(const struct generators *g, int k, const struct turn *t, bool alone,
                  const double *a, double *to)
{
    double *b = g->plus2 + k, *c = g->minus + k, *d = g->minus2 + k, *right = g->right + k;
    double pc = t->pc, ps = t->ps, mc = t->mc, ms = t->ms, root = t->root, rho = t->rho;
    double drop = rho * t->inverse, plain = pc * t->inverse, other = ps * t->inverse;
    assert(k < g->n);
    for (int i = 0; i < g->n - k; i += WIDE) {
        wide ai, bi, ci, di, ri, minus;
        memcpy(&ai, a + i, sizeof ai);
        memcpy(&bi, b + i, sizeof bi);
        memcpy(&minus, c + i, sizeof minus);
        memcpy(&ri, right + i, sizeof ri);
        if (!alone) {
            memcpy(&di, d + i, sizeof di);
            ci = mc * minus + ms * di;
            di = mc * di - ms * minus;
            memcpy(d + i, &di, sizeof di);
            minus = ci;
        }
        wide column = plain * ai + other * bi - drop * minus;
        bi = pc * bi - ps * ai;
        ci = root * minus - rho * column;
        ri -= t->solved * column;
        memcpy(to + i, &column, sizeof column);
        memcpy(b + i, &bi, sizeof bi);
        memcpy(c + i, &ci, sizeof ci);
        memcpy(right + i, &ri, sizeof ri);
    }
}

/* Rotates the generators so that only plus has an entry at row k; plus is then column k of the
 * factor, and lies at `to`. Removes that column from the right-hand side; returns false where
 * rounding has made R indefinite. */
INLINED bool factor_column(struct generators *g, int k, double *to, double *solved)
{
    int count = g->n - k;
    double *a = g->plus, *b = g->plus2 + k, *c = g->minus + k, *d = g->minus2 + k;
    struct turn t = {.mc = 1.0};
    if (g->step_count > 0 && to != a) { /* the column before stays as it is */
        memcpy(to, a, (size_t)count * sizeof *to);
        a = to;
    }
    for (int i = 0; i < g->step_count; i++) {
        rotate_step(g->steps[i].minus ? c : a, g->steps[i].values + k, count);
    }
    plane_rotation(a[0], b[0], &t.pc, &t.ps);
    if (!g->alone) {
        plane_rotation(c[0], d[0], &t.mc, &t.ms);
    }
    double plus = t.pc * a[0] + t.ps * b[0];
    t.rho = (t.mc * c[0] + t.ms * d[0]) / plus;
    if (!(fabs(t.rho) < 1.0)) {
        return false;
    }
    t.root = sqrt((1.0 - t.rho) * (1.0 + t.rho));
    t.inverse = 1.0 / t.root;
    *solved = t.solved = g->right[k] / (plus * t.root);
    if (g->alone) {
        turn(g, k, &t, true, a, to);
    } else {
        turn(g, k, &t, false, a, to);
    }
    g->plus = to;
    return true;
}

/* Factors R = L L', solves L u = h, and gives |u|^2 = h' R^-1 h. Where `factor` is not NULL it
 * receives the columns of L one after the other (n (n + 1) / 2 numbers, and room for WIDE more) and
 * `solved` u. */
INLINED enum status factor(const struct vsb_channel *channel, double noise,
                           struct vsb_equaliser_spans spans, const struct vsb_doubts *doubts,
                           double *columns, double *solved, double *snr)
{
    int n = forward_count(spans);
    size_t arrays = ARRAYS + (doubts != NULL ? (size_t)doubts->ages : 0);
    size_t each = (size_t)n + WIDE;
    double *memory = calloc(arrays * each + (size_t)channel->count, sizeof *memory);
    if (memory == NULL) {
        return STATUS_NO_MEMORY;
    }
    struct generators g = {
        n, memory, memory + each, memory + 2 * each, memory + 3 * each, memory + 4 * each,
        0, {{0}},  false};
    first_row(channel, noise, spans, doubts, g.plus, memory + arrays * each);
    start_generators(&g, channel, spans, doubts);
    double sum = 0.0, u;
    enum status status = STATUS_OK;
    for (int k = 0; k < n && status == STATUS_OK; k++) {
        if (!factor_column(&g, k, columns != NULL ? columns : g.plus, &u)) {
            status = STATUS_NO_SOLUTION;
            break;
        }
        sum += u * u;
        if (columns != NULL) {
            solved[k] = u;
            columns += n - k;
        }
    }
    free(memory);
    *snr = sum;
    return status == STATUS_OK && !isfinite(sum) ? STATUS_NO_SOLUTION : status;
}

/* L' w = u, from the columns of L; u becomes w. */
INLINED void solve_transposed(const double *columns, int n, double *u)
{
    const double *column = columns + (size_t)n * ((size_t)n + 1) / 2;
    for (int k = n - 1; k >= 0; k--) {
        column -= n - k;
        double sum = u[k] - wide_inner(column + 1, u + k + 1, n - k - 1);
        u[k] = sum / column[0];
    }
}

/* The feedback taps are what the forward taps leave of the decided symbols. Of the earlier samples
 * only so many as `earlier` have weight. */
INLINED void fill_backward(const struct vsb_channel *channel, const struct vsb_doubts *doubts,
                           int earlier, struct vsb_equaliser *equaliser)
{
    const double *forward = equaliser->forward + equaliser->spans.earlier - earlier;
    int n = earlier + equaliser->spans.later + 1, feedback = equaliser->spans.feedback;
    int first = 1 - earlier - channel->first; /* channel tap of both first ones */
    int skipped = first < 0 ? -first : 0;     /* the channel begins later */
    for (int j = 0; j < skipped && j < feedback; j++) {
        int from = skipped - j;
        if (from < n) {
            equaliser->backward[j] =
                wide_inner(forward + from, channel->taps,
                           n - from < channel->count ? n - from : channel->count);
        }
    }
    if (skipped < feedback && first + skipped < channel->count) {
        add_correlation(forward, n, channel->taps + first + skipped,
                        channel->count - first - skipped, equaliser->backward + skipped,
                        feedback - skipped);
    }
    for (int j = 0; j < equaliser->spans.feedback; j++) {
        equaliser->backward[j] *= sqrt(1.0 - weight_of(equaliser->spans, doubts, j + 1));
    }
}

/* R^-1 h in `forward`, from the columns of the factor. */
INLINED enum status solve_by_columns(const struct vsb_channel *channel, double noise,
                                     struct vsb_equaliser_spans spans,
                                     const struct vsb_doubts *doubts, double *forward, double *snr)
{
    int n = forward_count(spans);
    double *columns = malloc(((size_t)n * ((size_t)n + 1) / 2 + WIDE) * sizeof *columns);
    enum status status = columns != NULL
                             ? factor(channel, noise, spans, doubts, columns, forward, snr)
                             : STATUS_NO_MEMORY;
    if (status == STATUS_OK) {
        solve_transposed(columns, n, forward);
    }
    free(columns);
    return status;
}

/* Fills in taps and SNR. */
TWINS static enum status design(const struct vsb_channel *channel, double noise,
                                const struct vsb_doubts *doubts, struct vsb_equaliser *equaliser)
{
    struct vsb_equaliser_spans spans = equaliser->spans;
    bool within = (doubts == NULL || doubts->ages == 0) && vsb_within(channel, spans);
    int early = channel->first < 0 ? -channel->first : 0;
    double *forward = equaliser->forward;
    enum status status =
        within ? vsb_within_solve(channel, noise, spans.later, forward + spans.earlier - early,
                                  &equaliser->snr)
               : solve_by_columns(channel, noise, spans, doubts, forward, &equaliser->snr);
    for (int i = 0; i < forward_count(spans) && status == STATUS_OK; i++) {
        forward[i] /= equaliser->snr;
    }
    if (status == STATUS_OK) {
        fill_backward(channel, doubts, within ? early : spans.earlier, equaliser);
    }
    return status;
}

enum status vsb_equaliser_design(const struct vsb_channel *channel, double noise,
                                 struct vsb_equaliser_spans spans, const struct vsb_doubts *doubts,
                                 struct vsb_equaliser *equaliser)
{
    *equaliser = (struct vsb_equaliser){.spans = spans};
    equaliser->forward = calloc((size_t)forward_count(spans), sizeof *equaliser->forward);
    equaliser->backward = calloc((size_t)spans.feedback + 1, sizeof *equaliser->backward);
    enum status status = STATUS_NO_MEMORY;
    if (equaliser->forward != NULL && equaliser->backward != NULL) {
        status = design(channel, noise, doubts, equaliser);
    }
    if (status != STATUS_OK) {
        vsb_equaliser_free(equaliser);
    }
    return status;
}

enum status vsb_equaliser_snr(const struct vsb_channel *channel, double noise,
                              struct vsb_equaliser_spans spans, const struct vsb_doubts *doubts,
                              double *snr)
{
    return factor(channel, noise, spans, doubts, NULL, NULL, snr);
}

void vsb_equaliser_free(struct vsb_equaliser *equaliser)
{
    free(equaliser->forward);
    free(equaliser->backward);
    *equaliser = (struct vsb_equaliser){0};
}
