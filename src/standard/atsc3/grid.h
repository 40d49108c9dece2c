#ifndef STANDARD_ATSC3_GRID_H
#define STANDARD_ATSC3_GRID_H

#include "standard/atsc3/waveform.h"
#include "standard/ofdm_grid.h"

/* Times, frequencies and carriers that follow from a waveform. ATSC A/322:2024-04 section 7 and
 * Table 7.1. */

/* 0.384 MHz x (16 + bsr), bsr 2, 5, 8 for 6, 7, 8 MHz. */
double sample_rate_hz(int bandwidth_mhz);

/* Number of carriers, Table 7.1. */
int carriers_count(enum fft_size fft, int reduction);

/* Carriers taken away by one step of the reduction coefficient: 96, 192, 384. */
int carriers_reduction_unit(enum fft_size fft);

/* The whole grid; the waveform must be legal. */
struct ofdm_grid waveform_grid(const struct waveform *waveform);

#endif
