#ifndef PHYSICS_INFORMATION_PUBLISHED_SNR_H
#define PHYSICS_INFORMATION_PUBLISHED_SNR_H

#include "physics/information/required_snr.h"

/* Simulated thresholds that others have published, to hold this project's own against. Nothing is
 * computed from them. */

struct published_snr {
    double snr_db;      /* NAN: none */
    const char *source; /* document and table; NULL: none */
    const char *mark;   /* the same for a picture: "A/327" */
};

/* Of a pair of code and constellation of the second generation. */
struct published_snr published_snr(enum code_length length, enum constellation constellation,
                                   int rate_15ths, enum fading fading);

/* The first generation's threshold of visibility in white noise, at a segment error rate of
 * PUBLISHED_SEGMENT_ERROR_RATE. */
#define PUBLISHED_SEGMENT_ERROR_RATE 1.93e-4
struct published_snr published_first_snr(void);

#endif
