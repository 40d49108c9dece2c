#ifndef PHYSICS_OFDM_GAIN_SPREAD_H
#define PHYSICS_OFDM_GAIN_SPREAD_H

#include "physics/information/curve.h"

/* How the carriers' power gains are spread over decibels, and what that means for a mode by mean
 * mutual information: a code that sees cells of many SNRs fares as in a steady channel with the
 * same mean information per cell. */

#define GAIN_SPREAD_LOW_DB (-90.0)
#define GAIN_SPREAD_STEP_DB 0.05
#define GAIN_SPREAD_BINS 2601 /* up to +40 dB */

/* Share of carriers at LOW_DB + i * STEP_DB; shares add up to 1. Large: keep it off small stacks.
 */
struct gain_spread {
    double shares[GAIN_SPREAD_BINS];
    int first, last; /* bins outside are empty */
};

void gain_spread_clear(struct gain_spread *spread);

/* Adds carriers of one gain (a power ratio), split between the two nearest bins. Gains below the
 * lowest bin count as the lowest. */
void gain_spread_add(struct gain_spread *spread, double gain, double carriers);
void gain_spread_normalise(struct gain_spread *spread);

/* Mean information in bits a cell when a carrier of gain 1 has `offset_db` of SNR. */
double gain_spread_information(const struct gain_spread *spread,
                               const struct information_curve *curve, double offset_db);

/* Mean log2(1 + SNR) in bits a cell at an offset: what no code exceeds. */
double gain_spread_capacity(const struct gain_spread *spread, double offset_db);

/* The offset at which the mean information is `bits`; INFINITY where none is enough. */
double gain_spread_offset_db(const struct gain_spread *spread,
                             const struct information_curve *curve, double bits);

/* SNR of the steady channel with the same mean information. Up to 4.5 dB above `ideal_db` (the
 * code's threshold) literally so; above, where information no longer tells good from better, all
 * carriers are first weakened to that point and the difference is added again: no step, no
 * saturation. */
double gain_spread_effective_db(const struct gain_spread *spread,
                                const struct information_curve *curve, double ideal_db,
                                double offset_db);

/* The offset at which gain_spread_effective_db is `effective_db`. */
double gain_spread_required_db(const struct gain_spread *spread,
                               const struct information_curve *curve, double ideal_db,
                               double effective_db);

#endif
