#ifndef PHYSICS_OFDM_GAIN_NODES_H
#define PHYSICS_OFDM_GAIN_NODES_H

#include "physics/ofdm/gain_spread.h"

/* Estimates of effective SNRs by the hundred thousand, for who puts many positions in order by many
 * codes: gain_spread_effective_db in a thirtieth of the time, to within GAIN_NODES_ERROR_DB. Not
 * for rotated sets whose parts fade apart. */

#define GAIN_NODES_ERROR_DB 2e-4 /* tests/physics/ofdm/test_gain_spread.c measures it */

/* A spread by whole decibels: node i is at GAIN_SPREAD_LOW_DB + i - 2. */
#define GAIN_NODES_MOST 208
#define GAIN_NODES_SHIFTS 8
struct gain_nodes {
    int first, count; /* nodes outside are empty; none: it has no carriers */
    float shares[GAIN_NODES_MOST];
    float lack_db; /* where the last code was found, a good guess for the next; NAN: none was */
    /* Mean information at some shifts on the ladder that was climbed last; NULL: none was. */
    const struct gain_ladder *ladder;
    int shift;
    float means[GAIN_NODES_SHIFTS];
};
/* `lack_db` is left as it is: the spread before it may be alike. */
void gain_nodes_make(const struct gain_spread *spread, struct gain_nodes *nodes);

/* A curve of information by half decibels, as far as a spread may be raised or lowered. Large. */
#define GAIN_LADDER_SHIFT 240 /* half decibels */
struct gain_ladder {
    float bits[2 * GAIN_NODES_MOST + 2 * GAIN_LADDER_SHIFT + 16];
};
void gain_ladder_make(const struct information_curve *curve, struct gain_ladder *ladder);

/* A code on a ladder. */
struct gain_rung {
    double literal_db;  /* up to this the effective SNR is literal: GAIN_LITERAL_DB */
    float literal_bits; /* what a cell carries there */
};
struct gain_rung gain_rung_make(const struct information_curve *curve, double ideal_db);

/* Of each spread a number that rises with the effective SNR: dB above the literal end, bits below
 * it; -INFINITY without carriers. */
void gain_nodes_ranks(struct gain_nodes *nodes, int count, const struct gain_ladder *ladder,
                      const struct gain_rung *rung, double *ranks);

/* The effective SNR of such a number. */
double gain_rank_effective_db(const struct gain_rung *rung, const struct gain_raster *raster,
                              double rank);

#endif
