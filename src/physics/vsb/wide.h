#ifndef PHYSICS_VSB_WIDE_H
#define PHYSICS_VSB_WIDE_H

#include <string.h>

/* Sums and steps over many numbers, WIDE at a time, for the solvers of equalisers. A function of
 * EITHER_WAY is compiled into one for registers of that width and into one for any: to the same
 * numbers, for nothing is fused and each sum is taken in one order. */

#define WIDE 4 /* arrays that are gone through have room for so many more */
typedef double wide __attribute__((vector_size(8 * WIDE)));
#define EITHER_WAY static inline __attribute__((always_inline))

/* Sum of a[i] * b[i]. */
EITHER_WAY double wide_inner(const double *a, const double *b, int count)
{
    wide sums[2] = {{0.0}, {0.0}};
    int i = 0;
    for (; i + 2 * WIDE <= count; i += 2 * WIDE) {
        for (int k = 0; k < 2; k++) {
            wide x, y;
            memcpy(&x, a + i + k * WIDE, sizeof x);
            memcpy(&y, b + i + k * WIDE, sizeof y);
            sums[k] += x * y;
        }
    }
    sums[0] += sums[1];
    double sum = (sums[0][0] + sums[0][1]) + (sums[0][2] + sums[0][3]);
    for (; i < count; i++) {
        sum += a[i] * b[i];
    }
    return sum;
}

#endif
