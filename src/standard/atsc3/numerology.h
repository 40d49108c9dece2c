#ifndef STANDARD_ATSC3_NUMEROLOGY_H
#define STANDARD_ATSC3_NUMEROLOGY_H

#include "standard/atsc3/mode.h"

/* Times, frequencies and carriers of an OFDM symbol. ATSC A/322:2024-04 section 7 and Table 7.1. */

/* 0.384 MHz x (16 + bsr), bsr 2, 5, 8 for 6, 7, 8 MHz. */
double numerology_sample_rate_hz(int bandwidth_mhz);

double numerology_useful_us(const struct mode *mode); /* Tu, the FFT's span */
double numerology_guard_us(const struct mode *mode);  /* Tg */
double numerology_symbol_us(const struct mode *mode); /* Tu + Tg */
double numerology_spacing_hz(const struct mode *mode);

/* Number of carriers, Table 7.1. */
int numerology_carriers(enum fft_size fft, int reduction);

/* Carriers taken away by one step of the reduction coefficient: 96, 192, 384. */
int numerology_reduction_unit(enum fft_size fft);

/* Number of carriers times their spacing. */
double numerology_occupied_mhz(const struct mode *mode);

#endif
