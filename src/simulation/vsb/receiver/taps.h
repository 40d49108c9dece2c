#ifndef SIMULATION_VSB_RECEIVER_TAPS_H
#define SIMULATION_VSB_RECEIVER_TAPS_H

#include "physics/channel.h"
#include "physics/receiver.h"
#include "physics/vsb/equaliser.h"

/* The equaliser's taps for a channel as it stands, as a receiver that knows it would choose them.
 */

struct vsb_taps_wish {
    struct vsb_equaliser_spans spans;
    enum vsb_feedback feedback; /* of the trellis: taps count the variance of its wrong decisions */
    double tracking_hz; /* rays that turn faster against the reference, or against the mean of
                           its waves, count as noise */
};

/* `noise`: variance of a sample over the data symbols' mean square, the reference ray being 1.
 * The owner calls vsb_equaliser_free. STATUS_NO_MEMORY, STATUS_NO_SOLUTION. */
enum status vsb_taps_design(const struct channel *channel, int reference, double noise,
                            const struct vsb_taps_wish *wish, struct vsb_equaliser *equaliser);

/* The taps that learning with the step `mu` (of inputs in units of the symbols) has led to when the
 * rays stand so, having turned for long: of least mean square error, without an SNR. `gain` is what
 * they pass of the wanted symbol. */
enum status vsb_taps_learnt(const struct channel *channel, int reference, double noise,
                            struct vsb_equaliser_spans spans, double mu,
                            struct vsb_equaliser *equaliser, double *gain);

/* Received power over what the reference ray alone would bring: of the data, and of the pilot. */
double vsb_taps_data_power(const struct channel *channel, int reference);
double vsb_taps_pilot_power(const struct channel *channel, int reference);

#endif
