/* Interpolation of sampled mutual information. Idea: between samples half a decibel apart a cubic
 * Hermite polynomial with slopes from fourth-order differences errs by less than 1e-5 bit
 * (tests/physics/information/test_information.c measures it). Below the samples information is
 * proportional to SNR (its first-order term; the second order is 0.1 % there); above them it is
 * level: sets whose points nearly coincide would gain more above 60 dB, where no receiver works.
 *
 * Rayleigh: with power g = mean * e^t the mean over g's exponential density is the integral of
 * I(mean e^t) exp(t - e^t) dt, smooth and falling fast on both sides, so the trapezoidal rule with
 * steps of half a decibel is as good as exact. Worked number: QPSK at 0 dB mean carries 0.798 bit
 * where the steady channel carries 0.972. A rotated set is the mean over both parts' powers
 * (rotated/surface.c). */
#include "physics/information/curve.h"

#include <math.h>

#include "base/units.h"

#define MICRO 1e-6
#define EDGE 2 /* samples at each end that serve slopes only */

/* Microbits at `fraction` of the way from sample i to the next. */
static double between(const uint32_t *samples, int i, double fraction)
{
    double a = samples[i - 2], b = samples[i - 1], c = samples[i];
    double d = samples[i + 1], e = samples[i + 2], f = samples[i + 3];
    double slope_c = (8.0 * (d - b) - (e - a)) / 12.0;
    double slope_d = (8.0 * (e - c) - (f - b)) / 12.0;
    double rise = d - c;
    double bend = 3.0 * rise - 2.0 * slope_c - slope_d;
    double twist = slope_c + slope_d - 2.0 * rise;
    return c + fraction * (slope_c + fraction * (bend + fraction * twist));
}

/* What a layer sees of an SNR of the whole signal, and the other way. */
static double seen_db(const struct information_curve *curve, double snr_db)
{
    double snr = ratio_from_db(snr_db);
    return db_from_ratio(curve->own_share * snr / (curve->other_share * snr + 1.0));
}

static double sent_db(const struct information_curve *curve, double layer_db)
{
    double seen = ratio_from_db(layer_db);
    double left = curve->own_share - curve->other_share * seen;
    return left > 0.0 ? db_from_ratio(seen / left) : INFINITY;
}

double information_curve_bits(const struct information_curve *curve, double snr_db)
{
    if (curve->own_share > 0.0) {
        snr_db = seen_db(curve, snr_db);
    }
    double position = (snr_db - INFORMATION_FIRST_DB) / INFORMATION_STEP_DB;
    if (!(position > EDGE)) {
        double lowest_db = INFORMATION_FIRST_DB + EDGE * INFORMATION_STEP_DB;
        return MICRO * curve->microbits[EDGE] * ratio_from_db(snr_db - lowest_db);
    }
    int last = curve->count - 1 - EDGE;
    if (position >= last) {
        return MICRO * curve->microbits[last];
    }
    int i = (int)position;
    return MICRO * between(curve->microbits, i, position - i);
}

static double layer_snr_db(const struct information_curve *curve, double bits)
{
    int low = EDGE, high = curve->count - 1 - EDGE;
    double wanted = bits / MICRO;
    if (bits <= 0.0) {
        return -INFINITY;
    }
    if (!(wanted < curve->microbits[high])) {
        return isnan(bits) ? NAN : INFINITY;
    }
    if (wanted <= curve->microbits[low]) {
        return INFORMATION_FIRST_DB + EDGE * INFORMATION_STEP_DB +
               db_from_ratio(wanted / curve->microbits[low]);
    }
    while (high - low > 1) {
        int middle = (low + high) / 2;
        if (curve->microbits[middle] < wanted) {
            low = middle;
        } else {
            high = middle;
        }
    }
    double below = 0.0, above = 1.0;
    for (int step = 0; step < 40; step++) {
        double middle = 0.5 * (below + above);
        if (between(curve->microbits, low, middle) < wanted) {
            below = middle;
        } else {
            above = middle;
        }
    }
    return INFORMATION_FIRST_DB + INFORMATION_STEP_DB * (low + 0.5 * (below + above));
}

double information_curve_snr_db(const struct information_curve *curve, double bits)
{
    double snr_db = layer_snr_db(curve, bits);
    return curve->own_share > 0.0 && isfinite(snr_db) ? sent_db(curve, snr_db) : snr_db;
}

/* Powers from 60 dB below the mean to 16 dB above it hold all but 1e-6 of the probability. */
#define RAYLEIGH_LOW_DB (-60.0)
#define RAYLEIGH_STEP_DB 0.5
#define RAYLEIGH_STEPS 152

double information_curve_rayleigh(const struct information_curve *curve, double mean_snr_db)
{
    const double growth = exp(RAYLEIGH_STEP_DB * log(10.0) / 10.0);
    const double width = RAYLEIGH_STEP_DB * log(10.0) / 10.0;
    struct surface_spread spread = {{0.0}};
    double power = ratio_from_db(RAYLEIGH_LOW_DB), sum = 0.0;
    for (int i = 0; i <= RAYLEIGH_STEPS; i++) {
        double snr_db = mean_snr_db + RAYLEIGH_LOW_DB + i * RAYLEIGH_STEP_DB;
        double share = width * power * exp(-power);
        if (curve->apart) {
            struct surface_place place = surface_place(snr_db);
            surface_add(&spread, &place, share);
        } else {
            sum += share * information_curve_bits(curve, snr_db);
        }
        power *= growth;
    }
    return curve->apart ? surface_mean(curve->apart, &spread) : sum;
}

/* With a share e lost the mean is (1 - e) A, of a rotated set (1 - e)^2 A + 2 e (1 - e) B, where B
 * is what one part carries: the smaller root, as without loss of digits where A is nearly 2 B. */
double information_curve_loss_borne(const struct information_curve *curve, double snr_db,
                                    double bits)
{
    double both = information_curve_bits(curve, snr_db), spare = both - bits;
    if (!(spare > 0.0)) {
        return 0.0;
    }
    if (!curve->apart) {
        return spare / both;
    }
    double one = surface_bits(curve->apart, snr_db, -INFINITY);
    return spare / (both - one + sqrt(one * one + bits * (both - 2.0 * one)));
}

double information_curve_rayleigh_snr_db(const struct information_curve *curve, double bits)
{
    double low = INFORMATION_FIRST_DB, high = INFORMATION_LAST_DB;
    if (!(bits > 0.0)) {
        return isnan(bits) ? NAN : -INFINITY;
    }
    if (information_curve_rayleigh(curve, high) <= bits) {
        return INFINITY;
    }
    /* Halved until the curve is nearly straight, then by false position (Illinois): the end that
     * stays twice counts half. */
    double below = -1.0, above = 1.0, next = 0.5 * (low + high);
    for (int step = 0, side = 0; step < 60 && high - low > 1e-6; step++) {
        double miss = information_curve_rayleigh(curve, next) - bits;
        if (fabs(miss) < 1e-10) {
            return next;
        }
        if (miss < 0.0) {
            low = next;
            below = miss;
            above *= side < 0 ? 0.5 : 1.0;
            side = -1;
        } else {
            high = next;
            above = miss;
            below *= side > 0 ? 0.5 : 1.0;
            side = 1;
        }
        next = high - low > 6.0 ? 0.5 * (low + high) : low + (high - low) * below / (below - above);
    }
    return next;
}
