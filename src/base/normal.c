/* The normal distribution's quantile by Newton's method on the complementary error function. Worked
 * number: 0.9 gives 1.28155. */
#include "base/normal.h"

#include <math.h>

#include "base/units.h"

double normal_quantile(double probability)
{
    /* The smaller tail keeps its digits, and there the function is convex: from 0 Newton's steps
     * go one way and do not overshoot. */
    double tail = probability < 0.5 ? probability : 1.0 - probability;
    double x = 0.0;
    for (int i = 0; i < 100; i++) {
        double value = 0.5 * erfc(x / sqrt(2.0));
        double slope = exp(-x * x / 2.0) / sqrt(2.0 * PI);
        double step = (value - tail) / slope;
        x += step;
        if (fabs(step) < 1e-13) {
            break;
        }
    }
    return probability < 0.5 ? -x : x;
}
