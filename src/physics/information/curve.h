#ifndef PHYSICS_INFORMATION_CURVE_H
#define PHYSICS_INFORMATION_CURVE_H

#include <stdint.h>

/* Mutual information of one set sampled over SNR: what the fast functions interpolate and `make
 * information` writes. Sample i stands at FIRST_DB + i * STEP_DB, in millionths of a bit. */

#define INFORMATION_FIRST_DB (-29.0)
#define INFORMATION_STEP_DB 0.5
#define INFORMATION_LAST_DB 61.0
#define INFORMATION_SAMPLES_MAX 181

struct information_curve {
    const uint32_t *microbits;
    int count;
    /* Of a layer of a signal: its own share of the power, and the share of the other layer that
     * disturbs it like noise. An SNR is then that of the whole signal. 0 and 0: the signal is one.
     */
    double own_share, other_share;
};

/* Bits at an SNR: cubic Hermite between samples, proportional to SNR below them, level above. */
double information_curve_bits(const struct information_curve *curve, double snr_db);

/* The SNR that gives `bits`, and the mean SNR that gives them in a Rayleigh channel; -INFINITY at 0
 * and below, INFINITY at the curve's end and above. */
double information_curve_snr_db(const struct information_curve *curve, double bits);
double information_curve_rayleigh_snr_db(const struct information_curve *curve, double bits);

/* Mean bits over exponentially distributed cell powers. */
double information_curve_rayleigh(const struct information_curve *curve, double mean_snr_db);

#endif
