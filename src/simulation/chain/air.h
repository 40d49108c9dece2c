#ifndef SIMULATION_CHAIN_AIR_H
#define SIMULATION_CHAIN_AIR_H

#include <stdbool.h>

#include "base/random.h"
#include "base/status.h"

/* The channel between cells sent and cells received: each has a power gain, and noise on it. */

enum chain_channel {
    CHANNEL_AWGN,
    CHANNEL_RAYLEIGH, /* an independent Rayleigh gain for each cell, known to the receiver */
    CHANNEL_CARRIERS, /* static gains by carrier, known to the receiver */
    CHANNEL_COUNT
};

/* Read-only after it was made; the owner calls air_free. */
struct air {
    enum chain_channel channel;
    int carriers, word;
    float *gain_power; /* by carrier, shuffled, or as its cells come; NULL: none */
};

/* `gain_power` by carrier, of CHANNEL_CARRIERS alone; copied. Where `word` is not 0 they are those
 * of the cells of so many code words one after the other, each of `word` cells. STATUS_OUT_OF_RANGE
 * without carriers where there must be some, STATUS_NO_MEMORY. */
enum status air_make(enum chain_channel channel, const float *gain_power, int carriers, int word,
                     struct air *air);
void air_free(struct air *air);

/* So many cells on their way, a multiple of AIR_PADDING of them in each array. */
#define AIR_PADDING 32
struct air_cells {
    int count;
    float *re, *im; /* sent; then received, as an ideal equaliser leaves them */
    float *inverse_noise;
    float *noise, *gain_power; /* to work in */
};

/* Arrays of zeros for `cells` and their padding; false: no memory. The owner calls
 * air_cells_free, after a failure too. */
bool air_cells_make(int cells, struct air_cells *made);
void air_cells_free(struct air_cells *cells);

/* Sends them through the channel with so much noise power where the gain is 1. */
void air_pass(const struct air *air, struct air_cells *cells, double noise_power,
              struct random *random);

#endif
