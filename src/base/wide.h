#ifndef BASE_WIDE_H
#define BASE_WIDE_H

#include <string.h>

#include "base/twins.h"

#define WIDE 4 /* arrays that are gone through have room for so many more */
typedef double wide __attribute__((vector_size(8 * WIDE)));

/* Sum of a[i] * b[i], i < count: in a function of TWINS, WIDE at a time. */
INLINED double wide_inner(const double *a, const double *b, int count)
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
