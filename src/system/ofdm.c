/* How OFDM fares in a channel, whatever the system: its physics in physics/ofdm. */
#include "system/ofdm.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/air/noise.h"
#include "physics/ofdm/doppler.h"
#include "physics/ofdm/meeting.h"

#define NOTABLE_DB 0.05 /* smaller losses are not worth a sentence */

void ofdm_describe_grid(const struct ofdm_grid *grid, struct facts *facts)
{
    facts->useful_us = grid->useful_us;
    facts->guard_us = grid->guard_us;
    facts->symbol_us = grid->symbol_us;
    facts->spacing_hz = grid->spacing_hz;
    facts->carriers = grid->carriers;
    facts->occupied_mhz = grid->occupied_mhz;
    facts->echo_before_us = facts->echo_after_us = grid->guard_us;
    facts->echo_km = km_from_us(grid->guard_us);
    facts->reach_us = grid->useful_us / grid->dx;
    facts->doppler_pilot_hz = doppler_pilot_limit_hz(grid);
}

void ofdm_describe_motion(const struct ofdm_grid *grid, const struct information_curve *curve,
                          double ideal_db, const struct site *site, struct facts *facts)
{
    facts->field_dbuvm = planning_field_dbuvm(pair_plan(site->pair), facts->required_snr_db,
                                              site->center_mhz, site->bandwidth_mhz);
    if (!isfinite(facts->required_snr_db)) {
        facts->doppler_ici_hz = facts->doppler_hz = facts->speed_kmh = 0.0;
        return;
    }
    struct doppler_need need = gain_rayleigh_need_of(curve, ideal_db, facts->required_snr_db);
    struct doppler_limits limits;
    doppler_limits_make(grid, &limits);
    facts->doppler_ici_hz = doppler_interference_limit_hz(grid->useful_us, &need);
    facts->doppler_hz = doppler_limit_hz(&limits, &need);
    facts->speed_kmh = kmh_from_doppler(facts->doppler_hz, site->center_mhz * 1e6);
}

/* A fade that takes the part e of a code block's cells is survived while (1 - e) I(SNR) is still
 * what the code needs (of a rotated set more: curve.h); the interleaver gives each block cells of
 * its whole span. */
static double fade_ms(const struct ofdm_reception *reception, double left_db)
{
    double needs = information_curve_bits(&reception->curve, reception->needed_db);
    return reception->span_ms * information_curve_loss_borne(&reception->curve, left_db, needs);
}

static struct fare_facts facts_of(const struct ofdm_reception *reception,
                                  const struct ofdm_echo_result *ofdm)
{
    struct fare_facts facts = fare_facts_none();
    facts.inside_guard = ofdm->inside_guard;
    facts.self_interference_db = ofdm->self_interference_db;
    facts.fading_loss_db = ofdm->fading_loss_db;
    facts.self_loss_db = ofdm->self_loss_db;
    facts.motion_loss_db = ofdm->motion_loss_db;
    facts.estimation_loss_db = ofdm->estimation_loss_db;
    facts.ideal_margin_db = ofdm->ideal_margin_db;
    facts.ideal_required_cn_db = ofdm->ideal_required_cn_db;
    facts.window_us = ofdm->window.start_us;
    facts.reach_from_us = ofdm->window.reach_from_us;
    facts.reach_to_us = ofdm->window.reach_to_us;
    facts.time_interpolation = ofdm->window.time_interpolation;
    facts.fade_ms = fade_ms(reception, ofdm->effective_snr_db);
    return facts;
}

#define MOST_PLACES_PERCENT 99.0

/* Where transmitters of a network meet, how weak their sum is at the worst places. */
static void tell_meeting(const struct ofdm_grid *grid, const struct channel *channel,
                         struct fare_facts *facts)
{
    struct ofdm_grid alike = *grid;
    alike.filter_us = 0.0;
    facts->meeting_db = ofdm_meeting_db(grid, channel, MOST_PLACES_PERCENT);
    if (grid->filter_us > 0.0) {
        facts->miso_gain_db =
            facts->meeting_db - ofdm_meeting_db(&alike, channel, MOST_PLACES_PERCENT);
    }
}

struct fare_work {
    struct ofdm_work *ofdm;
};

enum status ofdm_open(const struct reception *reception, const struct channel *channel,
                      struct fare_work **work)
{
    (void)reception;
    (void)channel;
    *work = calloc(1, sizeof **work);
    if (*work != NULL && ((*work)->ofdm = ofdm_work_new()) == NULL) {
        free(*work);
        *work = NULL;
    }
    return *work != NULL ? STATUS_OK : STATUS_NO_MEMORY;
}

void ofdm_close(struct fare_work *work)
{
    if (work != NULL) {
        ofdm_work_free(work->ofdm);
        free(work);
    }
}

