#ifndef PHYSICS_INFORMATION_CURVE_H
#define PHYSICS_INFORMATION_CURVE_H

#include <stdint.h>

#include "standard/atsc3/mode.h"

/* Mutual information of one set sampled over SNR: what information.c interpolates and `make
 * information` writes. Sample i stands at FIRST_DB + i * STEP_DB, in millionths of a bit. */

#define INFORMATION_FIRST_DB (-29.0)
#define INFORMATION_STEP_DB 0.5
#define INFORMATION_LAST_DB 61.0
#define INFORMATION_SAMPLES_MAX 181
#define INFORMATION_SETS 61 /* QPSK, and five more constellations at 12 rates */

struct information_curve {
    const uint32_t *microbits;
    int count;
};

/* Which curve belongs to a constellation at a rate: 0..60. */
int information_set(enum constellation constellation, int rate_15ths);

/* Bits at an SNR: cubic Hermite between samples, proportional to SNR below them, level above. */
double information_curve_bits(const struct information_curve *curve, double snr_db);

/* The SNR that gives `bits`, and the mean SNR that gives them in a Rayleigh channel; -INFINITY at 0
 * and below, INFINITY at the curve's end and above. */
double information_curve_snr_db(const struct information_curve *curve, double bits);
double information_curve_rayleigh_snr_db(const struct information_curve *curve, double bits);

/* Mean bits over exponentially distributed cell powers. */
double information_curve_rayleigh(const struct information_curve *curve, double mean_snr_db);

/* The committed table (information_table.c). Limits: [Rayleigh][constellation][rate - 2], dB. */
extern const uint32_t information_microbits[];
extern const int information_starts[INFORMATION_SETS + 1];
extern const double information_limits_db[2][CONSTELLATION_COUNT][RATE_COUNT];

#endif
