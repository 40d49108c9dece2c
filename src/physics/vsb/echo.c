#include "physics/vsb/echo.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "base/complex.h"
#include "base/units.h"
#include "physics/vsb/adaptation.h"
#include "physics/vsb/decision.h"
#include "physics/vsb/ideal.h"
#include "standard/vsb/signal.h"

/* Idea. The receiver locks to one ray, its reference, and equalises the others within its reach as
 * well as an ideal equaliser can (ideal.h); then the losses of real ones are taken off one
 * by one. The reference is the main signal or, where an echo is stronger, the strongest ray, if
 * that gives the better output. Echoes that move faster than the receiver follows keep no phase
 * with its taps: to them they are noise with the spectrum of the signal.
 *
 * With less noise the best taps lean more on what was decided. A receiver that fails can get worse
 * by that: an echo 20 us ahead at -6 dB leaves 30 % of the bytes wrong at 18 dB of SNR, 89 % at 20,
 * 65 % at 22 and none at 24, by the trellis decoder (*computed*, tests/property/test_more_snr.c),
 * and by the nearest level one that decodes can fail again. By the trellis decoder none was seen to
 * that decodes, though taps' costs here say so in one of two hundred rooms (three of 600 drawn):
 * decision.h takes late taps for too dear there. */

struct rays {
    int waves;       /* of each ray as it was said (channel.h) */
    double drift_hz; /* by which the waves of the reference turn faster than the one locked to */
    int count;
    struct echo echoes[ECHOES_MAX];
};

/* The same rays seen from ray `reference` of the channel. */
static void refer(const struct channel *channel, const struct echo *echoes, int reference,
                  struct rays *rays)
{
    const struct echo main_signal = {0};
    const struct echo *origin = reference == 0 ? &main_signal : &echoes[reference - 1];
    rays->waves = channel->waves > 1 ? channel->waves : 1;
    rays->drift_hz = channel_drift_hz(channel, reference);
    rays->count = 0;
    for (int i = 0; i < channel->count; i++) {
        if (i == reference) {
            continue;
        }
        struct echo ray = i == 0 ? main_signal : echoes[i - 1];
        ray.delay_us -= origin->delay_us;
        ray.level_db -= origin->level_db;
        ray.phase_deg -= origin->phase_deg;
        ray.doppler_hz -= origin->doppler_hz;
        rays->echoes[rays->count++] = ray;
    }
}

/* Against the mean of what the reference consists of: a loop follows that. */
static bool moves_too_fast(const struct rays *rays, int i, const struct first_receiver *receiver)
{
    return fabs(rays->echoes[i].doppler_hz - rays->drift_hz) > receiver->tracking_hz;
}

/* What the solution needs of the rays: those that are equalised, and the power of the others. */
struct view {
    struct rays followed;
    struct rays sums; /* the same, waves of a ray added up: at an instant they are one */
    double power;     /* of their data */
    double too_fast_power;
    double noise; /* variance over the symbols' mean square, that of the others in it: a ray whose
                     phase is anything is nearly as white */
};

/* Power of pilot over power of data, where nothing is lost on the way. */
static double pilot_share(void)
{
    return ratio_from_db(vsb_pilot_db()) - 1.0;
}

/* Adds an echo of that amplitude, in parts where it is too strong for one; none where it is too
 * weak to count. */
static void add_sum(struct rays *sums, double delay_us, double complex amplitude)
{
    double level_db = 2.0 * db_from_ratio(cabs(amplitude));
    int parts = (int)ceil(sqrt(ratio_from_db(fmax(0.0, level_db - ECHO_LEVEL_MAX_DB))));
    for (int i = 0; i < parts && level_db >= ECHO_LEVEL_MIN_DB && sums->count < ECHOES_MAX; i++) {
        sums->echoes[sums->count++] =
            (struct echo){.delay_us = delay_us,
                          .level_db = level_db - 2.0 * db_from_ratio(parts),
                          .phase_deg = carg(amplitude) * 180.0 / PI};
    }
}

