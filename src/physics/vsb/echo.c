#include "physics/vsb/echo.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "physics/vsb/adaptation.h"
#include "physics/vsb/ideal.h"

/* Idea. The receiver locks to one ray, its reference, and equalises the others within its reach as
 * well as an ideal equaliser can (ideal.h); then the losses of real ones are taken off one
 * by one. The reference is the main signal or, where an echo is stronger, the strongest ray, if
 * that gives the better output. Echoes that move faster than the receiver follows keep no phase
 * with its taps: to them they are noise with the spectrum of the signal. */

struct rays {
    int count;
    struct echo echoes[ECHOES_MAX];
};

/* The same rays seen from echo `reference` (-1: the main signal, nothing changes). */
static void refer(const struct echo *echoes, int count, int reference, struct rays *rays)
{
    const struct echo main_signal = {0};
    const struct echo *origin = reference < 0 ? &main_signal : &echoes[reference];
    rays->count = 0;
    for (int i = -1; i < count; i++) {
        if (i == reference) {
            continue;
        }
        struct echo ray = i < 0 ? main_signal : echoes[i];
        ray.delay_us -= origin->delay_us;
        ray.level_db -= origin->level_db;
        ray.phase_deg -= origin->phase_deg;
        ray.doppler_hz -= origin->doppler_hz;
        rays->echoes[rays->count++] = ray;
    }
}

static bool moves_too_fast(const struct echo *echo, const struct first_receiver *receiver)
{
    return fabs(echo->doppler_hz) > receiver->tracking_hz;
}

/* What the solution needs of the rays: those that are equalised, and the power of the others. */
struct view {
    struct rays followed;
    double too_fast_power;
    double noise; /* variance over the symbols' mean square */
};

static enum status view_make(const struct rays *rays, double snr_db,
                             const struct first_receiver *receiver, bool all_followed,
                             struct view *view)
{
    view->followed.count = 0;
    view->too_fast_power = 0.0;
    for (int i = 0; i < rays->count; i++) {
        if (!all_followed && moves_too_fast(&rays->echoes[i], receiver)) {
            view->too_fast_power += ratio_from_db(rays->echoes[i].level_db);
        } else {
            view->followed.echoes[view->followed.count++] = rays->echoes[i];
        }
    }
    /* The SNR is that of the moment in which the followed rays have the phases given. */
    double power =
        vsb_received_power(view->followed.echoes, view->followed.count) + view->too_fast_power;
    view->noise = power / ratio_from_db(snr_db);
    return power > 1e-6 ? STATUS_OK : STATUS_NO_SOLUTION; /* the rays cancel each other */
}

/* Autocorrelation, at the symbol rate, of the real part of a ray of mean power 1 whose phase is
 * anything: half the sum of p(k) p(k + d) + q(k) q(k + d). Nearly white. */
static void fast_ray_autocorrelation(double power, int count, double *autocorrelation)
{
    double q[1025];
    for (int k = 0; k < 1025; k++) {
        q[k] = vsb_pulse_quadrature(k - 512);
    }
    for (int d = 0; d < count; d++) {
        double sum = d == 0 ? 1.0 : 0.0;
        for (int k = 0; k + d < 1025; k++) {
            sum += q[k] * q[k + d];
        }
        autocorrelation[d] = 0.5 * power * sum;
    }
}

/* Interference of the rays that are too fast; the owner frees its autocorrelation. */
static enum status interference_make(const struct view *view, int count,
                                     struct vsb_interference *interference)
{
    *interference = (struct vsb_interference){0};
    if (view->too_fast_power > 0.0) {
        double *autocorrelation = malloc((size_t)count * sizeof *autocorrelation);
        if (autocorrelation == NULL) {
            return STATUS_NO_MEMORY;
        }
        fast_ray_autocorrelation(view->too_fast_power, count, autocorrelation);
        *interference =
            (struct vsb_interference){.autocorrelation = autocorrelation, .count = count};
    }
    return STATUS_OK;
}

static bool anything_moves(const struct rays *rays)
{
    for (int i = 0; i < rays->count; i++) {
        if (rays->echoes[i].doppler_hz != 0.0) {
            return true;
        }
    }
    return false;
}