enum status ofdm_fare(const struct reception *reception, const struct channel *channel,
                      double snr_db, struct fare_work *work, struct fare *fare)
{
    *fare = (struct fare){.snr_db = snr_db, .left_db = NAN, .margin_db = NAN};
    struct ofdm_echo_result *ofdm = &fare->ofdm;
    struct ofdm_work *own = work == NULL ? ofdm_work_new() : NULL;
    struct ofdm_work *room = work != NULL ? work->ofdm : own;
    enum status status = room != NULL
                             ? ofdm_echo_solve(&reception->ofdm, channel, snr_db, room, ofdm)
                             : STATUS_NO_MEMORY;
    ofdm_work_free(own);
    if (status == STATUS_OK) {
        const struct loss losses[] = {
            {LOSS_ECHOES, "Unequal carriers", ofdm->fading_loss_db},
            {LOSS_SELF_INTERFERENCE, "Self-interference", ofdm->self_loss_db},
            {LOSS_MOTION, "Interference by motion", ofdm->motion_loss_db},
            {LOSS_ESTIMATION, "Channel estimation", ofdm->estimation_loss_db},
        };
        fare->loss_count = (int)(sizeof losses / sizeof losses[0]);
        for (int i = 0; i < fare->loss_count; i++) {
            fare->losses[i] = losses[i];
        }
        fare->facts = facts_of(&reception->ofdm, ofdm);
        tell_meeting(&reception->ofdm.grid, channel, &fare->facts);
        fare->left_db = ofdm->effective_snr_db;
        fare->margin_db = isfinite(reception->needed_db) ? ofdm->margin_db : -INFINITY;
    }
    return status;
}

enum status ofdm_margin(const struct reception *reception, const struct channel *channel,
                        double snr_db, double least_db, struct fare_work *work, double *margin_db)
{
    (void)least_db;
    struct ofdm_reception quick = reception->ofdm;
    quick.carriers_most = OFDM_QUICK_CARRIERS;
    enum status status = ofdm_echo_margin_db(&quick, channel, snr_db, work->ofdm, margin_db);
    if (!isfinite(reception->needed_db)) {
        *margin_db = -INFINITY;
    }
    return status;
}

enum status ofdm_required(const struct reception *reception, const struct channel *channel,
                          double *snr_db)
{
    struct ofdm_echo_result *result = malloc(sizeof *result);
    struct ofdm_work *work = ofdm_work_new();
    *snr_db = NAN;
    enum status status =
        result != NULL && work != NULL
            ? ofdm_echo_solve(&reception->ofdm, channel, reception->ofdm.needed_db, work, result)
            : STATUS_NO_MEMORY;
    if (status == STATUS_OK) {
        *snr_db = isfinite(reception->needed_db) ? result->required_cn_db : INFINITY;
    }
    ofdm_work_free(work);
    free(result);
    return status;
}

static void guard_words(const struct reception *reception, const struct channel *channel,
                        const struct ofdm_echo_result *ofdm, struct text *out)
{
    double guard_us = reception->ofdm.grid.guard_us;
    int fates[OFDM_FATE_COUNT] = {0};
    for (int i = 0; i < ofdm->rays.count; i++) {
        fates[ofdm->rays.rays[i].fate]++;
    }
    if (channel_ray_count(channel) == 1) {
        text_printf(out, "Without echoes all carriers are alike%s.",
                    channel->waves > 0 ? ", and come and go together as the receiver moves" : "");
    } else if (ofdm->inside_guard) {
        text_printf(out,
                    "All rays fit into the guard interval of %.1f us, so no symbol disturbs "
                    "another; echoes only make carriers unequal, and code and interleaver average "
                    "over them.",
                    guard_us);
    } else {
        text_printf(out, "Of %d rays ", ofdm->rays.count);
        const char *join = "";
        for (int fate = OFDM_RAY_LATE; fate < OFDM_FATE_COUNT; fate++) {
            if (fates[fate] > 0) {
                text_printf(out, "%s%d %s %s", join, fates[fate], fates[fate] == 1 ? "is" : "are",
                            ofdm_fate_words((enum ofdm_fate)fate));
                join = ", ";
            }
        }
        text_printf(out,
                    " (%.1f us, best window); self-interference is %.1f dB against what is useful.",
                    guard_us, ofdm->self_interference_db);
    }
    const struct ofdm_part *part = &reception->ofdm.part;
    if (part->to - part->from < 1.0) {
        text_printf(out,
                    " Without the frequency interleaver its cells lie on %.0f %% of the channel "
                    "alone, from %.0f %% on, and fade with it.",
                    100.0 * (part->to - part->from), 100.0 * part->from);
    }
    if (!ofdm->window.time_interpolation) {
        text_append(out, " The receiver does best to estimate the channel anew in each symbol.");
    }
}

static void meeting_words(const struct fare_facts *facts, struct text *out)
{
    if (-facts->meeting_db >= 0.05 || !isnan(facts->miso_gain_db)) {
        text_printf(out,
                    " Where the transmitters meet, the weakest 1 %% of the places receive at least "
                    "%.1f dB less than the mean",
                    fmax(0.0, -facts->meeting_db));
        if (!isnan(facts->miso_gain_db)) {
            text_printf(out, ", %.1f dB %s than without MISO's filters", fabs(facts->miso_gain_db),
                        facts->miso_gain_db >= 0.0 ? "more" : "less");
        }
        text_append(out, "; the SNR counts what is received.");
    }
}

