#ifndef PHYSICS_INFORMATION_SUPERPOSED_H
#define PHYSICS_INFORMATION_SUPERPOSED_H

#include "standard/atsc3/code.h"

/* A core under another layer, to a receiver that knows what that other layer is: its demapper sums
 * over all points of both constellations instead of taking the other one for Gaussian noise. */

struct superposed {
    enum constellation core, enhanced;
    int core_15ths, enhanced_15ths; /* code rates, which constellations go by */
    double injection_db;
};

/* Bit-interleaved information of the core's bits, a cell; `snr_db` of both layers over noise, -30
 * to 60. NAN without memory. */
double superposed_core_bits(const struct superposed *layers, double snr_db);

/* The SNR of both over noise that gives the core so many bits; INFINITY where none up to
 * SUPERPOSED_MOST_DB does, NAN without memory. Looked for from `least_db` on, at which the bits are
 * surely not reached, as where they need that much without the other layer. Milliseconds; of dense
 * sets on both layers some tenths of a second. */
#define SUPERPOSED_MOST_DB 40.0
double superposed_core_snr_db(const struct superposed *layers, double bits, double least_db);

#endif