static void add_up(const struct rays *followed, struct rays *sums)
{
    double complex sum = 0.0;
    sums->count = 0;
    for (int i = 0; i < followed->count; i++) {
        const struct echo *wave = &followed->echoes[i];
        double phase = wave->phase_deg * PI / 180.0;
        double gain = sqrt(ratio_from_db(wave->level_db));
        sum += CMPLX(gain * cos(phase), gain * sin(phase));
        if (i + 1 == followed->count || followed->echoes[i + 1].delay_us != wave->delay_us) {
            add_sum(sums, wave->delay_us, sum);
            sum = 0.0;
        }
    }
}

/* The followed rays as they stand. */
static const struct rays *standing(const struct view *view)
{
    return view->followed.waves > 1 ? &view->sums : &view->followed;
}

/* What that receiver makes of the rays; NULL: as if it followed all. */
static enum status view_make(const struct rays *rays, double snr_db,
                             const struct first_receiver *receiver, struct view *view)
{
    view->followed.count = 0;
    view->followed.waves = rays->waves;
    view->too_fast_power = 0.0;
    for (int i = 0; i < rays->count; i++) {
        if (receiver != NULL && moves_too_fast(rays, i, receiver)) {
            view->too_fast_power += ratio_from_db(rays->echoes[i].level_db);
        } else {
            view->followed.echoes[view->followed.count++] = rays->echoes[i];
        }
    }
    /* The SNR is that of the moment in which the followed rays have the phases given. */
    if (rays->waves > 1) {
        add_up(&view->followed, &view->sums);
    }
    const struct rays *followed = standing(view);
    double data = vsb_received_power(followed->echoes, followed->count);
    double pilot = vsb_pilot_power(followed->echoes, followed->count);
    double power = data + view->too_fast_power + pilot_share() * (pilot + view->too_fast_power);
    view->power = data;
    view->noise = power / ratio_from_db(snr_db) + view->too_fast_power;
    return data + view->too_fast_power > 1e-6 ? STATUS_OK
                                              : STATUS_NO_SOLUTION; /* the rays cancel each other */
}

double vsb_echo_received(const struct channel *channel)
{
    struct echo echoes[ECHOES_MAX];
    struct rays rays;
    struct view view;
    vsb_echoes_of(channel, echoes);
    refer(channel, echoes, 0, &rays);
    view_make(&rays, 0.0, NULL, &view);
    return view.noise; /* at 0 dB */
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

static struct vsb_pace pace_of(const struct view *view, const struct first_receiver *receiver,
                               struct vsb_equaliser_spans spans)
{
    double step = receiver->adaptation_step;
    return (struct vsb_pace){step, vsb_adaptation_mu(step, view->power, view->noise, spans)};
}

/* How this position's taps lag. */
static enum status find_lag(const struct view *view, const struct first_receiver *receiver,
                            const struct vsb_echo_result *result, const struct vsb_lean *lean,
                            struct vsb_echo_work *work, struct vsb_lags *lags, struct vsb_lag *lag)
{
    double snr_db = work->field_snr_db != 0.0 ? work->field_snr_db : result->input_snr_db;
    const struct rays *followed = &view->followed;
    struct vsb_pace pace = pace_of(view, receiver, result->spans);
    const struct vsb_learning learning = {.echoes = followed->echoes,
                                          .count = followed->count,
                                          .noise = view->noise,
                                          .spans = result->spans,
                                          .mu = pace.mu,
                                          .step = pace.step,
                                          .feedback = receiver->feedback,
                                          .lean = lean->forward != NULL ? lean : NULL,
                                          .waves = followed->waves > 1};
    return vsb_lags_find(lags, &learning, snr_db, &work->room, lag);
}

/* Takes off what learning costs: first with all echoes at rest, then what their motion adds.
 * Returns the SNR of the data that is left. */
static double take_off_adaptation(double step, const struct vsb_lag *lag,
                                  struct vsb_echo_result *result)
{
    double least_error = 1.0 / (1.0 + ratio_from_db(lag->ideal_db));
    double at_rest_db =
        db_from_ratio(vsb_adaptation_snr(least_error, vsb_adaptation_noise(least_error, step)));
    double moving_db = vsb_lag_left_db(lag, step);
    result->adaptation_loss_db = lag->ideal_db - at_rest_db + lag->decisions.unrest_db;
    result->lag_loss_db += at_rest_db - moving_db;
    return moving_db - lag->decisions.unrest_db;
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
        if (moves_too_fast(rays, i, receiver)) {
            result->too_fast_count++;
            too_fast += power;
        }
    }
    result->outside_count /= rays->waves;
    result->too_fast_count = (result->too_fast_count + rays->waves - 1) / rays->waves;
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
    return channel->count <= ECHOES_MAX + 1 ? channel_check(channel) : STATUS_OUT_OF_RANGE;
}