/* The lag's error at this position, or where enough are known their mean. */
static enum status find_lag(const struct view *view, double step,
                            const struct vsb_interference *interference,
                            struct vsb_equaliser_spans spans, struct vsb_lag_sum *sum,
                            double *lag_error)
{
    *lag_error = 0.0;
    if (!anything_moves(&view->followed)) {
        return STATUS_OK;
    }
    if (sum->count >= VSB_LAG_POSITIONS) {
        *lag_error = sum->error / sum->count;
        return STATUS_OK;
    }
    struct vsb_adaptation adaptation;
    enum status status = vsb_adaptation_solve(view->followed.echoes, view->followed.count,
                                              view->noise, spans, interference, step, &adaptation);
    if (status == STATUS_OK) {
        *lag_error = adaptation.lag_error;
        sum->error += adaptation.lag_error;
        sum->count++;
    }
    return status;
}

/* Takes off what learning costs: first with all echoes at rest, then what their motion adds. */
static void take_off_adaptation(double step, double lag_error, struct vsb_echo_result *result)
{
    double least_error = 1.0 / (1.0 + ratio_from_db(result->output_snr_db));
    double at_rest_db =
        db_from_ratio(vsb_adaptation_snr(least_error, vsb_adaptation_noise(least_error, step)));
    double added = lag_error + vsb_adaptation_noise(least_error + lag_error, step);
    double moving_db = db_from_ratio(vsb_adaptation_snr(least_error, added));
    result->adaptation_loss_db = result->output_snr_db - at_rest_db;
    result->lag_loss_db += at_rest_db - moving_db;
    result->output_snr_db = moving_db;
}

/* From static_snr_db to the output of an equaliser that must follow the echoes. */
static enum status take_off_motion(const struct rays *rays, double snr_db,
                                   const struct first_receiver *receiver, struct vsb_lag_sum *lag,
                                   struct vsb_echo_result *result)
{
    result->output_snr_db = result->static_snr_db;
    if (result->too_fast_count == 0 && receiver->adaptation_step == 0.0) {
        return STATUS_OK;
    }
    struct view view;
    struct vsb_interference interference = {0};
    enum status status = view_make(rays, snr_db, receiver, false, &view);
    if (status == STATUS_OK) {
        status = interference_make(&view, result->spans.earlier + result->spans.later + 1,
                                   &interference);
    }
    if (status == STATUS_OK && result->too_fast_count > 0) {
        struct vsb_ideal ideal;
        status = vsb_ideal_solve(view.followed.echoes, view.followed.count, view.noise,
                                 result->spans, &interference, &ideal);
        result->output_snr_db = db_from_ratio(ideal.snr);
        result->feedback_energy = ideal.feedback_energy;
        result->lag_loss_db = result->static_snr_db - result->output_snr_db;
    }
    if (status == STATUS_OK && receiver->adaptation_step > 0.0) {
        double lag_error;
        status = find_lag(&view, receiver->adaptation_step, &interference, result->spans, lag,
                          &lag_error);
        take_off_adaptation(receiver->adaptation_step, lag_error, result);
    }
    free(interference.autocorrelation);
    return status;
}

static void count_rays(const struct rays *rays, const struct first_receiver *receiver,
                       struct vsb_echo_result *result)
{
    double outside = 0.0, too_fast = 0.0;
    for (int i = 0; i < rays->count; i++) {
        const struct echo *ray = &rays->echoes[i];
        double power = ratio_from_db(ray->level_db);
        if (ray->delay_us < -receiver->equaliser_before_us ||
            ray->delay_us > receiver->equaliser_after_us) {
            result->outside_count++;
            outside += power;
        }
        if (moves_too_fast(ray, receiver)) {
            result->too_fast_count++;
            too_fast += power;
        }
    }
    result->outside_db = outside > 0.0 ? db_from_ratio(outside) : -INFINITY;
    result->too_fast_db = too_fast > 0.0 ? db_from_ratio(too_fast) : -INFINITY;
}

