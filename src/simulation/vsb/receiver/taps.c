/* The simulated receiver's taps: those that verdicts take, by the same design, where its code can
 * decode. Where it cannot, this receiver doubts all the more. */
#include "simulation/vsb/receiver/taps.h"

#include <math.h>

#include "base/units.h"
#include "physics/vsb/channel.h"
#include "physics/vsb/decision.h"
#include "physics/vsb/learning.h"
#include "standard/vsb/signal.h"

#define SURE 1e-9 /* of the SNR */

/* All rays but the reference as echoes of it, phases at the pilot; those of the others that turn
 * too fast as a power. */
static int echoes_of(const struct channel *channel, int reference, double tracking_hz,
                     struct echo *echoes, double *too_fast)
{
    const struct ray *lock = &channel->rays[reference];
    double drift_hz = channel_drift_hz(channel, reference);
    int count = 0;
    *too_fast = 0.0;
    for (int i = 0; i < channel->count; i++) {
        const struct ray *ray = &channel->rays[i];
        double gain = ray->gain / lock->gain, delay_us = ray->delay_us - lock->delay_us;
        double turns = vsb_symbol_rate_hz() / 4.0 * delay_us * 1e-6;
        if (i == reference || !(gain > 0.0)) {
            continue;
        }
        if (fabs(ray->doppler_hz - lock->doppler_hz - drift_hz) > tracking_hz) {
            *too_fast += gain * gain;
            continue;
        }
        echoes[count++] = (struct echo){.delay_us = delay_us,
                                        .level_db = 2.0 * db_from_ratio(gain),
                                        .phase_deg = (ray->phase - lock->phase) * 180.0 / PI +
                                                     360.0 * fmod(turns, 1.0),
                                        .doppler_hz = ray->doppler_hz - lock->doppler_hz};
    }
    return count;
}

double vsb_taps_data_power(const struct channel *channel, int reference)
{
    struct echo echoes[CHANNEL_RAYS_MAX];
    double too_fast;
    int count = echoes_of(channel, reference, INFINITY, echoes, &too_fast);
    return vsb_received_power(echoes, count);
}

double vsb_taps_pilot_power(const struct channel *channel, int reference)
{
    double complex sum = channel_response(channel, -vsb_symbol_rate_hz() / 4.0, 0.0);
    double gain = channel->rays[reference].gain;
    return creal(sum * conj(sum)) / (gain * gain);
}

/* What survivors leave in doubt at any SNR. */
static void doubts_at(double snr, struct vsb_doubts *doubts)
{
    doubts->ages = VSB_DOUBT_AGES;
    for (int age = 0; age < doubts->ages; age++) {
        double error = vsb_decision_error(FEEDBACK_TRELLIS, age, snr);
        doubts->doubt[age] = error * (1.0 - error / 4.0);
    }
}

enum status vsb_taps_design(const struct channel *channel, int reference, double noise,
                            const struct vsb_taps_wish *wish, struct vsb_equaliser *equaliser)
{
    struct echo echoes[CHANNEL_RAYS_MAX];
    struct vsb_channel taps;
    double too_fast;
    int count = echoes_of(channel, reference, wish->tracking_hz, echoes, &too_fast);
    enum status status = vsb_channel_make(echoes, count, &taps);
    if (status != STATUS_OK) {
        return status;
    }
    if (wish->feedback == FEEDBACK_TRELLIS) {
        struct vsb_equaliser trusting;
        status = vsb_equaliser_design_doubting(&taps, noise + too_fast, wish->spans, doubts_at,
                                               SURE, 0.0, &trusting, equaliser);
        vsb_equaliser_free(&trusting);
    } else {
        status = vsb_equaliser_design(&taps, noise + too_fast, wish->spans, equaliser);
    }
    vsb_channel_free(&taps);
    return status;
}

enum status vsb_taps_learnt(const struct channel *channel, int reference, double noise,
                            struct vsb_equaliser_spans spans, double mu,
                            struct vsb_equaliser *equaliser, double *gain)
{
    struct echo echoes[CHANNEL_RAYS_MAX];
    double too_fast;
    int count = echoes_of(channel, reference, INFINITY, echoes, &too_fast);
    const struct vsb_learning learning = {.echoes = echoes,
                                          .count = count,
                                          .noise = noise,
                                          .spans = spans,
                                          .mu = mu,
                                          .feedback = FEEDBACK_ERROR_FREE};
    return vsb_learning_taps(&learning, equaliser, gain);
}
