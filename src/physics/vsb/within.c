/* Idea. Where feedback lasts as long as the channel, no symbol behind it is left in a sample, and R
 * (equaliser.c) has only the symbols to come:
 *
 *     R(s, s') = noise delta(s - s') + sum over k < s of h[k] h[k + s' - s].
 *
 * Samples before the first tap hold nothing of the wanted symbol nor of any to come: R is diagonal
 * there and the right-hand side 0, so that their taps are 0 and N counts from the first tap on. The
 * first row is then that of noise alone, and R(s, s') - R(s - 1, s' - 1) = h[s-1] h[s'-1]: of the
 * four generators two are left, and one plane rotation a column, with nothing hyperbolic in it. Nor
 * is any sample bound to another further off than the channel lasts: columns are no longer than
 * that. The second generator dies away as the columns come to those of the endless equaliser, each
 * as the one before but for its place: from there on that one column stands for all.
 *
 * Validity: that of equaliser.c, whose answer this is. Worked number: h = (1, 1), noise 0.01, one
 * later sample: the column of 0.01 is (0.1, 0), h moved down turns the next to sqrt(0.01 + 1) =
 * 1.005: u = (10, 0.995), SNR 100.99. */
#include "physics/vsb/within.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/wide.h"

#define DIES_EACH 16    /* columns, from look to look whether it has */
#define NEGLIGIBLE 1e-9 /* of the column, sums of squares */

/* The part of R not yet factored, and the right-hand side under elimination. Columns of L stand one
 * after the other, `length` each, as long as they differ. */
struct within {
    int n, length;
    double *columns, *second, *right;
};

bool vsb_within(const struct vsb_channel *channel, struct vsb_equaliser_spans spans)
{
    return channel->count - 1 <= spans.feedback && -channel->first <= spans.earlier;
}

/* Takes x times a column off the right-hand side. */
INLINED void take_off(const double *column, int count, double x, double *right)
{
    for (int i = 0; i < count; i += WIDE) {
        wide a, r;
        memcpy(&a, column + i, sizeof a);
        memcpy(&r, right + i, sizeof r);
        r -= x * a;
        memcpy(right + i, &r, sizeof r);
    }
}

/* Rotates the column before, which has moved down by one row for nothing, and the second generator
 * so that the latter has no entry at row k: the former is then column k, in `to`, and is taken off
 * the right-hand side too; gives by how much. */
INLINED double next_column(const struct within *w, int k, int count, const double *from, double *to)
{
    double *second = w->second + k, *right = w->right + k;
    double diagonal = sqrt(from[0] * from[0] + second[0] * second[0]);
    double c = from[0] / diagonal, s = second[0] / diagonal, x = right[0] / diagonal;
    for (int i = 0; i < count; i += WIDE) {
        wide a, b, r;
        memcpy(&a, from + i, sizeof a);
        memcpy(&b, second + i, sizeof b);
        memcpy(&r, right + i, sizeof r);
        wide column = c * a + s * b;
        b = c * b - s * a;
        r -= x * column;
        memcpy(to + i, &column, sizeof column);
        memcpy(second + i, &b, sizeof b);
        memcpy(right + i, &r, sizeof r);
    }
    return x;
}

/* Factors R = L L' and solves L u = h, then L' x = u, in `x`; gives |u|^2. */
TWINS static double solve(const struct within *w, double *x)
{
    double sum = 0.0, *column = w->columns;
    int different = 1;
    bool dead = false;
    for (int k = 0; k < w->n; k++) {
        int count = w->n - k < w->length ? w->n - k : w->length;
        if (dead || k == 0) {
            x[k] = w->right[k] / column[0];
            take_off(column, count, x[k], w->right + k);
        } else {
            x[k] = next_column(w, k, count, column, column + w->length);
            column += w->length;
            different = k + 1;
        }
        sum += x[k] * x[k];
        if (!dead && k % DIES_EACH == 0) {
            const double *second = w->second + k + 1;
            dead = wide_inner(second, second, count - 1) < NEGLIGIBLE * column[0] * column[0];
        }
    }
    for (int k = w->n - 1; k >= 0; k--) {
        column = w->columns + (size_t)(k < different ? k : different - 1) * (size_t)w->length;
        int count = w->n - k < w->length ? w->n - k : w->length;
        x[k] = (x[k] - wide_inner(column + 1, x + k + 1, count - 1)) / column[0];
    }
    return sum;
}

enum status vsb_within_solve(const struct vsb_channel *channel, double noise, int later,
                             double *forward, double *snr)
{
    int early = channel->first < 0 ? -channel->first : 0;
    struct within w = {.n = early + later + 1, .length = (channel->count / WIDE + 1) * WIDE};
    size_t length = (size_t)w.length, each = (size_t)w.n + length + WIDE;
    w.columns = malloc(((size_t)w.n * length + WIDE) * sizeof *w.columns);
    w.second = calloc(2 * each, sizeof *w.second);
    enum status status = STATUS_NO_MEMORY;
    if (w.columns != NULL && w.second != NULL) {
        w.right = w.second + each;
        for (int i = 0; i < channel->count && channel->first + i <= later; i++) {
            int row = channel->first + i + early;
            w.right[row] = channel->taps[i];
            w.second[row + 1] = channel->taps[i];
        }
        memset(w.columns, 0, length * sizeof *w.columns);
        w.columns[0] = sqrt(noise);
        *snr = solve(&w, forward);
        status = isfinite(*snr) ? STATUS_OK : STATUS_NO_SOLUTION;
    }
    free(w.columns);
    free(w.second);
    return status;
}
