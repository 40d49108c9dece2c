#ifndef PHYSICS_INFORMATION_INFORMATION_H
#define PHYSICS_INFORMATION_INFORMATION_H

#include "physics/information/curve.h"
#include "standard/atsc3/code.h"

/* Bit-interleaved (BICM) mutual information in bits per cell. The fast functions interpolate the
 * project's own table (information_table.c, made by `make information`); the slow one is the
 * quadrature that the table comes from. Accurate to 0.0001 bit up to 60 dB; above, the value at 60
 * dB stands. */

/* The curve of a set, for who looks at many SNRs; constant data. */
struct information_curve information_curve_of(enum constellation constellation, int rate_15ths);

/* AWGN at `snr_db` (signal power over complex noise power). */
double information_awgn(enum constellation constellation, int rate_15ths, double snr_db);

/* Mean over cells whose power is exponentially distributed around `mean_snr_db` (Rayleigh). */
double information_rayleigh(enum constellation constellation, int rate_15ths, double mean_snr_db);

/* The AWGN SNR at which the information is `bits`; -INFINITY at 0 and below, +INFINITY at and above
 * what the set carries at 60 dB: its bits, or less where points of a low rate's set coincide. */
double information_inverse_db(enum constellation constellation, int rate_15ths, double bits);

/* The mean SNR at which information_rayleigh gives `bits`; ends as above. About 1/10 ms. */
double information_inverse_rayleigh_db(enum constellation constellation, int rate_15ths,
                                       double bits);

/* The same by Gauss-Hermite quadrature of the given order (16 to 64), from the points. Slow. */
double information_by_quadrature(enum constellation constellation, int rate_15ths, double snr_db,
                                 int order);

#endif
