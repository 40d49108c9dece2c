#ifndef PHYSICS_VSB_SETTLING_H
#define PHYSICS_VSB_SETTLING_H

#include "physics/vsb/curve.h"

/* Where a learning curve's slope takes taps that lie at the end of the step: what an implicit step
 * of the curve has to solve. For learning.c. */

/* Room for one curve. */
struct settling {
    int blocks, chunks;  /* of rows, and of a column */
    int stride;          /* from column to column of the factor */
    float *memory;       /* owned: what all but block points to */
    float *columns;      /* of the factor, as far as they differ */
    float *first;        /* what the first is made of */
    const float **block; /* columns of each block of rows, owned */
    float *dense;        /* the channel */
    float *others[3];    /* generators */
    float *right, *inverse, *solved, *sums;
};

/* STATUS_NO_MEMORY; the owner calls settling_free either way. */
enum status settling_make(const struct curve *curve, struct settling *settling);
void settling_free(struct settling *settling);

/* In the channel set: taps = from + reach * slope(taps), `reach` > 0 in 1 / mu. `taps` may be
 * `from`. */
void settling_find(struct curve *curve, struct settling *settling, double reach, const float *from,
                   float *taps);

#endif