static enum status check(const struct channel *channel, double snr_db,
                         const struct first_receiver *receiver)
{
    const struct {
        double value, low, high;
    } fields[] = {
        {snr_db, -30.0, 100.0},
        {receiver->threshold_db, -30.0, 100.0},
        {receiver->equaliser_before_us, 0.0, VSB_EQUALISER_REACH_MAX_US},
        {receiver->equaliser_after_us, 0.0, VSB_EQUALISER_REACH_MAX_US},
        {receiver->tracking_hz, 0.0, 1e6},
        {receiver->adaptation_step, 0.0, VSB_ADAPTATION_STEP_MAX},
        {receiver->implementation_loss_db, 0.0, 60.0},
    };
    for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++) {
        if (!(fields[i].value >= fields[i].low && fields[i].value <= fields[i].high)) {
            return STATUS_OUT_OF_RANGE;
        }
    }
    return channel_check(channel);
}

/* The strongest echo that beats the main signal; -1: none does. */
static int stronger_echo(const struct echo *echoes, int count)
{
    int strongest = -1;
    double level = 0.0;
    for (int i = 0; i < count; i++) {
        if (echoes[i].level_db > level) {
            level = echoes[i].level_db;
            strongest = i;
        }
    }
    return strongest;
}

/* The answer with one choice of reference. */
static enum status solve_from(const struct echo *echoes, int count, int reference, double snr_db,
                              const struct first_receiver *receiver, struct vsb_lag_sum *lag,
                              struct vsb_echo_result *result)
{
    struct rays rays;
    refer(echoes, count, reference, &rays);
    memset(result, 0, sizeof *result);
    result->input_snr_db = snr_db;
    result->reference_us = reference < 0 ? 0.0 : echoes[reference].delay_us;
    result->spans =
        vsb_equaliser_spans(receiver->equaliser_before_us, receiver->equaliser_after_us);
    count_rays(&rays, receiver, result);

    struct view view;
    enum status status = view_make(&rays, snr_db, receiver, true, &view);
    if (status == STATUS_OK && count == 0) {
        /* nothing to equalise */
        result->static_snr_db = result->infinite_snr_db = result->linear_snr_db = snr_db;
    } else if (status == STATUS_OK) {
        struct vsb_ideal ideal;
        status = vsb_ideal_solve(view.followed.echoes, view.followed.count, view.noise,
                                 result->spans, NULL, &ideal);
        result->static_snr_db = db_from_ratio(ideal.snr);
        result->infinite_snr_db = db_from_ratio(ideal.infinite_snr);
        result->linear_snr_db = db_from_ratio(ideal.linear_snr);
        result->feedback_energy = ideal.feedback_energy;
    }
    if (status == STATUS_OK) {
        status = take_off_motion(&rays, snr_db, receiver, lag, result);
    }
    result->echo_loss_db = snr_db - result->static_snr_db;
    result->implementation_loss_db = receiver->implementation_loss_db;
    result->output_snr_db -= receiver->implementation_loss_db;
    result->margin_db = result->output_snr_db - receiver->threshold_db;
    return status;
}

enum status vsb_echo_solve_position(const struct channel *channel, double snr_db,
                                    const struct first_receiver *receiver, struct vsb_lag *lag,
                                    struct vsb_echo_result *result)
{
    memset(result, 0, sizeof *result);
    enum status status = check(channel, snr_db, receiver);
    if (status != STATUS_OK) {
        return status;
    }
    struct echo echoes[ECHOES_MAX];
    int count = vsb_echoes_of(channel, echoes);
    status = solve_from(echoes, count, -1, snr_db, receiver, &lag->sums[0], result);
    int stronger = stronger_echo(echoes, count);
    if (status == STATUS_OK && stronger >= 0) {
        struct vsb_echo_result other;
        status = solve_from(echoes, count, stronger, snr_db, receiver, &lag->sums[1], &other);
        if (status == STATUS_OK && other.output_snr_db > result->output_snr_db) {
            *result = other;
        }
    }
    return status;
}

enum status vsb_echo_solve(const struct channel *channel, double snr_db,
                           const struct first_receiver *receiver, struct vsb_echo_result *result)
{
    struct vsb_lag lag = {0};
    return vsb_echo_solve_position(channel, snr_db, receiver, &lag, result);
}