/* A core whose code needs more than the layer above leaves at any SNR. */
static void ceiling_words(const struct reception *reception, struct text *out)
{
    const struct information_curve *curve = &reception->ofdm.curve;
    if (!isinf(reception->ideal_db) || !(curve->own_share > 0.0)) {
        return;
    }
    if (curve->other_share > 0.0) {
        text_printf(out,
                    " As noise the layer above leaves the core %.1f dB at most, at any SNR, which "
                    "is less than its code needs alone.",
                    db_from_ratio(curve->own_share / curve->other_share));
    } else {
        text_append(out, " Its core is not decoded at any SNR, so it cannot be taken away.");
    }
}

void ofdm_words(const struct reception *reception, const struct channel *channel,
                const struct fare *fare, struct text *out)
{
    const struct ofdm_echo_result *ofdm = &fare->ofdm;
    guard_words(reception, channel, ofdm, out);
    meeting_words(&fare->facts, out);
    ceiling_words(reception, out);
    if (ofdm->fading_loss_db >= NOTABLE_DB) {
        text_printf(out, " Unequal carriers cost %.1f dB.", ofdm->fading_loss_db);
    }
    if (ofdm->self_loss_db >= NOTABLE_DB) {
        text_printf(out, " Self-interference costs %.1f dB.", ofdm->self_loss_db);
    }
    if (ofdm->motion_loss_db >= NOTABLE_DB) {
        text_printf(out, " Motion within a symbol costs %.1f dB.", ofdm->motion_loss_db);
    }
    if (ofdm->estimation_loss_db >= NOTABLE_DB) {
        text_printf(out, " Errors of the channel estimate cost %.1f dB.", ofdm->estimation_loss_db);
    }
}

const char *const ofdm_fare_figures[] = {"effective_snr_db",
                                         "needed_snr_db",
                                         "required_cn_db",
                                         "margin_db",
                                         "margin_90_db",
                                         "margin_99_db",
                                         "margin_noise_db",
                                         "works",
                                         "positions_share",
                                         "inside_guard",
                                         "self_interference_db",
                                         "fading_loss_db",
                                         "self_loss_db",
                                         "motion_loss_db",
                                         "estimation_loss_db",
                                         "ideal_snr_db",
                                         "ideal_margin_db",
                                         "ideal_required_cn_db",
                                         "window_us",
                                         "reach_from_us",
                                         "reach_to_us",
                                         "time_interpolation",
                                         "meeting_db",
                                         "miso_gain_db",
                                         NULL};

void ofdm_motion_losses(const struct reception *reception, int count, const double *doppler_hz,
                        double *loss_db)
{
    const struct ofdm_reception *ofdm = &reception->ofdm;
    struct doppler_need need = gain_rayleigh_need_of(&ofdm->curve, ofdm->ideal_db, ofdm->needed_db);
    double pilot_hz = doppler_pilot_limit_hz(&ofdm->grid);
    for (int i = 0; i < count; i++) {
        loss_db[i] =
            doppler_hz[i] <= pilot_hz ? doppler_loss_db(&ofdm->grid, &need, doppler_hz[i]) : NAN;
    }
}

double ofdm_ideal_margin_db(const struct reception *reception, const struct fare *fare)
{
    return fare->left_db - reception->ideal_db;
}

int ofdm_reaches(const struct reception *reception, const struct fare *fare,
                 struct reach reaches[REACHES_MAX])
{
    double guard_us = reception->ofdm.grid.guard_us;
    if (fare == NULL) {
        reaches[0] = (struct reach){"guard interval, either way", -guard_us, guard_us, false};
        return 1;
    }
    const struct ofdm_window *window = &fare->ofdm.window;
    reaches[0] = (struct reach){"guard interval", window->start_us, window->guard_end_us, false};
    reaches[1] = (struct reach){"pilots' reach", window->reach_from_us, window->reach_to_us, true};
    return 2;
}

double ofdm_ray_share(const struct reception *reception, const struct fare *fare,
                      const struct ray *ray, const char **words)
{
    (void)reception;
    double power = ray->gain * ray->gain;
    const struct ofdm_rays *rays = &fare->ofdm.rays;
    for (int i = 0; i < rays->count; i++) {
        const struct ofdm_ray *seen = &rays->rays[i];
        if (seen->delay_us == ray->delay_us && fabs(seen->power - power) <= 1e-9 * power) {
            *words = ofdm_fate_words(seen->fate);
            return seen->weight * seen->coherent;
        }
    }
    *words = NULL;
    return NAN;
}

int ofdm_spectrum(const struct reception *reception, const struct channel *channel,
                  const struct fare *fare, int most, double *mhz, double *snr_db)
{
    (void)channel; /* as the window sees it */
    const struct ofdm_grid *grid = &reception->ofdm.grid;
    int step = (grid->carriers + most - 1) / most;
    int count = ofdm_echo_carriers(grid, &fare->ofdm, 0.0, step, snr_db, most);
    int middle = (grid->carriers - 1) / 2;
    for (int i = 0; i < count; i++) {
        mhz[i] = (i * step - middle) * grid->spacing_hz * 1e-6;
    }
    return count;
}
