#ifndef PHYSICS_VSB_EQUALISER_H
#define PHYSICS_VSB_EQUALISER_H

#include "physics/vsb/channel.h"

/* The minimum mean-square-error decision-feedback equaliser over the real symbol-spaced channel.
 * Decisions fed back are taken as free of errors, which flatters the receiver at low SNR, unless
 * struct vsb_doubts says how far they are in doubt. */

/* Spans in symbols. A decision on symbol n uses the samples n - earlier .. n + later and the
 * decided symbols n - feedback .. n - 1. */
struct vsb_equaliser_spans {
    int earlier;
    int later;
    int feedback;
};

#define VSB_EQUALISER_REACH_MAX_US 200.0

/* The project's structure for a receiver said to reach echoes from -before to +after: later
 * samples over `before` (to cancel what arrives early), feedback over `after`, earlier samples over
 * the shorter of both (to collect the power of early echoes; no further than feedback, so that an
 * echo later than `after` is not equalised by a back door). Reaches in us, 0 to
 * VSB_EQUALISER_REACH_MAX_US. */
struct vsb_equaliser_spans vsb_equaliser_spans(double before_us, double after_us);

#define VSB_DOUBT_AGES 10
#define VSB_DOUBT_SYMBOLS 12 /* of one age: a round of the twelve trellis decoders */

/* What wrong decisions leave of the symbols fed back: doubt[a], 0 to 1, is the share of the power
 * of the symbols 12 a + 1 to 12 a + 12 before the wanted one that feedback cannot cancel; older
 * ones are as the last of `ages`. */
struct vsb_doubts {
    double doubt[VSB_DOUBT_AGES];
    int ages; /* 0: decisions are beyond doubt */
};

/* Fills in the doubts that there are where the output SNR, a ratio, is `snr`. */
typedef void vsb_doubts_at(double snr, struct vsb_doubts *doubts);

/* Unbiased output SNR (a ratio) of the finite equaliser. `noise` is the noise variance over the
 * symbols' mean square, > 0. STATUS_NO_MEMORY, STATUS_NO_SOLUTION where rounding defeats it. */
enum status vsb_equaliser_snr(const struct vsb_channel *channel, double noise,
                              struct vsb_equaliser_spans spans, double *snr);

/* Its taps: estimate of symbol n = sum of forward[i] * sample[n - earlier + i] - sum of
 * backward[j] * symbol[n - 1 - j]. Unbiased: the symbol's own weight is 1. Owned; free with
 * vsb_equaliser_free. */
struct vsb_equaliser {
    struct vsb_equaliser_spans spans;
    double *forward;     /* earlier + later + 1 */
    double *backward;    /* feedback */
    double snr;          /* doubts counted */
    double trusting_snr; /* what the taps leave as long as no decision is wrong */
};
enum status vsb_equaliser_design(const struct vsb_channel *channel, double noise,
                                 struct vsb_equaliser_spans spans, struct vsb_equaliser *equaliser);

/* The same taps, and where these leave no less than `least_snr` those of a receiver that has the
 * doubts in mind that there are where it ends itself: to `sure` of the SNR, roughly where that is
 * more than a thousandth or so, and the sooner the more it is. Elsewhere `doubting` is all 0. */
enum status vsb_equaliser_design_doubting(const struct vsb_channel *channel, double noise,
                                          struct vsb_equaliser_spans spans,
                                          vsb_doubts_at *doubts_at, double sure, double least_snr,
                                          struct vsb_equaliser *trusting,
                                          struct vsb_equaliser *doubting);
void vsb_equaliser_free(struct vsb_equaliser *equaliser);

/* How its taps differ from those of the one that has no doubts, both unbiased. */
struct vsb_lean {
    const double *forward, *backward; /* as many as in struct vsb_equaliser */
};

#endif
