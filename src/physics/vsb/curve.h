#ifndef PHYSICS_VSB_CURVE_H
#define PHYSICS_VSB_CURVE_H

#include "physics/vsb/learning.h"

/* The learning curve of taps behind echoes that turn: what the taps weigh, and where they would go,
 * instant by instant; taps are forward ones, then feedback's, latest sample and symbol first. For
 * learning.c, which follows it. */

/* Echoes of one Doppler: their channel taps as they stand and a quarter of a turn on. */
struct group {
    double doppler_hz;
    double *now, *ahead; /* tap_count each, owned */
};

/* Sums are taken for so many places at a time, which stay in registers: arrays of taps have room
 * for as many more. */
#define CURVE_PLACES 64

struct curve {
    const struct vsb_learning *learning;
    struct vsb_equaliser_spans spans; /* no longer than the echoes need */
    int forward, inputs;
    int range;                      /* of the channel taps that count, symbols */
    int first_symbol, symbol_count; /* symbols before the wanted one that forward taps weigh */
    int tap_count;
    int *at;      /* of each channel tap that counts: symbols, owned */
    double *rest; /* the taps of what does not turn, owned */
    int group_count;
    struct group groups[ECHOES_MAX];
    float *channel, *symbols; /* at the instant in question, owned */
    float *padded;            /* forward taps between zeros, owned */
    int *offsets;             /* of the channel taps in sums over them, owned */
};

/* STATUS_NO_MEMORY, STATUS_OUT_OF_RANGE; the owner calls curve_free either way. */
enum status curve_make(const struct vsb_learning *learning, struct curve *curve);
void curve_free(struct curve *curve);

/* Sets the channel of the instant `symbols` after the beginning. */
void curve_set(struct curve *curve, double symbols);

/* What the symbols in `symbols` put into each forward tap's sample; what forward taps weigh of each
 * symbol that is fed back. Both write up to CURVE_PLACES more. */
void curve_put_back(struct curve *curve, float *sums);
void curve_weigh_fed_back(struct curve *curve, const float *taps, float *sums);

/* In the channel set: the best taps and their error; the error that taps off their best place by
 * `off` add; what forward taps pass of the wanted symbol. */
enum status curve_best(struct curve *curve, float *taps, double *error);
double curve_error(struct curve *curve, const float *off);
double curve_gain(const struct curve *curve, const float *taps);

/* In the channel set: how the taps of the best receiver that doubts its decisions differ from the
 * best ones, both of gain 1; the same where that is known of all taps. */
enum status curve_doubt(struct curve *curve, vsb_doubts_at *doubts_at, float *lean);
void curve_lean(const struct curve *curve, const struct vsb_lean *known, float *lean);

#endif
