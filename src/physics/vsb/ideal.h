#ifndef PHYSICS_VSB_IDEAL_H
#define PHYSICS_VSB_IDEAL_H

#include "physics/vsb/equaliser.h"
#include "physics/vsb/room.h"

/* The best that a decision-feedback equaliser can make of echoes, and what stands in its way. */
struct vsb_ideal {
    double snr;             /* unbiased, of the equaliser of the spans given */
    double feedback_energy; /* of its feedback taps, the sum of their squares */
    double taken_snr;       /* what the taps leave that the receiver takes, decisions being right */
    double *backward;       /* those taps' feedback, as vsb_equaliser.backward; the room's, valid
                               until its next answer */
    struct vsb_lean lean; /* of those taps for doubts; the room's too, NULL where there are none */
    double infinite_snr;  /* of infinite spans: exp(mean of ln(1 + SNR(f))) - 1 */
    double linear_snr;    /* linear, of infinite length: 1 / mean of 1 / (1 + SNR(f)) - 1 */
};

/* The receiver takes the ideal taps, or where `doubts_at` is not NULL and `snr` no less than
 * `least_snr` those that have its doubts in mind. SNRs as ratios; `echoes`, `noise` and `spans` as
 * in equaliser.h; within VSB_IDEAL_ERROR_DB of the equaliser of the whole channel.
 * STATUS_OUT_OF_RANGE for bad echoes, STATUS_NO_MEMORY, STATUS_NO_SOLUTION where rounding defeats
 * it. Some 0.05 ms where the reach holds all echoes and their pulses, half a millisecond elsewhere;
 * the means of infinite spans some tenths more. */
#define VSB_IDEAL_ERROR_DB 0.005
enum status vsb_ideal_solve(const struct echo *echoes, int count, double noise,
                            struct vsb_equaliser_spans spans, vsb_doubts_at *doubts_at,
                            double least_snr, struct vsb_room *room, struct vsb_ideal *ideal);

/* The same without infinite_snr and linear_snr, NAN. */
enum status vsb_ideal_solve_briefly(const struct echo *echoes, int count, double noise,
                                    struct vsb_equaliser_spans spans, vsb_doubts_at *doubts_at,
                                    double least_snr, struct vsb_room *room,
                                    struct vsb_ideal *ideal);

#endif
