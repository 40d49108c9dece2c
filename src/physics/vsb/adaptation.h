#ifndef PHYSICS_VSB_ADAPTATION_H
#define PHYSICS_VSB_ADAPTATION_H

#include "physics/receiver.h"
#include "physics/vsb/channel.h"
#include "physics/vsb/equaliser.h"
#include "physics/vsb/room.h"

/* What an equaliser loses that learns its taps from the signal by the least-mean-square rule,
 *
 *     taps += mu * error * inputs,   mu = step / mean square norm of the inputs,
 *
 * once a symbol, inputs being the samples and decided symbols that its taps weigh. `step` is so
 * normalised by the number of taps and their power: 0 to VSB_ADAPTATION_STEP_MAX (2 would be
 * unstable); 0 stands for ideal adaptation. A small step averages long: little noise, much lag.
 * Learning from known symbols or error-free decisions. */

#define VSB_ADAPTATION_STEP_MAX 1.0

/* Mean square norm of the inputs over the symbols' mean square: forward taps times the samples'
 * power, and one for each feedback tap. */
double vsb_adaptation_norm(const struct vsb_channel *channel, double noise,
                           struct vsb_equaliser_spans spans);

struct vsb_adaptation {
    double mu;               /* step over mean square norm */
    double time_constant_us; /* in which taps approach a new channel: 1 / mu symbols */
    double least_error;      /* mean square error of the best taps over the symbols' power */
    double lag_error;        /* added by taps that lag behind moving echoes: a mean over time, the
                                same whatever the phases of those echoes */
    double noise_error;      /* added by taps that jitter, the lag's share of it included */
    double best_decisions_db, lag_decisions_db; /* as in learning.h */
    double noise_error_at_rest;                 /* the same were every echo at rest */
};

/* Mean square errors of the equaliser that follows `echoes` (main signal implied, Doppler relative
 * to it) by the rule above, `noise` and `spans` as in equaliser.h. step in (0, 1]. Takes a design
 * of the equaliser, and tens of ms where an echo moves. */
enum status vsb_adaptation_solve(const struct echo *echoes, int count, double noise,
                                 struct vsb_equaliser_spans spans, double step,
                                 enum vsb_feedback feedback, struct vsb_room *room,
                                 struct vsb_adaptation *adaptation);

/* What taps that jitter add to an error that they learn from. */
double vsb_adaptation_noise(double error, double step);

/* Unbiased SNR left when an equaliser of least error `least_error` errs by `added` more. */
double vsb_adaptation_snr(double least_error, double added);

#endif
