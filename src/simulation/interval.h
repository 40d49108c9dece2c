#ifndef SIMULATION_INTERVAL_H
#define SIMULATION_INTERVAL_H

/* Exact (Clopper-Pearson) confidence interval of a rate from `events` in `trials`: the rates that
 * would give so many events or more, and so many or fewer, with a probability of (1 - confidence)
 * / 2 each. `confidence` in (0, 1), e.g. 0.95. Without trials it is 0..1. */
struct interval {
    double low, high;
};
struct interval interval_of_rate(long events, long trials, double confidence);

/* Regularised incomplete beta function I_x(a, b), a, b > 0, to about 1e-12 relative. */
double incomplete_beta(double a, double b, double x);

#endif
