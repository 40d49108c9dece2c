#ifndef SIMULATION_VSB_RECEIVER_AIR_H
#define SIMULATION_VSB_RECEIVER_AIR_H

#include <stdint.h>

#include "base/random.h"
#include "base/status.h"
#include "physics/channel.h"

/* From the transmitter's symbols to the samples that the equaliser sees: root-raised-cosine filter,
 * rays at two complex samples a symbol, each turning with its Doppler, white noise, carrier and
 * sampling instant of a reference ray, matched filter, one real sample a symbol. Filters and rays
 * are those of struct channel, pulses exact to 60 dB below the signal. */

struct vsb_air;

/* For units of `symbols` symbols. NULL: no memory; the owner calls vsb_air_free. */
struct vsb_air *vsb_air_create(long symbols);
void vsb_air_free(struct vsb_air *air);

/* Takes the rays as they stand at the unit's beginning (phases known). `reference` is the ray whose
 * carrier, instant and gain the receiver takes for 0, 0 and 1. STATUS_NO_MEMORY. */
enum status vsb_air_set(struct vsb_air *air, const struct channel *channel, int reference);

/* `sent` in levels, the pilot included. `noise_power` is that of a sample in the same unit squared.
 * samples[n] belongs to symbol n. */
void vsb_air_send(struct vsb_air *air, const float *sent, double noise_power, struct random *random,
                  float *samples);

#endif
