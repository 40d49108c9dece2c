#ifndef PROOF_ERASURES_H
#define PROOF_ERASURES_H

#include <math.h>
#include <stdbool.h>

/* The channels in which rotated constellations are simulated: carriers that are all alike or have
 * the powers of Rayleigh fading, and a share of them lost. Used by the tool that makes
 * rotation-table.txt and by the test that holds predictions against it. */

#define ERASURES_CARRIERS 20000

/* Powers at evenly spaced quantiles, over the mean of what is not lost; of every hundred
 * neighbours so many are lost. */
static inline void erasures_fill(bool rayleigh, int lost_percent, float *gains)
{
    for (int i = 0; i < ERASURES_CARRIERS; i++) {
        double quantile = (i + 0.5) / ERASURES_CARRIERS;
        bool is_lost = i % 100 * 37 % 100 < lost_percent;
        gains[i] = is_lost ? 0.0f : rayleigh ? (float)-log(1.0 - quantile) : 1.0f;
    }
}

#endif
