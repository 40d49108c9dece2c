#ifndef PHYSICS_VSB_ADAPTATION_H
#define PHYSICS_VSB_ADAPTATION_H

#include "physics/vsb/equaliser.h"

/* What an equaliser loses that learns its taps from the signal by the least-mean-square rule,
 *
 *     taps += mu * error * inputs,   mu = step / mean square norm of the inputs,
 *
 * once a symbol, inputs being the samples and decided symbols that its taps weigh. `step` is so
 * normalised by the number of taps and their power: 0 to VSB_ADAPTATION_STEP_MAX (2 would be
 * unstable); 0 stands for ideal adaptation. A small step averages long: little noise, much lag
 * (learning.h). Learning from known symbols or error-free decisions. */

#define VSB_ADAPTATION_STEP_MAX 1.0

/* mu of a step, `power` being that of the data in the samples (vsb_received_power), `noise` as in
 * equaliser.h: forward taps weigh both, each feedback tap a symbol. */
double vsb_adaptation_mu(double step, double power, double noise, struct vsb_equaliser_spans spans);

/* What taps that jitter add to an error that they learn from. */
double vsb_adaptation_noise(double error, double step);

/* Unbiased SNR left when an equaliser of least error `least_error` errs by `added` more. */
double vsb_adaptation_snr(double least_error, double added);

#endif
