#ifndef SIMULATION_NOISE_H
#define SIMULATION_NOISE_H

#include "base/random.h"
#include "simulation/kernels.h"

/* Seeds the sixteen generators of the kernels' noise from a seeded stream. */
struct noise noise_seeded(struct random *random);

#endif
