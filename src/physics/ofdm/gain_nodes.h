#ifndef PHYSICS_OFDM_GAIN_NODES_H
#define PHYSICS_OFDM_GAIN_NODES_H

#include "physics/ofdm/gain_spread.h"

/* Estimates of effective SNRs by the hundred thousand, for who asks many codes which of many
 * positions stands where: gain_spread_effective_db in a hundredth of the time, to within
 * GAIN_NODES_ERROR_DB but for one in a hundred, which is off by up to twenty times as much: where a
 * robust code is all but full and a few weak carriers decide. Not for rotated sets whose parts fade
 * apart. */

#define GAIN_NODES_ERROR_DB 2e-4   /* tests/physics/ofdm/test_gain_spread.c measures both */
#define GAIN_NODES_ERROR_BITS 1e-5 /* of ranks that are bits */
#define GAIN_NODES_MOST 208        /* whole decibels: node i is at GAIN_SPREAD_LOW_DB + i - 2 */

/* A curve of information, less all that a cell can carry, by half decibels, as far as a spread may
 * be raised or lowered. Large. */
#define GAIN_LADDER_SHIFT 240 /* half decibels */
struct gain_ladder {
    float bits[2 * GAIN_NODES_MOST + 2 * GAIN_LADDER_SHIFT + 16];
};
void gain_ladder_make(const struct information_curve *curve, struct gain_ladder *ladder);

/* A code on a ladder. */
struct gain_rung {
    double literal_db;   /* up to this the effective SNR is literal: GAIN_LITERAL_DB */
    double literal_bits; /* what a cell carries there */
    float lack;          /* and less all that it can carry */
};
struct gain_rung gain_rung_make(const struct information_curve *curve, double ideal_db);

/* The spreads of all positions. NULL: no memory. */
struct gain_nodes;
struct gain_nodes *gain_nodes_new(int positions);
void gain_nodes_free(struct gain_nodes *nodes);

/* Forgets all spreads: no position has carriers. */
void gain_nodes_clear(struct gain_nodes *nodes);

/* Before anything is asked of them. */
void gain_nodes_put(struct gain_nodes *nodes, int position, const struct gain_spread *spread);

/* A position and a number that rises with its effective SNR: dB above the literal end, bits below
 * it; -INFINITY without carriers. Of equals the first position stands before the others. */
struct gain_stand {
    double rank;
    int position;
};

/* Best first, from about as good an order. */
void gain_stands_order(struct gain_stand *stands, int count);

/* Who stands at a place, 0 the best. */
struct gain_stand gain_nodes_stand(struct gain_nodes *nodes, const struct gain_ladder *ladder,
                                   const struct gain_rung *rung, int place);

/* All that estimates cannot tell from one: whose ranks differ by less than twice the error. It is
 * among them, best first; room for all positions. Of the ladder asked last. */
int gain_nodes_near(struct gain_nodes *nodes, const struct gain_rung *rung,
                    const struct gain_stand *one, struct gain_stand *near);

/* The effective SNR of such a rank. */
double gain_rank_effective_db(const struct gain_rung *rung, const struct gain_raster *raster,
                              double rank);

#endif
