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

bool vsb_within(const struct vsb_channel *channel, struct vsb_equaliser_spans spans)
{
    return channel->count - 1 <= spans.feedback && -channel->first <= spans.earlier;
}

/* Rotates the column before, which has moved down by one row for nothing, and the second generator
 * so that the latter has no entry at row k: the former is then column k, in `to`. */
INLINED void next_column(double *second, int count, const double *from, double *to)
{
    double diagonal = sqrt(from[0] * from[0] + second[0] * second[0]);
    double c = from[0] / diagonal, s = second[0] / diagonal;
    for (int i = 0; i < count; i += WIDE) {
        wide a, b;
        memcpy(&a, from + i, sizeof a);
        memcpy(&b, second + i, sizeof b);
        wide column = c * a + s * b;
        b = c * b - s * a;
        memcpy(to + i, &column, sizeof column);
        memcpy(second + i, &b, sizeof b);
    }
}

/* Factors R = L L' and solves L u = h, then L' x = u, in `x`; gives |u|^2. */
TWINS static double solve(struct columns *columns, double *second, double *x)
{
    double *column = columns->numbers;
    bool dead = false;
    for (int k = 0; k < columns->n; k++) {
        int count = columns_count(columns, k);
        if (!dead && k > 0) {
            next_column(second + k, count, column, column + columns->length);
            column += columns->length;
        }
        columns->begins[k] = column;
        if (!dead && k % DIES_EACH == 0) {
            const double *left = second + k + 1;
            dead = wide_inner(left, left, count - 1) < NEGLIGIBLE * column[0] * column[0];
        }
    }
    columns_solve_lower(columns, x);
    double sum = wide_inner(x, x, columns->n);
    columns_solve_upper(columns, x);
    return sum;
}

enum status vsb_within_solve(const struct vsb_channel *channel, double noise, int later,
                             struct columns *columns, double *forward, double *snr)
{
    int early = channel->first < 0 ? -channel->first : 0, n = early + later + 1;
    int length = (channel->count / WIDE + 1) * WIDE;
    size_t each = (size_t)n + (size_t)length + WIDE;
    enum status status = columns_make(n, length, (size_t)n * (size_t)length, columns);
    double *second = calloc(each, sizeof *second);
    if (status == STATUS_OK && second != NULL) {
        memset(forward, 0, (size_t)n * sizeof *forward);
        for (int i = 0; i < channel->count && channel->first + i <= later; i++) {
            int row = channel->first + i + early;
            forward[row] = channel->taps[i];
            second[row + 1] = channel->taps[i];
        }
        memset(columns->numbers, 0, (size_t)length * sizeof *columns->numbers);
        columns->numbers[0] = sqrt(noise);
        *snr = solve(columns, second, forward);
        status = isfinite(*snr) ? STATUS_OK : STATUS_NO_SOLUTION;
    } else {
        status = STATUS_NO_MEMORY;
    }
    free(second);
    return status;
}
