#ifndef PHYSICS_INFORMATION_THRESHOLDS_H
#define PHYSICS_INFORMATION_THRESHOLDS_H

#include <stddef.h>
#include <stdint.h>

#include "physics/information/required_snr.h"
#include "standard/atsc3/code.h"

/* The ideal SNR of pairs of code and constellation, as simulated by this project with the
 * standard's own code, interleaver and constellation, exact demapping and perfect channel
 * knowledge: `make thresholds` regenerates threshold_table.c. The frame error rate is 1e-4 after
 * the outer BCH code (12 bits). It is read off a normal distribution fitted to the points
 * (simulation/waterfall.h); each point can be run again by `guardspan simulate` with its SNR, its
 * frames and the seed. */

#define THRESHOLD_FRAME_ERROR_RATE 1e-4
#define THRESHOLD_POINTS_MAX 4
#define THRESHOLD_TELLING_ERRORS 8

struct threshold_point { /* frames is 0 behind the last one */
    float snr_db;
    int32_t frames, errors;
};

struct threshold {
    uint8_t length, constellation, rate_15ths, fading;   /* enums of code.h and required_snr.h */
    float snr_db;                                        /* at a frame error rate of 1e-4 */
    float error_db;                                      /* standard error that the counts leave */
    struct threshold_point points[THRESHOLD_POINTS_MAX]; /* rising SNR */
};

/* What all entries have in common. */
extern const char threshold_decoder[];
extern const int threshold_iterations; /* at most, with early stop */
extern const uint64_t threshold_seed;

extern const struct threshold threshold_table[];
extern const size_t threshold_count;

/* NULL where the table has no entry (yet). */
const struct threshold *threshold_find(enum code_length length, enum constellation constellation,
                                       int rate_15ths, enum fading fading);

/* The ideal SNR; NAN where the table has no entry. */
double threshold_snr_db(enum code_length length, enum constellation constellation, int rate_15ths,
                        enum fading fading);

/* The lowest frame error rate of the points that is counted: by 8 errors at least. Beyond it the
 * fitted distribution is trusted. */
double threshold_counted_rate(const struct threshold *threshold);

/* Whether no counted rate reaches down to 1e-4. */
int threshold_is_extrapolated(const struct threshold *threshold);

#endif
