/* Doppler under OFDM. Three things give way as the channel moves.
 *
 * The pilots of one carrier come back after Dy symbols and so follow changes up to half their
 * rate, 1 / (2 Dy (Tu + Tg)).
 *
 * Carriers leak into each other. A ray whose shift is f keeps sinc^2(f Tu) of its power; one that
 * arrives from all sides alike, with the autocorrelation J0(2 pi f t) of Clarke and Jakes, leaks
 *
 *     P = 1 - 2 integral over x = 0..1 of (1 - x) J0(2 pi f Tu x)
 *       = z^2 / 6 - z^4 / 60 + .., term k: (-1)^(k+1) z^2k / (k!)^2 2 / ((2k + 1)(2k + 2)),
 *
 * z = pi f Tu (Y. Li and L. J. Cimini, "Bounds on the interchannel interference of OFDM in
 * time-varying impairments", IEEE Trans. Commun. 49(3), 2001, whose bound is the first term).
 * A ray that is shifted and spread keeps the product of what both leave, exact in f^2.
 *
 * Between two pilots D symbols apart the estimate is drawn as a straight line while the ray turns.
 * With its autocorrelation r (cos 2 pi f t for a shift, J0 for a spread, their product for both),
 * and a = n / D at the nth of D symbols, the error is
 *
 *     E = 1 + a^2 + (1 - a)^2 + 2 a (1 - a) r(D) - 2 (1 - a) r(n) - 2 a r(D - n),
 *
 * taken at the symbols between the pilots (n = 1..D-1): at the pilots themselves it is none, but
 * their cells carry no data. On carriers whose estimate is drawn from neighbours that hold a pilot
 * in this symbol it is less, down to (D - 1) / D of it: E is the careful side. ATSC A/327 Annex B
 * models linear interpolation in time and leaves a receiver free to do better: Wiener's filter over
 * several pilots of the carrier (P. Hoeher, S. Kaiser, P. Robertson, "Two-dimensional
 * pilot-symbol-aided channel estimation by Wiener filtering", ICASSP 1997) is that.
 *
 * For a mean received power of 1 the useful part is 1 - P, and what disturbs it is noise N, P and
 * (1 - P) E. Part of E is in step with the ray, a draught of its turning: e = A r + rest with
 *
 *     A = 1 - (1 - a) r(n) - a r(D - n),
 *
 * so A^2 of E comes with the carrier's own gain. To a mode it weighs as the gain w of the carriers
 * that decide for it, which are below the mean: E' = E - A^2 + w A^2. A mode that needs the ratio g
 * at rest (N = 1 / g) decodes up to N = (1 - P)(1 / g - E') - P; the limit is where that is 1 / 2g:
 * the mode then needs 3 dB more.
 *
 * Worked numbers, 16K at 6 MHz (Tu 2370.4, Tu + Tg 2518.5 us), Dy = 2, 46.8 Hz: P = -16.99 dB,
 * E = -15.83 dB; four pilots without noise and Wiener's filter leave -38 dB. */
#include "physics/ofdm/doppler.h"

#include <math.h>
#include <stdbool.h>

#include "base/units.h"

double doppler_pilot_limit_hz(const struct ofdm_grid *grid)
{
    return 1.0 / (2.0 * grid->dy * grid->symbol_us * 1e-6);
}

/* The series above while its terms stay small, then the integral's first term for long symbols,
 * 1 / z: there, from 1 - P = 0.12 on, nothing is received any more. */
static double classical_leak(double spread_hz, double useful_us)
{
    double z = PI * fabs(spread_hz) * useful_us * 1e-6;
    if (z > 8.0) {
        return 1.0 - 1.0 / z;
    }
    double power = 1.0, sum = 0.0;
    for (int k = 1; k <= 40; k++) {
        power *= -z * z / ((double)k * k);
        double term = power * 2.0 / ((2.0 * k + 1.0) * (2.0 * k + 2.0));
        sum -= term;
        if (fabs(term) < 1e-17) {
            break;
        }
    }
    return sum;
}

