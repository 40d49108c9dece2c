#ifndef PHYSICS_VSB_ECHO_H
#define PHYSICS_VSB_ECHO_H

#include <math.h>
#include <stdbool.h>

#include "base/status.h"
#include "physics/echo.h"
#include "physics/receiver.h"
#include "physics/vsb/equaliser.h"
#include "physics/vsb/lags.h"
#include "physics/vsb/room.h"

/* How the first generation fares with echoes: from echoes and input SNR to output SNR, every loss
 * on its own line. All SNRs count the pilot as signal, as the threshold of 14.9 dB does: at the
 * input what of it arrives, behind the equaliser its share of what was sent. Noise is that in the
 * receiving filter's noise bandwidth (half the symbol rate, 5.38 MHz).
 *
 *   input_snr_db - echo_loss_db = static_snr_db      ideal equaliser of the receiver's reach, its
 *                                                    decisions free of errors, the echoes standing
 *                                                    still as given
 *     - decision_loss_db                             decisions that can be wrong
 *     - adaptation_loss_db                           noise of taps that never stand still
 *     - lag_loss_db                                  taps behind echoes that move, or echoes faster
 *                                                    than tracking_hz, which are not equalised
 *     - implementation_loss_db = output_snr_db       what is left for the decision
 *
 * All of it is of an instant: where the receiver moves (channel.h) waves of a ray are their sum
 * then, and with taps that learn they turn each for itself. Every loss is 0 dB where its cause is
 * absent; echo_loss_db is a little below 0 where close echoes
 * flatten what they share, or weaken the pilot alone. */
struct vsb_echo_result {
    double input_snr_db;
    double reference_us; /* delay of the ray that the receiver locks to: 0, or a stronger echo's */
    struct vsb_equaliser_spans spans;

    double static_snr_db;
    double infinite_snr_db; /* decision-feedback equaliser of infinite length */
    double linear_snr_db;   /* linear equaliser of infinite length */
    double feedback_energy; /* sum of squares of the feedback taps, main signal 1, no lag in them */

    double echo_loss_db;
    bool error_free;           /* decisions are taken for free of errors */
    double decision_loss_db;   /* 0 then; of the taps as they lag */
    double adaptation_loss_db; /* 0 with adaptation_step 0 */
    double lag_loss_db;        /* 0 without an echo that moves */
    double implementation_loss_db;
    double output_snr_db;
    double margin_db; /* output_snr_db - threshold_db */
    bool diverges;    /* wrong decisions keep each other alive */
    bool lost;        /* a spread beyond tracking_hz: it follows nothing, VSB_LOST_DB are left */

    int outside_count;  /* echoes outside -before..+after of the reference */
    double outside_db;  /* their power over the reference ray's; -INFINITY for none */
    int too_fast_count; /* echoes faster than tracking_hz: not equalised */
    double too_fast_db; /* their power over the reference ray's; -INFINITY for none */
};

/* What many positions of the same rays share: room to work in and, with adaptation_step > 0, how
 * taps lag behind moving echoes at those seen so far, with the main signal as reference and with
 * the strongest echo. Starts as {0}; the owner calls vsb_echo_work_free. */
struct vsb_echo_work {
    struct vsb_room room;
    bool brief;      /* of the ideal equaliser only what the margin needs is told */
    double least_db; /* output SNRs below need not be told exactly */
    double
        field_snr_db; /* of what the instant is a part of, under which lags are kept; 0: its own */
    struct vsb_lags lags[2];
};
void vsb_echo_work_free(struct vsb_echo_work *work);

/* Left where the receiver follows nothing, its reference neither: a spread beyond tracking_hz. */
#define VSB_LOST_DB (-(double)INFINITY)

/* `snr_db`: total received power (all rays) over noise power, -30..100. Phases that are any count
 * as they stand; where echoes move they are those of the instant. STATUS_OUT_OF_RANGE for a bad
 * channel, SNR or receiver; STATUS_NO_SOLUTION where the rays cancel each other, STATUS_NO_MEMORY.
 * About 0.1 ms for a handful of echoes short against the reach, a millisecond or two more with taps
 * that learn behind echoes that move; else under 30 ms for reaches of 50 us. */
enum status vsb_echo_solve(const struct channel *channel, double snr_db,
                           const struct first_receiver *receiver, struct vsb_echo_result *result);

/* The same at one of many positions, which differ in the rays' phases (what another SNR left is
 * forgotten). Its lag is its own or, where those before foretell it, what they foretell (lags.h):
 * within 0.03 dB, root mean square. Beyond VSB_LAG_POSITIONS that do not foretell it is that of the
 * one whose ideal equaliser leaves most nearly as much: margins may then be some dB off, root mean
 * square 2 to 4 dB in a room where lag costs as much, but the share of positions that decode only
 * by 0.03 to 0.05 (computed, tests/physics/vsb/test_echo.c). */
enum status vsb_echo_solve_position(const struct channel *channel, double snr_db,
                                    const struct first_receiver *receiver,
                                    struct vsb_echo_work *work, struct vsb_echo_result *result);

/* Received power of all rays as they stand, pilot counted, over what the first ray or wave alone
 * would bring. */
double vsb_echo_received(const struct channel *channel);

/* The margin alone: what other equalisers would leave, which can take longest, is not looked at.
 * Below `least_db` any number that is no less than it, and below that, will do. */
enum status vsb_echo_margin_db(const struct channel *channel, double snr_db,
                               const struct first_receiver *receiver, double least_db,
                               struct vsb_echo_work *work, double *margin_db);

#endif
