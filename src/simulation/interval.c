/* Clopper and Pearson, Biometrika 26, 1934: with k events in n trials the lower end p solves
 * I_p(k, n - k + 1) = (1 - confidence) / 2 and the upper one 1 - I_p(k + 1, n - k) = the same; the
 * true rate is inside at least as often as promised. The incomplete beta function comes from its
 * continued fraction (NIST Digital Library of Mathematical Functions 8.17.22), evaluated by
 * Lentz's method. Worked number: no event in 100 trials gives 0 to 1 - 0.025^(1/100) = 0.03622. */
#include "simulation/interval.h"

#include <math.h>

#define TINY 1e-300
#define TERMS_MAX 100000

static double step_guard(double x)
{
    return fabs(x) < TINY ? TINY : x;
}

static double continued_fraction(double a, double b, double x)
{
    double c = 1.0, d = 1.0 / step_guard(1.0 - (a + b) * x / (a + 1.0)), value = d;
    for (int m = 1; m < TERMS_MAX; m++) {
        double even = m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m));
        d = 1.0 / step_guard(1.0 + even * d);
        c = step_guard(1.0 + even / c);
        value *= d * c;
        double odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0));
        d = 1.0 / step_guard(1.0 + odd * d);
        c = step_guard(1.0 + odd / c);
        value *= d * c;
        if (fabs(d * c - 1.0) < 1e-15) {
            break;
        }
    }
    return value;
}

double incomplete_beta(double a, double b, double x)
{
    if (!(x > 0.0)) {
        return 0.0;
    }
    if (!(x < 1.0)) {
        return 1.0;
    }
    double front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x));
    return x < (a + 1.0) / (a + b + 2.0) ? front * continued_fraction(a, b, x) / a
                                         : 1.0 - front * continued_fraction(b, a, 1.0 - x) / b;
}

/* The p at which I_p(a, b) reaches `target`, by halving on a logarithmic, then a linear scale. */
static double inverse(double a, double b, double target)
{
    double low = 0.0, high = 1.0;
    while (high > 1e-290 && incomplete_beta(a, b, high / 2.0) > target) {
        high /= 2.0;
    }
    low = high / 2.0;
    for (int i = 0; i < 60; i++) {
        double middle = 0.5 * (low + high);
        if (incomplete_beta(a, b, middle) > target) {
            high = middle;
        } else {
            low = middle;
        }
    }
    return 0.5 * (low + high);
}

struct interval interval_of_rate(long events, long trials, double confidence)
{
    struct interval interval = {0.0, 1.0};
    double tail = 0.5 * (1.0 - confidence), k = (double)events, n = (double)trials;
    if (events > 0) {
        interval.low = inverse(k, n - k + 1.0, tail);
    }
    if (events < trials) {
        interval.high = inverse(k + 1.0, n - k, 1.0 - tail);
    }
    return interval;
}
