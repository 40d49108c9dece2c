#ifndef PHYSICS_VSB_STRETCHES_H
#define PHYSICS_VSB_STRETCHES_H

#include "base/wide.h"

/* Sums over the taps of channels that late echoes leave long gaps in. For functions of TWINS. */

/* Values from `from` on, before `to`, none beside them. */
struct stretch {
    int from, to;
};
#define GAP (2 * WIDE) /* zeros, that it is worth to leave out */

/* The first stretch of values from `from` on that only GAP zeros or the end bound; empty: none. */
static struct stretch stretch_from(const double *values, int count, int from)
{
    while (from < count && values[from] == 0.0) {
        from++;
    }
    struct stretch stretch = {from, from};
    for (int i = from; i < count && i < stretch.to + GAP; i++) {
        stretch.to = values[i] != 0.0 ? i + 1 : stretch.to;
    }
    return stretch;
}

/* sums[d] += the sum over i of weights[i] * values[i + d], for the values of a stretch. */
INLINED void add_stretch(const double *weights, int weight_count, const double *values,
                         int value_count, struct stretch stretch, double *sums, int count)
{
    int i = 0;
    for (; i + 4 <= weight_count; i += 4) {
        const double *v = values + i;
        const double w[4] = {weights[i], weights[i + 1], weights[i + 2], weights[i + 3]};
        int there = value_count - i - 3 < count ? value_count - i - 3 : count;
        int end = stretch.to - i < count ? stretch.to - i : count;
        int d = stretch.from - i - 3 > 0 ? stretch.from - i - 3 : 0;
        for (; d < end && d + WIDE <= there; d += WIDE) {
            wide x0, x1, x2, x3, sum;
            memcpy(&sum, sums + d, sizeof sum);
            memcpy(&x0, v + d, sizeof x0);
            memcpy(&x1, v + d + 1, sizeof x1);
            memcpy(&x2, v + d + 2, sizeof x2);
            memcpy(&x3, v + d + 3, sizeof x3);
            sum += (w[0] * x0 + w[1] * x1) + (w[2] * x2 + w[3] * x3);
            memcpy(sums + d, &sum, sizeof sum);
        }
        for (; d < end; d++) {
            for (int k = 0; k < 4 && i + k + d < value_count; k++) {
                sums[d] += w[k] * v[d + k];
            }
        }
    }
    for (; i < weight_count; i++) {
        for (int d = stretch.from > i ? stretch.from - i : 0; d < count && i + d < stretch.to;
             d++) {
            sums[d] += weights[i] * values[i + d];
        }
    }
}

/* The same as far as there are values: late echoes leave long gaps between them. */
INLINED void add_correlation(const double *weights, int weight_count, const double *values,
                             int value_count, double *sums, int count)
{
    struct stretch stretch = stretch_from(values, value_count, 0);
    while (stretch.from < stretch.to && stretch.from < weight_count + count) {
        add_stretch(weights, weight_count, values, value_count, stretch, sums, count);
        stretch = stretch_from(values, value_count, stretch.to);
    }
}

#endif
