#ifndef STANDARD_ATSC3_PILOTS_H
#define STANDARD_ATSC3_PILOTS_H

#include <stdint.h>

#include "standard/atsc3/waveform.h"

/* Which carriers are pilots, and how strong. ATSC A/322:2024-04 section 8.1, Tables 8.3-8.5, Annex
 * D. Carriers are relative indices 0..NoC-1. */

#define CARRIERS_MAX 27649

enum symbol_kind { SYMBOL_DATA, SYMBOL_BOUNDARY, SYMBOL_FIRST_PREAMBLE, SYMBOL_PREAMBLE };

/* What a carrier is; a carrier that is both scattered and continual counts as continual here. */
enum carrier_kind { CARRIER_DATA, CARRIER_SCATTERED, CARRIER_CONTINUAL, CARRIER_EDGE };

/* Fills kinds[0..NoC-1] for symbol number `l` of the kind; returns NoC. `kinds` has room for
 * CARRIERS_MAX. The first preamble symbol uses reduction 4 whatever the mode says. */
int pilots_map(const struct waveform *waveform, enum symbol_kind symbol, int l, uint8_t *kinds);

/* Distinct pilot carriers of one symbol (the same for every l), counted by rule without a map. */
int pilots_count(const struct waveform *waveform, enum symbol_kind symbol);

/* Continual pilots of a data symbol within the transmitted carriers, the additional ones included
 * (Annex D.1); they are the same in every data symbol of the subframe. */
int pilots_continual_count(const struct waveform *waveform);

/* Scattered pilot power over a data carrier's, dB (Table 8.4). */
double pilots_scattered_db(enum pilots pilots, int boost);

/* Continual pilot power over a data carrier's: 8.52 dB (Table 8.5). */
double pilots_continual_db(void);

/* Mean power of all active carriers of a data symbol, pilots included, over a data carrier's, dB.
 */
double pilots_mean_power_db(const struct waveform *waveform);

/* Preamble pilot spacing Dp for the FFT size, guard interval and pattern. */
int pilots_preamble_dx(const struct waveform *waveform);

#endif
