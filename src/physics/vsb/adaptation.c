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

double vsb_adaptation_mu(double step, double power, double noise, struct vsb_equaliser_spans spans)
{
    return step / ((spans.earlier + spans.later + 1) * (power + noise) + spans.feedback);
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