/* 1 - sinc^2, without cancellation at small shifts. */
static double shift_leak(double shift_hz, double useful_us)
{
    double x = PI * shift_hz * useful_us * 1e-6;
    if (fabs(x) < 1e-3) {
        return x * x / 3.0;
    }
    return 1.0 - sin(x) / x * sin(x) / x;
}

double doppler_leak(double shift_hz, double spread_hz, double useful_us)
{
    double shifted = shift_leak(shift_hz, useful_us);
    double spread = spread_hz != 0.0 ? classical_leak(spread_hz, useful_us) : 0.0;
    return shifted + spread - shifted * spread;
}

/* Real part of a ray's autocorrelation. */
static double correlation(double shift_hz, double spread_hz, double seconds)
{
    double turn = 2.0 * PI * seconds;
    double spread = spread_hz != 0.0 ? j0(turn * spread_hz) : 1.0;
    return shift_hz != 0.0 ? spread * cos(turn * shift_hz) : spread;
}

/* The estimation error's power, and the part of it that is in step with the ray. */
struct turned {
    double all, alike;
};

static struct turned turned(const struct ofdm_grid *grid, double shift_hz, double spread_hz)
{
    int dy = grid->dy;
    double symbol = grid->symbol_us * 1e-6;
    struct turned sum = {0.0, 0.0};
    double across = correlation(shift_hz, spread_hz, dy * symbol);
    for (int n = 1; n < dy; n++) {
        double a = (double)n / dy;
        double to_first = (1.0 - a) * correlation(shift_hz, spread_hz, n * symbol);
        double to_second = a * correlation(shift_hz, spread_hz, (dy - n) * symbol);
        double alike = 1.0 - to_first - to_second;
        sum.all += 1.0 + a * a + (1.0 - a) * (1.0 - a) + 2.0 * a * (1.0 - a) * across -
                   2.0 * to_first - 2.0 * to_second;
        sum.alike += alike * alike;
    }
    double between = dy > 1 ? dy - 1 : 1;
    return (struct turned){fmax(sum.all / between, 0.0), sum.alike / between};
}

double doppler_estimation_error(const struct ofdm_grid *grid, double shift_hz, double spread_hz)
{
    return turned(grid, shift_hz, spread_hz).all;
}

/* What is left of 1 after the best weights: 1 - c' R^-1 c by Cholesky's factors, R the pilots'
 * correlations and noise, c their correlations to the wanted symbol. A trace of noise keeps R
 * positive where pilots hardly differ. */
static double wiener_rest(int pilots, double spread_hz, double pilot_seconds, double wanted_seconds,
                          double noise)
{
    double factor[DOPPLER_WIENER_PILOTS][DOPPLER_WIENER_PILOTS], solved[DOPPLER_WIENER_PILOTS];
    double rest = 1.0;
    for (int i = 0; i < pilots; i++) {
        for (int k = 0; k <= i; k++) {
            double sum = correlation(0.0, spread_hz, (i - k) * pilot_seconds);
            sum += i == k ? noise + 1e-9 : 0.0;
            for (int m = 0; m < k; m++) {
                sum -= factor[i][m] * factor[k][m];
            }
            factor[i][k] = i == k ? sqrt(fmax(sum, 1e-12)) : sum / factor[k][k];
        }
        int behind = pilots / 2 - 1; /* as many lie before the wanted symbol */
        double at = (i - behind) * pilot_seconds;
        double sum = correlation(0.0, spread_hz, at - wanted_seconds);
        for (int m = 0; m < i; m++) {
            sum -= factor[i][m] * solved[m];
        }
        solved[i] = sum / factor[i][i];
        rest -= solved[i] * solved[i];
    }
    return fmax(rest, 0.0);
}

