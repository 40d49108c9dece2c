#ifndef PHYSICS_OFDM_DOPPLER_H
#define PHYSICS_OFDM_DOPPLER_H

#include "standard/ofdm_grid.h"

/* How fast the channel may change under the second generation. */

/* Sampling limit of the pilots: 1 / (2 Dy (Tu + Tg)). */
double doppler_pilot_limit_hz(const struct ofdm_grid *grid);

/* Inter-carrier interference over signal power (Li and Cimini, IEEE Trans. Commun. 49(3), 2001):
 * (pi fd Tu)^2 / 6 for the classical spectrum, / 3 for two rays. */
double doppler_interference_ratio(double doppler_hz, double useful_us, int two_rays);

/* The Doppler at which that interference doubles the required C/N: ratio = 1 / (2 gamma). */
double doppler_interference_limit_hz(double useful_us, double required_snr_db);

/* dB by which interference at `doppler_hz` raises a required C/N; INFINITY where none suffices. */
double doppler_loss_db(double useful_us, double required_snr_db, double doppler_hz);

#endif
