#ifndef STANDARD_DVBT2_WAVEFORM_H
#define STANDARD_DVBT2_WAVEFORM_H

#include <stdbool.h>

#include "base/status.h"
#include "standard/ofdm_grid.h"

/* The OFDM waveform of DVB-T2, ETSI EN 302 755 V1.4.1 clause 9: what is chosen, and the times and
 * carriers that follow. One transmitting antenna (SISO). */

enum t2_fft { T2_1K, T2_2K, T2_4K, T2_8K, T2_16K, T2_32K, T2_FFT_COUNT };
enum t2_guard {
    T2_GI_1_128,
    T2_GI_1_32,
    T2_GI_1_16,
    T2_GI_19_256,
    T2_GI_1_8,
    T2_GI_19_128,
    T2_GI_1_4,
    T2_GUARD_COUNT
};
enum t2_pilots { T2_PP1, T2_PP2, T2_PP3, T2_PP4, T2_PP5, T2_PP6, T2_PP7, T2_PP8, T2_PILOTS_COUNT };

struct t2_waveform {
    enum t2_fft fft;
    bool extended; /* more carriers at the channel's edges: 8K, 16K and 32K */
    enum t2_guard guard;
    enum t2_pilots pilots;
};

/* Names as in profiles: "32K", "1/16", "PP4". */
const char *t2_fft_name(enum t2_fft fft);
const char *t2_guard_name(enum t2_guard guard);
const char *t2_pilots_name(enum t2_pilots pilots);

int t2_fft_points(enum t2_fft fft);
double t2_guard_share(enum t2_guard guard); /* of the useful time */

/* What may go together: tables 66 and 58. */
bool t2_guard_is_allowed(enum t2_fft fft, enum t2_guard guard);
bool t2_pilots_are_allowed(enum t2_fft fft, enum t2_guard guard, enum t2_pilots pilots);
bool t2_extended_is_allowed(enum t2_fft fft);
/* Faults name the profile's keys. */
enum status t2_waveform_check(const struct t2_waveform *waveform, int bandwidth_mhz,
                              struct fault *fault);
/* The nearest guard interval, pattern and kind of carriers that go with the size of FFT. */
void t2_waveform_repair(struct t2_waveform *waveform);

double t2_elementary_us(int bandwidth_mhz); /* table 65 */
int t2_carriers(const struct t2_waveform *waveform);
int t2_extension(const struct t2_waveform *waveform); /* carriers added at each side */

/* The waveform must be legal. */
struct ofdm_grid t2_grid(const struct t2_waveform *waveform, int bandwidth_mhz);

/* ---- Pilots: clause 9.2. ---- */

int t2_pilots_dx(enum t2_pilots pilots);
int t2_pilots_dy(enum t2_pilots pilots);
double
t2_pilots_power(enum t2_pilots pilots);     /* of a scattered one, over a data cell's: table 60 */
double t2_continual_power(enum t2_fft fft); /* table 62 */

#define T2_CARRIERS_MAX 27841
enum t2_carrier { T2_CELL, T2_SCATTERED, T2_CONTINUAL, T2_EDGE };
/* What each carrier of data symbol `l` carries, counted from the first P2 symbol; returns how many
 * carriers there are. */
int t2_map(const struct t2_waveform *waveform, int l, unsigned char *kinds);

#endif
