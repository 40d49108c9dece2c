/* Maximum likelihood by Fisher scoring: with z = a + b (SNR - pivot), p = Q(z) and density f(z),
 * each point of n frames has the weight n f^2 / (p (1 - p)); the step solves the weighted least
 * squares for the residuals (p - errors / n) / f. Worked number: 10 % at 10 dB and 1 % at 10.2 dB
 * are 1.282 and 2.326 deviations: 5.22 a dB, so 1e-4 (3.719) is at 10.467 dB. */
#include "simulation/waterfall.h"

#include <math.h>

#include "base/units.h"

#define STEPS_MAX 200

static double tail(double z)
{
    return 0.5 * erfc(z * sqrt(0.5));
}

static double density(double z)
{
    return exp(-0.5 * z * z) / sqrt(2.0 * PI);
}

static double inverse_tail(double p)
{
    double low = -38.0, high = 38.0;
    for (int i = 0; i < 200; i++) {
        double middle = 0.5 * (low + high);
        if (tail(middle) > p) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return 0.5 * (low + high);
}

/* The normal equations at (a, b): information matrix h and gradient g. */
static void score(const struct waterfall_point *points, int count, double pivot, double a, double b,
                  double h[2][2], double g[2])
{
    h[0][0] = h[0][1] = h[1][0] = h[1][1] = g[0] = g[1] = 0.0;
    for (int i = 0; i < count; i++) {
        double x = points[i].snr_db - pivot, n = (double)points[i].frames;
        double z = fmin(fmax(a + b * x, -8.0), 8.0);
        double p = tail(z), f = density(z), spread = fmax(p * (1.0 - p), 1e-300);
        double weight = n * f * f / spread;
        double pull = f * (n * p - (double)points[i].errors) / spread;
        h[0][0] += weight;
        h[0][1] += weight * x;
        h[1][1] += weight * x * x;
        g[0] += pull;
        g[1] += pull * x;
    }
    h[1][0] = h[0][1];
}

/* A first line through what is surely inside (0, 1): half a frame is added to both outcomes. */
static enum status first_line(const struct waterfall_point *points, int count, double *pivot,
                              double *a, double *b)
{
    double weights = 0.0, x1 = 0.0, z1 = 0.0, xx = 0.0, xz = 0.0;
    long errors = 0, good = 0;
    for (int i = 0; i < count; i++) {
        double weight = sqrt((double)points[i].errors + 0.5);
        double z =
            inverse_tail(((double)points[i].errors + 0.5) / ((double)points[i].frames + 1.0));
        weights += weight;
        x1 += weight * points[i].snr_db;
        z1 += weight * z;
        errors += points[i].errors;
        good += points[i].frames - points[i].errors;
    }
    if (count < 2 || errors == 0 || good == 0) {
        return STATUS_NO_SOLUTION;
    }
    *pivot = x1 / weights;
    *a = z1 / weights;
    for (int i = 0; i < count; i++) {
        double weight = sqrt((double)points[i].errors + 0.5), x = points[i].snr_db - *pivot;
        double z =
            inverse_tail(((double)points[i].errors + 0.5) / ((double)points[i].frames + 1.0));
        xx += weight * x * x;
        xz += weight * x * (z - *a);
    }
    *b = xz / xx;
    return *b > 0.0 ? STATUS_OK : STATUS_NO_SOLUTION; /* also where xx is 0 */
}

enum status waterfall_fit(const struct waterfall_point *points, int count, struct waterfall *fit)
{
    double pivot, a, b, h[2][2], g[2], determinant = 0.0;
    enum status status = first_line(points, count, &pivot, &a, &b);
    if (status != STATUS_OK) {
        return status;
    }
    for (int step = 0; step < STEPS_MAX; step++) {
        score(points, count, pivot, a, b, h, g);
        determinant = h[0][0] * h[1][1] - h[0][1] * h[1][0];
        if (!(determinant > 0.0)) {
            return STATUS_NO_SOLUTION;
        }
        double da = (h[1][1] * g[0] - h[0][1] * g[1]) / determinant;
        double db = (h[0][0] * g[1] - h[1][0] * g[0]) / determinant;
        double size = fmin(1.0, 1.0 / fmax(fabs(da), 1e-300));
        size = fmin(size, 0.5 * b / fmax(fabs(db), 1e-300));
        a += size * da;
        b += size * db;
        if (fabs(da) < 1e-10 && fabs(db) < 1e-10 * b) {
            break;
        }
    }
    *fit = (struct waterfall){.middle_db = pivot - a / b,
                              .steepness = b,
                              .pivot_db = pivot,
                              .covariance = {{h[1][1] / determinant, -h[0][1] / determinant},
                                             {-h[1][0] / determinant, h[0][0] / determinant}}};
    return isfinite(fit->middle_db) ? STATUS_OK : STATUS_NO_SOLUTION;
}

double waterfall_snr_db(const struct waterfall *fit, double frame_error_rate)
{
    return fit->middle_db + inverse_tail(frame_error_rate) / fit->steepness;
}

double waterfall_error_db(const struct waterfall *fit, double frame_error_rate)
{
    double x = waterfall_snr_db(fit, frame_error_rate) - fit->pivot_db;
    double variance =
        fit->covariance[0][0] + 2.0 * x * fit->covariance[0][1] + x * x * fit->covariance[1][1];
    return sqrt(variance) / fit->steepness;
}