/* What the ideal equaliser leaves where the output SNR may be what is asked: no loss is less than
 * 0. Taps that learn are followed from one position to the next. */
static double least_snr(const struct first_receiver *receiver, const struct vsb_echo_work *work)
{
    return receiver->adaptation_step > 0.0
               ? 0.0
               : ratio_from_db(work->least_db + receiver->implementation_loss_db - vsb_pilot_db());
}

/* The ideal equaliser of what is followed, and what wrong decisions cost it where it leaves no less
 * than `least`. */
static enum status solve_ideal(const struct view *view, const struct first_receiver *receiver,
                               struct vsb_equaliser_spans spans, double least,
                               struct vsb_echo_work *work, struct vsb_ideal *ideal,
                               struct vsb_decision_costs *decisions)
{
    *decisions = (struct vsb_decision_costs){0.0, 0.0};
    const struct rays *followed = standing(view);
    enum status status = (work->brief ? vsb_ideal_solve_briefly : vsb_ideal_solve)(
        followed->echoes, followed->count, view->noise, spans,
        receiver->feedback == FEEDBACK_TRELLIS ? vsb_decision_survivors_doubt : NULL, least,
        &work->room, ideal);
    if (status != STATUS_OK || ideal->snr < least) {
        return status;
    }
    struct vsb_teacher teachers[VSB_TEACHERS];
    struct vsb_pace pace = pace_of(view, receiver, spans);
    int points =
        vsb_decision_teachers(receiver->feedback, ideal->snr * (1.0 - 0.5 * pace.step), teachers);
    status = vsb_decision_costs(receiver->feedback, ideal->backward, spans.feedback,
                                points == 1 ? teachers : NULL, pace, &work->room, decisions);
    decisions->loss_db += db_from_ratio(ideal->snr / ideal->taken_snr);
    return status;
}

/* From the ideal equaliser to what is left. */
static enum status take_off_losses(const struct view *view, const struct vsb_ideal *ideal,
                                   const struct vsb_decision_costs *decisions,
                                   const struct first_receiver *receiver,
                                   struct vsb_echo_work *work, struct vsb_lags *lags,
                                   struct vsb_echo_result *result)
{
    double data_db = db_from_ratio(ideal->snr);
    struct vsb_lag lag = {.ideal_db = data_db,
                          .static_db = decisions->loss_db,
                          .decisions = *decisions,
                          .held_db = INFINITY};
    bool learns = receiver->adaptation_step > 0.0;
    enum status status = STATUS_OK;
    if (learns && anything_moves(&view->followed)) {
        status = find_lag(view, receiver, result, &ideal->lean, work, lags, &lag);
    }
    if (learns) {
        data_db = take_off_adaptation(receiver->adaptation_step, &lag, result);
    }
    result->decision_loss_db = fmax(lag.decisions.loss_db, data_db - lag.held_db);
    result->error_free = receiver->feedback == FEEDBACK_ERROR_FREE;
    result->implementation_loss_db = receiver->implementation_loss_db;
    result->diverges = vsb_decision_diverges(
        result->decision_loss_db, ratio_from_db(data_db - receiver->implementation_loss_db));
    result->output_snr_db = result->static_snr_db - result->decision_loss_db -
                            result->adaptation_loss_db - result->lag_loss_db -
                            result->implementation_loss_db;
    result->margin_db = result->output_snr_db - receiver->threshold_db;
    return status;
}

static void lose(struct vsb_echo_result *result)
{
    result->lost = true;
    result->lag_loss_db = -VSB_LOST_DB;
    result->output_snr_db = result->margin_db = VSB_LOST_DB;
}