double doppler_wiener_error(const struct ofdm_grid *grid, double spread_hz, int pilots,
                            double noise)
{
    int dy = grid->dy;
    double symbol = grid->symbol_us * 1e-6, sum = 0.0;
    for (int n = 1; n < dy; n++) {
        sum += wiener_rest(pilots, spread_hz, dy * symbol, n * symbol, noise);
    }
    return dy > 1 ? sum / (dy - 1) : 0.0;
}

double doppler_interference_limit_hz(double useful_us, const struct doppler_need *need)
{
    if (!(need->noise > 0.0)) {
        return isnan(need->noise) ? NAN : 0.0;
    }
    /* The leak P at which (1 - P) noise - P is half of the noise. It rises with the Doppler's
     * square less and less, so from the first term's answer on secants come near from below. */
    double leak = 0.5 * need->noise / (1.0 + need->noise), below = 0.0, below_square = 0.0;
    double square = 6.0 * leak / pow(PI * useful_us * 1e-6, 2.0);
    for (int i = 0; i < 60; i++) {
        double here = classical_leak(sqrt(square), useful_us);
        double step = (leak - here) * (square - below_square) / (here - below);
        if (!(fabs(step) > 1e-12 * square)) {
            break;
        }
        below = here;
        below_square = square;
        square += step;
    }
    return sqrt(square);
}

void doppler_limits_make(const struct ofdm_grid *grid, struct doppler_limits *limits)
{
    limits->pilot_hz = doppler_pilot_limit_hz(grid);
    for (int i = 0; i <= DOPPLER_STEPS; i++) {
        double spread_hz = limits->pilot_hz * i / DOPPLER_STEPS;
        struct turned error = turned(grid, 0.0, spread_hz);
        limits->at[i].leak = classical_leak(spread_hz, grid->useful_us);
        limits->at[i].alike = error.alike;
        limits->at[i].apart = fmax(error.all - error.alike, 0.0);
    }
}

/* What disturbs at a step, and the share of the noise stood at rest that may do so: 1 / 2g is left
 * for noise where (1 / 2 - P) / g = P + (1 - P) E'. */
struct step {
    double disturbance, room;
};

static struct step step_at(const struct doppler_limits *limits, double gain, int i)
{
    double leak = limits->at[i].leak, error = limits->at[i].apart + gain * limits->at[i].alike;
    return (struct step){leak + (1.0 - leak) * error, 0.5 - leak};
}

static bool withstands(const struct doppler_limits *limits, const struct doppler_need *need, int i)
{
    struct step step = step_at(limits, need->gain, i);
    return step.disturbance <= need->noise * step.room;
}

static double root_at(const struct doppler_limits *limits, double gain, int i)
{
    struct step step = step_at(limits, gain, i);
    return step.room > 0.0 ? sqrt(step.disturbance / step.room) : INFINITY;
}

/* The root of the noise that a step asks for is nearly proportional to the Doppler, so straight
 * lines between 65 points of it err by less than 1e-3 of the answer. */
double doppler_limit_hz(const struct doppler_limits *limits, const struct doppler_need *need)
{
    if (isnan(need->noise) || withstands(limits, need, DOPPLER_STEPS)) {
        return isnan(need->noise) ? NAN : limits->pilot_hz;
    }
    int low = 0;
    for (int half = DOPPLER_STEPS / 2; half > 0; half /= 2) {
        low += withstands(limits, need, low + half) ? half : 0;
    }
    double below = root_at(limits, need->gain, low), above = root_at(limits, need->gain, low + 1);
    return limits->pilot_hz * (low + (sqrt(need->noise) - below) / (above - below)) / DOPPLER_STEPS;
}

double doppler_loss_db(const struct ofdm_grid *grid, const struct doppler_need *need,
                       double spread_hz)
{
    double leak = classical_leak(spread_hz, grid->useful_us);
    struct turned error = turned(grid, 0.0, spread_hz);
    double weighed = error.all - error.alike + need->gain * error.alike;
    double left = (1.0 - leak) - ((1.0 - leak) * weighed + leak) / need->noise;
    return left > 0.0 ? -db_from_ratio(left) : isnan(left) ? NAN : INFINITY;
}
