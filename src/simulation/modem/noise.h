#ifndef SIMULATION_MODEM_NOISE_H
#define SIMULATION_MODEM_NOISE_H

#include "base/random.h"
#include "simulation/modem/kernels.h"

/* Seeds the sixteen generators of the kernels' noise from a seeded stream. */
struct noise noise_seeded(struct random *random);

#endif
