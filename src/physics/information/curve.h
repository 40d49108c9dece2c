#ifndef PHYSICS_INFORMATION_CURVE_H
#define PHYSICS_INFORMATION_CURVE_H

#include <stdint.h>

#include "physics/information/rotated/surface.h"

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
    /* Of a rotated set: what it carries where its parts fade apart, each as any carrier does; the
     * curve itself is that of both alike. NULL: the set is not rotated. */
    const struct information_surface *apart;
};

/* Bits at an SNR: cubic Hermite between samples, proportional to SNR below them, level above. */
double information_curve_bits(const struct information_curve *curve, double snr_db);

/* The SNR that gives `bits`, and the mean SNR that gives them in a Rayleigh channel; -INFINITY at 0
 * and below, INFINITY at the curve's end and above. */
double information_curve_snr_db(const struct information_curve *curve, double bits);
double information_curve_rayleigh_snr_db(const struct information_curve *curve, double bits);

/* Mean bits over exponentially distributed cell powers; of a rotated set over powers of its parts
 * that are independent. */
double information_curve_rayleigh(const struct information_curve *curve, double mean_snr_db);

/* The share of cells at an SNR that may be lost altogether, as in a fade, while the mean is still
 * `bits`; of a rotated set each part of a cell is lost by itself. 0 where it never is. */
double information_curve_loss_borne(const struct information_curve *curve, double snr_db,
                                    double bits);

#endif
