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
 * 1.005: u = (10, 0.995), SNR 100.99.
 *
 * Rows by four. Without roots, as in settling.c: a + u b and b - u a, u = b(0) / a(0), are what
 * turns a and b, both weights being divided by 1 + u^2. What turns four rows is found from their
 * first entries; then it passes over all others, which stay in registers for all four rows. */
#include "physics/vsb/within.h"

#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/wide.h"

#define DIES_EACH 16    /* rows, from look to look whether it has */
#define NEGLIGIBLE 1e-9 /* of the column, sums of squares */

bool vsb_within(const struct vsb_channel *channel, struct vsb_equaliser_spans spans)
{
    return channel->count - 1 <= spans.feedback && -channel->first <= spans.earlier;
}

#define ROWS 4  /* a block */
#define EIGHT 8 /* a chunk, in two registers, which need not wait for each other */
typedef int64_t places __attribute__((vector_size(8 * WIDE)));

/* clang has another name for it. */
#if defined(__clang__)
#define PAIRED(a, b, ...) __builtin_shufflevector(a, b, __VA_ARGS__)
#else
#define PAIRED(a, b, ...) __builtin_shuffle(a, b, (places){__VA_ARGS__})
#endif

struct eight {
    wide low, high;
};

INLINED void load_eight(const double *from, struct eight *to)
{
    memcpy(&to->low, from, sizeof to->low);
    memcpy(&to->high, from + WIDE, sizeof to->high);
}

INLINED void store_eight(const struct eight *from, double *to)
{
    memcpy(to, &from->low, sizeof from->low);
    memcpy(to + WIDE, &from->high, sizeof from->high);
}

/* A row further down, the numbers before being `before`. */
INLINED void move_down(const struct eight *before, struct eight *values)
{
    values->high = PAIRED(values->low, values->high, 3, 4, 5, 6);
    values->low = PAIRED(before->high, values->low, 3, 4, 5, 6);
}

/* R on its way. Columns begin with their block's first row and end with zeros. */
struct passing {
    double *second, *right; /* from row 0 on */
    int chunks, stride;     /* of a column; from column to column, numbers */
    double inverse_weight;  /* of the last column and the second generator */
};

/* What turns the rows of a block, and how much of each column comes off the right-hand side. */
struct turns {
    double by[ROWS], right[ROWS];
};

/* Finds it from the first entries, those of the column before being `above`. */
INLINED void find_turns(struct passing *p, int row, const double *above, struct turns *turns,
                        double *inverse_weights)
{
    double column[ROWS], second[ROWS], right[ROWS];
    memcpy(column, above, sizeof column);
    memcpy(second, p->second + row, sizeof second);
    memcpy(right, p->right + row, sizeof right);
#pragma GCC unroll 4
    for (int j = 0; j < ROWS; j++) {
        double by = second[j] / column[j];
#pragma GCC unroll 4
        for (int i = j; i < ROWS; i++) {
            double before = column[i];
            column[i] += by * second[i];
            second[i] -= by * before;
        }
        double comes_off = right[j] / column[j];
#pragma GCC unroll 4
        for (int i = j; i < ROWS; i++) {
            right[i] -= comes_off * column[i];
        }
        p->inverse_weight *= 1.0 + by * by;
        inverse_weights[j] = p->inverse_weight;
        turns->by[j] = by;
        turns->right[j] = comes_off;
#pragma GCC unroll 4
        for (int i = ROWS - 1; i > j; i--) {
            column[i] = column[i - 1];
        }
    }
}

/* Turns a chunk for all rows of a block, whose columns begin at `to`; `before` has what the chunk
 * before this one became in each row. */
INLINED void turn_chunk(const struct passing *p, int row, const struct turns *turns,
                        const double *above, int chunk, struct eight *before, double *to)
{
    ptrdiff_t at = (ptrdiff_t)chunk * EIGHT, stride = p->stride;
    struct eight column, second, right;
    load_eight(above + at, &column);
    load_eight(p->second + row + at, &second);
    load_eight(p->right + row + at, &right);
#pragma GCC unroll 4
    for (int j = 0; j < ROWS; j++) {
        struct eight moved = column;
        column.low += turns->by[j] * second.low;
        column.high += turns->by[j] * second.high;
        second.low -= turns->by[j] * moved.low;
        second.high -= turns->by[j] * moved.high;
        right.low -= turns->right[j] * column.low;
        right.high -= turns->right[j] * column.high;
        store_eight(&column, to + j * stride + at);
        moved = column;
        move_down(&before[j], &column);
        before[j] = moved;
    }
    store_eight(&second, p->second + row + at);
    store_eight(&right, p->right + row + at);
}

