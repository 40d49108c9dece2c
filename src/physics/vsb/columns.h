#ifndef PHYSICS_VSB_COLUMNS_H
#define PHYSICS_VSB_COLUMNS_H

#include <stdlib.h>

#include "base/status.h"
#include "base/wide.h"

/* The Cholesky factor L of a symmetric matrix of which no two rows more than `length` apart have
 * anything in common: column k has its numbers from row k on, at begins[k]. They lie one after the
 * other in `numbers`, as far as they differ. Where they have weights the matrix is L W L'. */
struct columns {
    double *numbers; /* owned, as the others are */
    const double **begins;
    double *inverse_weights; /* NULL: all 1 */
    int n, length;
};

/* Room for so many numbers and some more. STATUS_NO_MEMORY; the owner calls columns_free either
 * way. */
static inline enum status columns_make(int n, int length, size_t numbers, struct columns *columns)
{
    *columns = (struct columns){malloc((numbers + WIDE) * sizeof *columns->numbers),
                                malloc((size_t)n * sizeof *columns->begins), NULL, n, length};
    return columns->numbers != NULL && columns->begins != NULL ? STATUS_OK : STATUS_NO_MEMORY;
}

static inline void columns_free(struct columns *columns)
{
    free(columns->numbers);
    free(columns->begins);
    free(columns->inverse_weights);
    *columns = (struct columns){NULL};
}

INLINED int columns_count(const struct columns *columns, int k)
{
    return columns->n - k < columns->length ? columns->n - k : columns->length;
}

/* Columns at a time, so that what they are taken off is read and written once for all. */
#define COLUMNS_BLOCK 4
_Static_assert(COLUMNS_BLOCK == WIDE, "what one block has stored the next one loads whole");

/* Columns first, first + 1 ... from the row behind the block on: `common` rows that all have, and
 * `counts` of each. */
struct columns_block {
    const double *column[COLUMNS_BLOCK], *behind[COLUMNS_BLOCK];
    int common, counts[COLUMNS_BLOCK];
};

INLINED void columns_block(const struct columns *columns, int first, struct columns_block *block)
{
    for (int j = 0; j < COLUMNS_BLOCK; j++) {
        block->column[j] = columns->begins[first + j];
        block->behind[j] = block->column[j] + COLUMNS_BLOCK - j;
        block->counts[j] = columns_count(columns, first + j) - (COLUMNS_BLOCK - j);
    }
    block->common = block->counts[0];
}

/* For functions of TWINS: L W u = x from a column on, those before being done, and L' w = x; x
 * becomes the solution. */
INLINED void columns_solve_lower(const struct columns *columns, int first, double *x)
{
    int k = first;
    for (; k + COLUMNS_BLOCK <= columns->n; k += COLUMNS_BLOCK) {
        struct columns_block b;
        double u[COLUMNS_BLOCK], *right = x + k + COLUMNS_BLOCK;
        columns_block(columns, k, &b);
#pragma GCC unroll 4
        for (int j = 0; j < COLUMNS_BLOCK; j++) {
            double inverse = 1.0 / b.column[j][0];
            u[j] = x[k + j];
#pragma GCC unroll 4
            for (int i = 0; i < j; i++) {
                u[j] -= b.column[i][j - i] * u[i];
            }
            u[j] *= inverse;
        }
        memcpy(x + k, u, sizeof u);
        int i = 0;
        for (; i + WIDE <= b.common; i += WIDE) {
            wide r, a[COLUMNS_BLOCK];
            memcpy(&r, right + i, sizeof r);
#pragma GCC unroll 4
            for (int j = 0; j < COLUMNS_BLOCK; j++) {
                memcpy(&a[j], b.behind[j] + i, sizeof a[j]);
                a[j] *= u[j];
            }
            r -= (a[0] + a[1]) + (a[2] + a[3]);
            memcpy(right + i, &r, sizeof r);
        }
#pragma GCC unroll 4
        for (int j = 0; j < COLUMNS_BLOCK; j++) {
            for (int l = i; l < b.counts[j]; l++) {
                right[l] -= u[j] * b.behind[j][l];
            }
        }
    }
    for (; k < columns->n; k++) {
        x[k] /= columns->begins[k][0];
        for (int i = 1; i < columns_count(columns, k); i++) {
            x[k + i] -= x[k] * columns->begins[k][i];
        }
    }
    for (k = first; columns->inverse_weights != NULL && k < columns->n; k++) {
        x[k] *= columns->inverse_weights[k];
    }
}

INLINED void columns_solve_upper(const struct columns *columns, double *x)
{
    int k = columns->n;
    for (; k >= COLUMNS_BLOCK; k -= COLUMNS_BLOCK) {
        struct columns_block b;
        double u[COLUMNS_BLOCK];
        wide sums[COLUMNS_BLOCK] = {{0.0}};
        int i = 0;
        columns_block(columns, k - COLUMNS_BLOCK, &b);
        for (; i + WIDE <= b.common; i += WIDE) {
            wide at, a;
            memcpy(&at, x + k + i, sizeof at);
#pragma GCC unroll 4
            for (int j = 0; j < COLUMNS_BLOCK; j++) {
                memcpy(&a, b.behind[j] + i, sizeof a);
                sums[j] += a * at;
            }
        }
#pragma GCC unroll 4
        for (int j = COLUMNS_BLOCK - 1; j >= 0; j--) {
            double sum = (sums[j][0] + sums[j][1]) + (sums[j][2] + sums[j][3]);
            for (int l = i; l < b.counts[j]; l++) {
                sum += b.behind[j][l] * x[k + l];
            }
            double inverse = 1.0 / b.column[j][0];
            u[j] = x[k - COLUMNS_BLOCK + j] - sum;
#pragma GCC unroll 4
            for (int l = j + 1; l < COLUMNS_BLOCK; l++) {
                u[j] -= b.column[j][l - j] * u[l];
            }
            u[j] *= inverse;
        }
        memcpy(x + k - COLUMNS_BLOCK, u, sizeof u);
    }
    for (k--; k >= 0; k--) {
        const double *column = columns->begins[k];
        x[k] =
            (x[k] - wide_inner(column + 1, x + k + 1, columns_count(columns, k) - 1)) / column[0];
    }
}

#endif
