#ifndef SIMULATION_VSB_INNER_H
#define SIMULATION_VSB_INNER_H

/* The inner product of two stretches: eight sums side by side let the compiler use vector registers
 * without changing the order of additions from machine to machine. */
static inline double inner_product(const double *restrict a, const double *restrict b, int n)
{
    double sums[8] = {0};
    int i = 0;
    for (; i + 8 <= n; i += 8) {
        for (int j = 0; j < 8; j++) {
            sums[j] += a[i + j] * b[i + j];
        }
    }
    double sum = 0.0;
    for (; i < n; i++) {
        sum += a[i] * b[i];
    }
    for (int j = 0; j < 8; j++) {
        sum += sums[j];
    }
    return sum;
}

#endif
