#ifndef PHYSICS_VSB_CHANNEL_H
#define PHYSICS_VSB_CHANNEL_H

#include "base/status.h"
#include "physics/channel.h"

/* The channel that the first generation's symbols see: complex echoes of a vestigial-sideband
 * signal, received through a matched (root-raised-cosine) filter, sampled once a symbol, real part
 * kept. The sampling instant and the carrier's phase are those of the main signal. Noise that was
 * white at the receiver's input is white after that filter at the symbol rate. */

/* One symbol's pulse after both filters, at `symbols` symbol periods from its centre: the part in
 * phase (1 at 0, 0 at every other whole number) and the part in quadrature (0 at 0). */
double vsb_pulse_in_phase(double symbols);
double vsb_pulse_quadrature(double symbols);

/* The real channel, unit main signal: taps[i] weighs the symbol sent first + i symbols before. */
struct vsb_channel {
    int first; /* <= 0 */
    int count;
    double *taps; /* owned */
};

/* STATUS_OUT_OF_RANGE for a bad count, delay or level (see echoes_check), STATUS_NO_MEMORY. On
 * failure `channel` is empty. The owner calls vsb_channel_free. */
enum status vsb_channel_make(const struct echo *echoes, int count, struct vsb_channel *channel);
/* The same but for the ends of the pulses: what is left out at either end of the channel has an
 * energy of `least`, > 0, or little more, the main signal's being 1. */
enum status vsb_channel_make_above(const struct echo *echoes, int count, double least,
                                   struct vsb_channel *channel);
void vsb_channel_free(struct vsb_channel *channel);

/* The tap of symbol delay `k`; 0 outside. */
double vsb_channel_tap(const struct vsb_channel *channel, int k);

/* Squared magnitude of the channel's folded spectrum at `frequency` cycles per symbol (0 to 0.5),
 * from the echoes themselves, not from the taps. 1 without echoes. */
double vsb_channel_gain(const struct echo *echoes, int count, double frequency);

/* That spectrum itself at `points` + 1 frequencies i / (2 points), i = 0.., all at once and fast.
 */
void vsb_channel_spectrum(const struct echo *echoes, int count, int points, double *restrict re,
                          double *restrict im);

/* Mean power of main signal and echoes together over the main signal's, at the receiver's input,
 * the pilot left out. Echoes closer than a few symbols add with their phases; far ones add as
 * powers. */
double vsb_received_power(const struct echo *echoes, int count);

/* That of the pilot alone, a single tone, over the main signal's pilot. */
double vsb_pilot_power(const struct echo *echoes, int count);

/* The channel's echoes as a receiver tuned to the pilot sees them, against the main signal: the
 * pilot lies 2.69 MHz under the channel's centre, where a ray of phase phi has phi + 2 pi 2.69 MHz
 * delay. Fills `echoes`, which has room for ECHOES_MAX; returns how many. All
 * functions of this folder that take echoes take them so. */
int vsb_echoes_of(const struct channel *channel, struct echo *echoes);

#endif
