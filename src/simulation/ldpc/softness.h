#ifndef SIMULATION_LDPC_SOFTNESS_H
#define SIMULATION_LDPC_SOFTNESS_H

/* f(x) = ln(1 + e^-x) for box_plus_rows.h, in whole steps of 1 / STEPS. */
#define STEPS 18.0F

/* By halves of x in steps: at 0 the first, x = 2 t - 1 and 2 t share the t-th of these, from 1 to
 * 31, and all larger ones the last. */
#define SOFTNESS_AT_0 12
#define SOFTNESS_LAST 0
#define SOFTNESS(entry)                                                                           \
    entry(12), entry(11), entry(10), entry(9), entry(8), entry(8), entry(7), entry(6), entry(6),  \
        entry(5), entry(5), entry(4), entry(4), entry(4), entry(3), entry(3), entry(3), entry(2), \
        entry(2), entry(2), entry(2), entry(2), entry(1), entry(1), entry(1), entry(1), entry(1), \
        entry(1), entry(1), entry(1), entry(SOFTNESS_LAST)

/* The same told otherwise: the last x at which f is still 12, 11 .. 1. */
#define SOFTNESS_FALLS 2, 4, 6, 8, 12, 14, 18, 22, 28, 34, 44, 60

#endif
