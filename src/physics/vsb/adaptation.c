/* Idea (Haykin, Adaptive Filter Theory, the chapters on the LMS algorithm). Let J be the least mean
 * square error.
 *
 * Noise: taps that learn from every error jitter about their mean, and the error grows to
 * J / (1 - mu tr(R) / 2), R the covariance of the inputs: with the step normalised as in the
 * header, J / (1 - step / 2).
 *
 * Lag: the mean taps follow their learning curve (learning.h).
 *
 * Validity: steps up to a few tenths. The simulated receiver confirms the noise within 0.1 dB.
 * Worked number: 20 dB, no echo, step 0.2: J = 0.0099, error 0.0110, output SNR 19.54 dB. */
#include "physics/vsb/adaptation.h"

#include <string.h>

#include "physics/vsb/ideal.h"
#include "physics/vsb/learning.h"
#include "standard/vsb/signal.h"

double vsb_adaptation_norm(const struct vsb_channel *channel, double noise,
                           struct vsb_equaliser_spans spans)
{
    double power = noise;
    for (int k = 0; k < channel->count; k++) {
        power += channel->taps[k] * channel->taps[k];
    }
    return (spans.earlier + spans.later + 1) * power + spans.feedback;
}

double vsb_adaptation_noise(double error, double step)
{
    return error * (1.0 / (1.0 - step / 2.0) - 1.0);
}

double vsb_adaptation_snr(double least_error, double added)
{
    /* The best taps pass 1 - J of the symbol and J (1 - J) of noise. */
    double gain = 1.0 - least_error;
    return gain * gain / (gain * least_error + added);
}

enum status vsb_adaptation_solve(const struct echo *echoes, int count, double noise,
                                 struct vsb_equaliser_spans spans, double step,
                                 enum vsb_feedback feedback, struct vsb_room *room,
                                 struct vsb_adaptation *adaptation)
{
    memset(adaptation, 0, sizeof *adaptation);
    if (!(step > 0.0 && step <= VSB_ADAPTATION_STEP_MAX)) {
        return STATUS_OUT_OF_RANGE;
    }
    struct vsb_channel channel;
    struct vsb_ideal ideal;
    enum status status = vsb_channel_make(echoes, count, &channel);
    if (status != STATUS_OK) {
        return status;
    }
    status = vsb_ideal_solve(echoes, count, noise, spans, room, &ideal);
    double norm = vsb_adaptation_norm(&channel, noise, spans);
    vsb_channel_free(&channel);
    adaptation->mu = step / norm;
    adaptation->time_constant_us = vsb_symbol_us() / adaptation->mu;
    adaptation->least_error = 1.0 / (1.0 + ideal.snr);
    struct vsb_learning learning = {.echoes = echoes,
                                    .count = count,
                                    .noise = noise,
                                    .spans = spans,
                                    .mu = adaptation->mu,
                                    .feedback = feedback};
    struct vsb_learning_error lag = {0};
    if (status == STATUS_OK) {
        status = vsb_learning_lag(&learning, room, &lag);
    }
    adaptation->lag_error = lag.added;
    adaptation->best_decisions_db = lag.best_decisions_db;
    adaptation->lag_decisions_db = lag.decisions_db;
    adaptation->noise_error_at_rest = vsb_adaptation_noise(adaptation->least_error, step);
    adaptation->noise_error =
        vsb_adaptation_noise(adaptation->least_error + adaptation->lag_error, step);
    return status;
}
