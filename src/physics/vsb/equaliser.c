#include "physics/vsb/equaliser.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/wide.h"
#include "physics/vsb/columns.h"
#include "physics/vsb/doubting.h"
#include "physics/vsb/stretches.h"
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
 * What lies outside the spans stays in R as interference: the reach needs no rule of its own.
 * Doubts: doubting.c.
 *
 * Structure. R(s, s') - R(s - 1, s' - 1) = h[s-1] h[s'-1] - h[s+feedback] h[s'+feedback]: R is
 * Toeplitz but for two outer products. Its Cholesky
 * factor therefore follows column by column from four vectors (generators) by plane and
 * hyperbolic rotations, the generalized Schur algorithm (Kailath and Sayed, "Displacement
 * structure: theory and applications", SIAM Review 37, 1995), in time N^2 instead of N^3, N =
 * earlier + later + 1. The hyperbolic rotations are done in the mixed form, which is stable for a
 * positive definite R. Generators that have died away, or have not begun, are left alone; where
 * none is left a column is the one before, a row further down.
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

/* Whether the symbol `j` before the wanted one stays in R, as 1. */
static double weight_of(struct vsb_equaliser_spans spans, int j)
{
    return j < 0 || j > spans.feedback ? 1.0 : 0.0;
}

/* Row s = -earlier of R. `room` for as many numbers as the channel has taps. */
INLINED void first_row(const struct vsb_channel *channel, double noise,
                       struct vsb_equaliser_spans spans, double *row, double *room)
{
    int n = forward_count(spans), from = 0, count = channel->count;
    for (int i = 0; i < count; i++) {
        room[i] = weight_of(spans, channel->first + i + spans.earlier) * channel->taps[i];
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

#define ARRAYS 5
#define LOOK_EACH 16 /* columns, from look to look whether a generator has */
#define DEAD 1e-12   /* of the column, sums of squares */

/* The four generators of the part of R not yet factored; plus is stored without its leading
 * zeros, so that moving it down by one is free. Then the right-hand side under elimination, which
 * begins and dies with plus2: but for its length it is that, a row ahead. */
struct generators {
    int n;
    double *plus, *plus2, *minus, *minus2, *right;
    bool no_plus2, no_minus, no_minus2; /* nothing is left of them, of no_plus2 and right */
};

static void start_generators(struct generators *g, const struct vsb_channel *channel,
                             struct vsb_equaliser_spans spans)
{
    /* g->plus holds the first row. */
    double scale = 1.0 / sqrt(g->plus[0]);
    for (int i = 0; i < g->n; i++) {
        int s = i - spans.earlier;
        g->plus[i] *= scale;
        g->minus[i] = i == 0 ? 0.0 : g->plus[i];
        g->plus2[i] = i == 0 ? 0.0 : vsb_channel_tap(channel, s - 1);
        g->minus2[i] = i == 0 ? 0.0 : vsb_channel_tap(channel, s + spans.feedback);
        g->right[i] = vsb_channel_tap(channel, s);
    }
}

/* The plane rotation that takes (a, b) to (length, 0). */
INLINED void plane_rotation(double a, double b, double *c, double *s)
{
    double length = sqrt(a * a + b * b);
    *c = length > 0.0 ? a / length : 1.0;
    *s = length > 0.0 ? b / length : 0.0;
}

/* What becomes of the generators as a column is taken out. */
struct turn {
    double pc, ps, mc, ms;     /* plane rotations of the plus and the minus ones */
    double root, rho, inverse; /* the hyperbolic one of what is left; inverse = 1 / root */
    double solved;
};

/* Which generators there are besides plus. */
struct there {
    bool plus2, minus, minus2;
};

INLINED void turn(const struct generators *g, int k, const struct turn *t, struct there there,
                  const double *a, double *to)
{
    double *b = g->plus2 + k, *c = g->minus + k, *d = g->minus2 + k, *right = g->right + k;
    double pc = t->pc, ps = t->ps, mc = t->mc, ms = t->ms, root = t->root, rho = t->rho;
    double drop = rho * t->inverse, plain = pc * t->inverse, other = ps * t->inverse;
    assert(k < g->n);
    for (int i = 0; i < g->n - k; i += WIDE) {
        wide ai, bi, ci, di, ri, minus;
        memcpy(&ai, a + i, sizeof ai);
        wide column = plain * ai;
        if (there.plus2) {
            memcpy(&bi, b + i, sizeof bi);
            column += other * bi;
            bi = pc * bi - ps * ai;
            memcpy(b + i, &bi, sizeof bi);
        }
        if (there.minus) {
            memcpy(&minus, c + i, sizeof minus);
            if (there.minus2) {
                memcpy(&di, d + i, sizeof di);
                ci = mc * minus + ms * di;
                di = mc * di - ms * minus;
                memcpy(d + i, &di, sizeof di);
                minus = ci;
            }
            column -= drop * minus;
            ci = root * minus - rho * column;
            memcpy(c + i, &ci, sizeof ci);
        }
        if (there.plus2) {
            memcpy(&ri, right + i, sizeof ri);
            ri -= t->solved * column;
            memcpy(right + i, &ri, sizeof ri);
        }
        memcpy(to + i, &column, sizeof column);
    }
}

INLINED void turn_what_is_there(const struct generators *g, int k, const struct turn *t,
                                struct there there, const double *a, double *to)
{
    if (there.plus2 && there.minus2) {
        turn(g, k, t, (struct there){true, true, true}, a, to);
    } else if (there.plus2 && there.minus) {
        turn(g, k, t, (struct there){true, true, false}, a, to);
    } else if (there.plus2) {
        turn(g, k, t, (struct there){true, false, false}, a, to);
    } else if (there.minus2) {
        turn(g, k, t, (struct there){false, true, true}, a, to);
    } else if (there.minus) {
        turn(g, k, t, (struct there){false, true, false}, a, to);
    } else {
        turn(g, k, t, (struct there){false, false, false}, a, to);
    }
}

#define PIECE 64 /* numbers, after each of which it is known of most that they are no less */

/* Whether the sum of squares of these and, where there are any, of others is less than that. */
INLINED bool are_less(const double *values, const double *others, int count, double least)
{
    double sum = 0.0;
    for (int i = 0; i < count && sum < least; i += PIECE) {
        int here = count - i < PIECE ? count - i : PIECE;
        sum += wide_inner(values + i, values + i, here);
        sum += others != NULL ? wide_inner(others + i, others + i, here) : 0.0;
    }
    return sum < least;
}

/* Looks which generators have died. */
INLINED void look(struct generators *g, int k)
{
    int left = g->n - k;
    double least = DEAD * g->plus[0] * g->plus[0];
    if (k % LOOK_EACH == 0) {
        g->no_plus2 = g->no_plus2 || are_less(g->plus2 + k, g->right + k, left, least);
        g->no_minus2 = g->no_minus2 || are_less(g->minus2 + k, NULL, left, least);
        g->no_minus = g->no_minus || (g->no_minus2 && are_less(g->minus + k, NULL, left, least));
    }
}

/* Rotates the generators so that only plus has an entry at row k; plus is then column k of the
 * factor, and lies at `to`, or where it lay where nothing turns it. Removes that column from the
 * right-hand side; returns false where rounding has made R indefinite. */
INLINED bool factor_column(struct generators *g, int k, double *to, double *solved)
{
    double *a = g->plus, *b = g->plus2 + k, *c = g->minus + k, *d = g->minus2 + k;
    look(g, k);
    struct there there = {!g->no_plus2 && (b[0] != 0.0 || g->right[k] != 0.0), !g->no_minus,
                          !g->no_minus2};
    struct turn t = {.pc = 1.0, .mc = 1.0};
    if (there.plus2) {
        plane_rotation(a[0], b[0], &t.pc, &t.ps);
    }
    if (there.minus2) {
        plane_rotation(c[0], d[0], &t.mc, &t.ms);
    }
    double plus = t.pc * a[0] + t.ps * b[0];
    t.rho = there.minus ? (t.mc * c[0] + t.ms * d[0]) / plus : 0.0;
    if (!(fabs(t.rho) < 1.0)) {
        return false;
    }
    t.root = sqrt((1.0 - t.rho) * (1.0 + t.rho));
    t.inverse = 1.0 / t.root;
    *solved = t.solved = there.plus2 ? g->right[k] / (plus * t.root) : 0.0;
    if (there.plus2 || there.minus || k == 0) {
        turn_what_is_there(g, k, &t, there, a, to);
        g->plus = to;
    }
    return true;
}

/* Factors R = L L', solves L u = h, and gives |u|^2 = h' R^-1 h. Where `columns` is not NULL it
 * receives L, as far as columns differ, and `solved` u. */
INLINED enum status factor(const struct vsb_channel *channel, double noise,
                           struct vsb_equaliser_spans spans, struct columns *columns,
                           double *solved, double *snr)
{
    int n = forward_count(spans);
    size_t each = (size_t)n + WIDE;
    double *memory = calloc(ARRAYS * each + (size_t)channel->count, sizeof *memory);
    if (memory == NULL) {
        return STATUS_NO_MEMORY;
    }
    struct generators g = {
        n,     memory, memory + each, memory + 2 * each, memory + 3 * each, memory + 4 * each,
        false, false,  false};
    first_row(channel, noise, spans, g.plus, memory + ARRAYS * each);
    start_generators(&g, channel, spans);
    double sum = 0.0, u, *to = columns != NULL ? columns->numbers : NULL;
    enum status status = STATUS_OK;
    for (int k = 0; k < n && status == STATUS_OK; k++) {
        if (!factor_column(&g, k, columns != NULL ? to : g.plus, &u)) {
            status = STATUS_NO_SOLUTION;
            break;
        }
        sum += u * u;
        if (columns != NULL) {
            solved[k] = u;
            columns->begins[k] = g.plus;
            to += g.plus == to ? n - k : 0;
        }
    }
    free(memory);
    *snr = sum;
    return status == STATUS_OK && !isfinite(sum) ? STATUS_NO_SOLUTION : status;
}

/* The feedback taps are what the forward taps leave of the decided symbols. */
INLINED void fill_backward(const struct vsb_channel *channel, int earlier,
                           struct vsb_equaliser *equaliser)
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
}

/* R^-1 h in `forward`, and the factor's columns, which the caller frees. Of the earlier samples
 * only so many as `earlier` have weight. */
INLINED enum status solve_and_keep(const struct vsb_channel *channel, double noise,
                                   struct vsb_equaliser_spans spans, double *forward,
                                   struct columns *columns, int *earlier, double *snr)
{
    int early = channel->first < 0 ? -channel->first : 0;
    if (vsb_within(channel, spans)) {
        *earlier = early;
        return vsb_within_solve(channel, noise, spans.later, columns,
                                forward + spans.earlier - early, snr);
    }
    int n = forward_count(spans);
    *earlier = spans.earlier;
    enum status status = columns_make(n, n, (size_t)n * ((size_t)n + 1) / 2, columns);
    if (status == STATUS_OK) {
        status = factor(channel, noise, spans, columns, forward, snr);
    }
    if (status == STATUS_OK) {
        columns_solve_upper(columns, forward);
    }
    return status;
}

/* Fills in taps and SNR; of the receiver in doubt where `doubting` is not NULL and no less than
 * `least_snr` is left. */
TWINS static enum status design(const struct vsb_channel *channel, double noise,
                                vsb_doubts_at *doubts_at, double sure, double least_snr,
                                struct vsb_equaliser *equaliser, struct vsb_equaliser *doubting)
{
    struct columns columns = {NULL};
    struct vsb_equaliser_spans spans = equaliser->spans;
    int earlier, n = forward_count(spans);
    enum status status = solve_and_keep(channel, noise, spans, equaliser->forward, &columns,
                                        &earlier, &equaliser->snr);
    for (int i = 0; i < n && status == STATUS_OK; i++) {
        equaliser->forward[i] /= equaliser->snr;
    }
    if (status == STATUS_OK) {
        fill_backward(channel, earlier, equaliser);
        equaliser->trusting_snr = equaliser->snr;
    }
    if (status == STATUS_OK && doubting != NULL && equaliser->snr >= least_snr) {
        status =
            vsb_doubting_design(channel, noise, &columns, doubts_at, sure, equaliser, doubting);
    }
    columns_free(&columns);
    return status;
}

static enum status make(struct vsb_equaliser_spans spans, struct vsb_equaliser *equaliser)
{
    *equaliser = (struct vsb_equaliser){.spans = spans};
    equaliser->forward = calloc((size_t)forward_count(spans), sizeof *equaliser->forward);
    equaliser->backward = calloc((size_t)spans.feedback + 1, sizeof *equaliser->backward);
    return equaliser->forward != NULL && equaliser->backward != NULL ? STATUS_OK : STATUS_NO_MEMORY;
}

enum status vsb_equaliser_design(const struct vsb_channel *channel, double noise,
                                 struct vsb_equaliser_spans spans, struct vsb_equaliser *equaliser)
{
    enum status status = make(spans, equaliser);
    if (status == STATUS_OK) {
        status = design(channel, noise, NULL, 0.0, 0.0, equaliser, NULL);
    }
    if (status != STATUS_OK) {
        vsb_equaliser_free(equaliser);
    }
    return status;
}

enum status vsb_equaliser_design_doubting(const struct vsb_channel *channel, double noise,
                                          struct vsb_equaliser_spans spans,
                                          vsb_doubts_at *doubts_at, double sure, double least_snr,
                                          struct vsb_equaliser *trusting,
                                          struct vsb_equaliser *doubting)
{
    enum status status = make(spans, trusting), other = make(spans, doubting);
    if (status == STATUS_OK && other == STATUS_OK) {
        status = design(channel, noise, doubts_at, sure, least_snr, trusting, doubting);
    }
    status = status != STATUS_OK ? status : other;
    if (status != STATUS_OK) {
        vsb_equaliser_free(trusting);
    }
    if (status != STATUS_OK || trusting->snr < least_snr) {
        vsb_equaliser_free(doubting);
    }
    return status;
}

enum status vsb_equaliser_snr(const struct vsb_channel *channel, double noise,
                              struct vsb_equaliser_spans spans, double *snr)
{
    return factor(channel, noise, spans, NULL, NULL, snr);
}

void vsb_equaliser_free(struct vsb_equaliser *equaliser)
{
    free(equaliser->forward);
    free(equaliser->backward);
    *equaliser = (struct vsb_equaliser){0};
}
