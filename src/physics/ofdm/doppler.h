#ifndef PHYSICS_OFDM_DOPPLER_H
#define PHYSICS_OFDM_DOPPLER_H

#include "standard/ofdm_grid.h"

/* How fast the channel may change under an OFDM grid, and what a change costs. A ray is seen with a
 * shift of its own and, where the receiver moves, with a spread: things around the receiver scatter
 * it, and it arrives from all sides alike (the classical spectrum of Clarke and Jakes) up to
 * `spread_hz` to either side of its shift. */

/* Sampling limit of the pilots: 1 / (2 Dy (Tu + Tg)). */
double doppler_pilot_limit_hz(const struct ofdm_grid *grid);

/* Share of a ray's power that its motion within a symbol leaks to other carriers: 1 - sinc^2 for a
 * shift, the integral of Li and Cimini for a spread. */
double doppler_leak(double shift_hz, double spread_hz, double useful_us);

/* Power, over the ray's own, of the error that its motion leaves in the channel estimate at the
 * symbols between two pilots, interpolated linearly in time: the mean over these Dy - 1 symbols.
 * Noise on the pilots is none of it. */
double doppler_estimation_error(const struct ofdm_grid *grid, double shift_hz, double spread_hz);

/* The same for a spread alone and the best receiver that weighs `pilots` pilots of the carrier
 * (2, 4, .. DOPPLER_WIENER_PILOTS, half of them before): Wiener's filter for a known spread and
 * noise (over the signal, on a pilot); what the pilots' noise adds is in it. */
#define DOPPLER_WIENER_PILOTS 12
double doppler_wiener_error(const struct ofdm_grid *grid, double spread_hz, int pilots,
                            double noise);

/* ---- How fast all of a channel may turn. Motion from all sides is a Rayleigh channel. ---- */

/* What a mode needs there at rest. */
struct doppler_need {
    double noise; /* that it stands, over the mean received power; 0: no SNR suffices */
    double gain;  /* mean gain of the carriers that decide: weighed by how much of the information a
                     dB changes there */
};

/* The Doppler (spread) at which leaked power alone makes the needed SNR 3 dB higher than at rest; 0
 * where no SNR suffices. */
double doppler_interference_limit_hz(double useful_us, const struct doppler_need *need);

/* Leak and estimation error over the Dopplers up to the pilots' limit: made once for a grid, then
 * read for any number of needs. */
#define DOPPLER_STEPS 64 /* a power of two */
struct doppler_limits {
    double pilot_hz;
    struct { /* at pilot_hz * i / DOPPLER_STEPS, over the ray's power */
        double leak;
        double apart; /* error that has nothing of the ray itself */
        double alike; /* error in step with the ray: strong where the carrier is */
    } at[DOPPLER_STEPS + 1];
};
void doppler_limits_make(const struct ofdm_grid *grid, struct doppler_limits *limits);

/* The Doppler at which the needed SNR in an isotropic channel, estimation error included, is 3 dB
 * above that at rest; the pilots' limit if that is smaller. */
double doppler_limit_hz(const struct doppler_limits *limits, const struct doppler_need *need);

/* dB by which such motion raises the need; INFINITY where no SNR suffices. */
double doppler_loss_db(const struct ofdm_grid *grid, const struct doppler_need *need,
                       double spread_hz);

#endif
