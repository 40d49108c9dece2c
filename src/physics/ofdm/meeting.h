#ifndef PHYSICS_OFDM_MEETING_H
#define PHYSICS_OFDM_MEETING_H

#include "base/complex.h"
#include "physics/ofdm/window.h"

/* Transmitters of one network that meet: how alike their signals are over the channel, and by how
 * much their sum rises and falls from place to place. */

/* By how many turns a transmitter's own filter turns a carrier, `hz` from the channel's centre. */
double ofdm_filter_turns(double filter_us, int filter, double hz);

/* Mean over the channel of the product of two rays, of amplitude 1 and phase 0 at its centre. */
double complex ofdm_rays_alike(const struct ofdm_grid *grid, const struct ofdm_ray *a,
                               const struct ofdm_ray *b);

/* The received power over its mean, in dB, that so many of the places get, phases of the other
 * transmitters' rays equally likely; NAN where there are none. */
double ofdm_meeting_db(const struct ofdm_grid *grid, const struct channel *channel, double percent);

#endif