/* Factors the rows of a block, whose columns begin at `to`, and finds what turns the next one. */
INLINED void pass(struct passing *p, int row, const double *above, double *to, struct turns *turns,
                  double *next_weights)
{
    struct turns now = *turns;
    struct passing as = *p;
    struct eight before[ROWS] = {{{0.0}, {0.0}}}, none = {{0.0}, {0.0}};
    turn_chunk(&as, row, &now, above, 0, before, to);
    for (int j = 0; j < ROWS; j++) {
        store_eight(&none, to + (ptrdiff_t)j * as.stride + (ptrdiff_t)as.chunks * EIGHT);
        as.right[row + j] = now.right[j];
    }
    find_turns(p, row + ROWS, to + (ROWS - 1) * (ptrdiff_t)as.stride + ROWS - 1, turns,
               next_weights);
    for (int chunk = 1; chunk < as.chunks; chunk++) {
        turn_chunk(&as, row, &now, above, chunk, before, to);
    }
}

/* Solves for the rows from `first` on, whose columns are all as `column`; h' R^-1 h so far is
 * `sum`. */
INLINED double go_on_alike(struct columns *columns, int first, const double *column, double *x,
                           double sum)
{
    double inverse_weight = columns->inverse_weights[first - 1];
    for (int k = first; k < columns->n; k++) {
        columns->begins[k] = column;
        columns->inverse_weights[k] = inverse_weight;
    }
    columns_solve_lower(columns, first, x);
    return sum + wide_inner(x + first, x + first, columns->n - first) / inverse_weight;
}

/* Factors R = L W L' and solves L W u = h, then L' x = u, in `right`; gives h' R^-1 h. */
TWINS static double solve(struct columns *columns, struct passing *p)
{
    int n = columns->n, row = 0;
    ptrdiff_t stride = p->stride;
    double sum = 0.0, *inverse_weights = columns->inverse_weights, *x = p->right;
    double *to = columns->numbers + stride;
    const double *above = columns->numbers + ROWS - 1;
    struct turns turns;
    bool dead = false;
    find_turns(p, 0, above, &turns, inverse_weights);
    for (; row < n && !dead; row += ROWS, to += ROWS * stride) {
        pass(p, row, above, to, &turns, inverse_weights + row + ROWS);
        for (int j = 0; j < ROWS && row + j < n; j++) {
            columns->begins[row + j] = to + j * stride + j;
            sum += x[row + j] * x[row + j] * inverse_weights[row + j];
            x[row + j] *= inverse_weights[row + j];
        }
        above = to + (ROWS - 1) * stride + ROWS - 1;
        if (row % DIES_EACH == 0) {
            const double *left = p->second + row + ROWS;
            dead = wide_inner(left, left, p->chunks * EIGHT) < NEGLIGIBLE * above[0] * above[0];
        }
    }
    if (row < n) {
        sum = go_on_alike(columns, row, above, x, sum);
    }
    columns_solve_upper(columns, x);
    return sum;
}

/* Room for what is passed over, the channel in it. */
static enum status passing_make(const struct vsb_channel *channel, double noise, int later,
                                struct columns *columns, struct passing *p)
{
    int early = channel->first < 0 ? -channel->first : 0, n = early + later + 1;
    int chunks = (channel->count + 2 * (ROWS - 1) + EIGHT - 1) / EIGHT;
    int stride = (chunks + 1) * EIGHT;
    size_t rows = (size_t)(n + ROWS - 1) / ROWS * ROWS, each = rows + (size_t)stride + ROWS;
    enum status status = columns_make(n, chunks * EIGHT, (rows + 1) * (size_t)stride, columns);
    columns->inverse_weights = malloc((rows + ROWS) * sizeof *columns->inverse_weights);
    double *second = calloc(2 * each, sizeof *second);
    *p = (struct passing){second, second + each, chunks, stride, 1.0};
    if (status != STATUS_OK || columns->inverse_weights == NULL || second == NULL) {
        return STATUS_NO_MEMORY;
    }
    for (int i = 0; i < channel->count && channel->first + i <= later; i++) {
        int row = channel->first + i + early;
        p->right[row] = channel->taps[i];
        p->second[row + 1] = channel->taps[i];
    }
    memset(columns->numbers, 0, (size_t)stride * sizeof *columns->numbers);
    columns->numbers[ROWS - 1] = sqrt(noise);
    return STATUS_OK;
}

enum status vsb_within_solve(const struct vsb_channel *channel, double noise, int later,
                             struct columns *columns, double *forward, double *snr)
{
    struct passing p;
    enum status status = passing_make(channel, noise, later, columns, &p);
    if (status == STATUS_OK) {
        *snr = solve(columns, &p);
        memcpy(forward, p.right, (size_t)columns->n * sizeof *forward);
        status = isfinite(*snr) ? STATUS_OK : STATUS_NO_SOLUTION;
    }
    free(p.second);
    return status;
}
