#ifndef SIMULATION_VSB_RECEIVER_EQUALISE_H
#define SIMULATION_VSB_RECEIVER_EQUALISE_H

#include <stdint.h>

#include "physics/receiver.h"
#include "physics/vsb/equaliser.h"
#include "simulation/vsb/receiver/survivors.h"

/* The decision-feedback equaliser as it runs: one output a symbol, decisions fed back, taps that
 * stand, glide from one design to the next, or learn. */

#define VSB_SYNC 255 /* in place of an encoder's number: a symbol that the receiver knows */

struct vsb_equalising {
    long symbols;
    const float *samples; /* with spans.earlier more before and spans.later after */
    const float *sent;    /* levels */
    const uint8_t *lanes; /* whose symbol, or VSB_SYNC */
    float *believed;      /* levels, with spans.feedback more before; the outcome's beliefs */
    float *output;        /* what the decoder gets, levels */
    enum vsb_feedback feedback;
    struct vsb_survivors *survivors; /* of FEEDBACK_TRELLIS */
};

/* Taps in single precision; those of feedback oldest symbol first. */
struct vsb_live_taps {
    struct vsb_equaliser_spans spans;
    float *forward, *backward; /* owned */
    float scale;               /* from output to levels: what makes it unbiased */
};

enum status vsb_live_taps_make(struct vsb_equaliser_spans spans, struct vsb_live_taps *taps);
void vsb_live_taps_free(struct vsb_live_taps *taps);

/* Copies `factor` times a design, whose taps pass `gain` of the wanted symbol. */
void vsb_live_taps_set(struct vsb_live_taps *taps, const struct vsb_equaliser *design,
                       double factor, double gain);

/* What the feedback taps make of the symbols before symbols[0]. */
float vsb_live_taps_fed_back(const struct vsb_live_taps *taps, const float *symbols);

/* Symbols from..to - 1 with taps as they are, gliding to `next` (NULL: they stand) or learning with
 * the step `mu` (0: not). */
void vsb_equalise(const struct vsb_equalising *run, struct vsb_live_taps *taps, long from, long to,
                  const struct vsb_live_taps *next, float mu);

#endif