/* The answer with one choice of reference. */
static enum status solve_from(const struct channel *channel, const struct echo *echoes,
                              int reference, double snr_db, const struct first_receiver *receiver,
                              struct vsb_echo_work *work, struct vsb_echo_result *result)
{
    struct rays rays;
    struct view view;
    struct vsb_ideal ideal = {0};
    struct vsb_decision_costs decisions;
    refer(channel, echoes, reference, &rays);
    memset(result, 0, sizeof *result);
    result->input_snr_db = snr_db;
    result->reference_us = reference == 0 ? 0.0 : echoes[reference - 1].delay_us;
    result->spans =
        vsb_equaliser_spans(receiver->equaliser_before_us, receiver->equaliser_after_us);
    count_rays(&rays, receiver, result);
    enum status status = view_make(&rays, snr_db, NULL, &view);
    double least = least_snr(receiver, work);
    if (status == STATUS_OK) { /* what it is without those too fast, decisions do not matter to */
        status =
            solve_ideal(&view, receiver, result->spans,
                        result->too_fast_count > 0 ? INFINITY : least, work, &ideal, &decisions);
    }
    if (status == STATUS_OK) {
        result->static_snr_db = db_from_ratio(ideal.snr) + vsb_pilot_db();
        result->infinite_snr_db = db_from_ratio(ideal.infinite_snr) + vsb_pilot_db();
        result->linear_snr_db = db_from_ratio(ideal.linear_snr) + vsb_pilot_db();
        result->feedback_energy = ideal.feedback_energy;
        result->echo_loss_db = snr_db - result->static_snr_db;
    }
    if (status == STATUS_OK && result->too_fast_count > 0) {
        status = view_make(&rays, snr_db, receiver, &view);
    }
    if (status == STATUS_OK && result->too_fast_count > 0) {
        status = solve_ideal(&view, receiver, result->spans, least, work, &ideal, &decisions);
        result->lag_loss_db = result->static_snr_db - vsb_pilot_db() - db_from_ratio(ideal.snr);
        result->feedback_energy = ideal.feedback_energy;
    }
    if (status == STATUS_OK) {
        status = take_off_losses(&view, &ideal, &decisions, receiver, work,
                                 &work->lags[reference == 0 ? 0 : 1], result);
    }
    if (status == STATUS_OK && channel->spread_hz > receiver->tracking_hz) {
        lose(result);
    }
    return status;
}

/* From the better reference. The other's answer is not needed where it is the less. */
static enum status solve_position(const struct channel *channel, double snr_db,
                                  const struct first_receiver *receiver, struct vsb_echo_work *work,
                                  struct vsb_echo_result *result)
{
    memset(result, 0, sizeof *result);
    enum status status = check(channel, snr_db, receiver);
    if (status != STATUS_OK) {
        return status;
    }
    struct echo echoes[ECHOES_MAX];
    vsb_echoes_of(channel, echoes);
    status = solve_from(channel, echoes, 0, snr_db, receiver, work, result);
    int stronger = channel_strongest(channel);
    if (status == STATUS_OK && stronger > 0) {
        struct vsb_echo_result other;
        work->least_db = fmax(work->least_db, result->output_snr_db);
        status = solve_from(channel, echoes, stronger, snr_db, receiver, work, &other);
        if (status == STATUS_OK && other.output_snr_db > result->output_snr_db) {
            *result = other;
        }
    }
    return status;
}

enum status vsb_echo_solve_position(const struct channel *channel, double snr_db,
                                    const struct first_receiver *receiver,
                                    struct vsb_echo_work *work, struct vsb_echo_result *result)
{
    work->least_db = -INFINITY;
    return solve_position(channel, snr_db, receiver, work, result);
}

enum status vsb_echo_margin_db(const struct channel *channel, double snr_db,
                               const struct first_receiver *receiver, double least_db,
                               struct vsb_echo_work *work, double *margin_db)
{
    struct vsb_echo_result result;
    work->brief = true;
    work->least_db = receiver->threshold_db + least_db;
    enum status status = solve_position(channel, snr_db, receiver, work, &result);
    work->brief = false;
    *margin_db = result.margin_db;
    return status;
}

enum status vsb_echo_solve(const struct channel *channel, double snr_db,
                           const struct first_receiver *receiver, struct vsb_echo_result *result)
{
    struct vsb_echo_work work = {.lags = {{.count = 0}}};
    enum status status = vsb_echo_solve_position(channel, snr_db, receiver, &work, result);
    vsb_echo_work_free(&work);
    return status;
}

void vsb_echo_work_free(struct vsb_echo_work *work)
{
    vsb_room_free(&work->room);
    vsb_lags_free(&work->lags[0]);
    vsb_lags_free(&work->lags[1]);
}
