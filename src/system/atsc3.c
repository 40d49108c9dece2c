/* OFDM of ATSC A/322, the second generation of the ATSC pair, its physics in physics/ofdm. */
#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/air/noise.h"
#include "physics/information/information.h"
#include "physics/information/required_snr.h"
#include "physics/ofdm/doppler.h"
#include "physics/ofdm/meeting.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/grid.h"
#include "system/atsc3.h"
#include "system/atsc3_plps.h"
#include "system/atsc3_signalling.h"
#include "system/simulation.h"

/* What physics is asked for in place of an SNR that no signal has, as where a layer is too strong
 * for its core; the margin is then told apart. */
#define OUT_OF_REACH_DB 70.0
#define NOTABLE_DB 0.05 /* smaller losses are not worth a sentence */

static enum status build(const struct scenario *scenario, struct frame *frame, struct fault *fault)
{
    enum status status = transmission_check(&scenario->transmission, fault);
    return status == STATUS_OK ? frame_build(&scenario->transmission, frame, fault) : status;
}

/* `pipe` -1: the most robust one. */
static enum status receive_pipe(const struct scenario *scenario, int pipe,
                                struct reception *reception, struct fault *fault)
{
    struct frame frame;
    enum status status = build(scenario, &frame, fault);
    if (status != STATUS_OK) {
        return status;
    }
    struct atsc3_plp plp;
    pipe = pipe >= 0 ? pipe : atsc3_most_robust(&scenario->transmission, &frame);
    atsc3_plp_make(&scenario->transmission, &frame, pipe, &plp);
    *reception = (struct reception){
        .system = &system_atsc3,
        .ideal_db = plp.ideal_db,
        .needed_db = plp.needed_db,
        .needed_input_db = plp.needed_db,
        .ofdm = {.grid = plp.grid,
                 .curve = plp.curve,
                 .ideal_db = fmin(plp.ideal_db, OUT_OF_REACH_DB),
                 .needed_db = fmin(plp.needed_db, OUT_OF_REACH_DB),
                 .span_ms = plp.span_ms,
                 .part = plp.part},
    };
    return STATUS_OK;
}

static enum status receive(const struct scenario *scenario, struct reception *reception,
                           struct fault *fault)
{
    return receive_pipe(scenario, -1, reception, fault);
}

void atsc3_describe_code(const struct code *code, struct facts *facts)
{
    struct ideal_snr ideal =
        ideal_snr(code->length, code->constellation, code->rate_15ths, FADING_AWGN);
    facts->length = code_length_bits(code->length);
    facts->rate = code_rate_name(code->rate_15ths);
    facts->constellation = constellation_name(code->constellation);
    facts->limit_snr_db = limit_snr_db(code->constellation, code->rate_15ths, FADING_AWGN);
    facts->ideal_snr_db = ideal.db;
    facts->ideal_source = ideal_source_words(ideal.source);
    facts->ideal_rayleigh_snr_db =
        ideal_snr_db(code->length, code->constellation, code->rate_15ths, FADING_RAYLEIGH);
}

static void describe_needs(const struct scenario *scenario, const struct atsc3_plp *plp,
                           struct facts *facts)
{
    facts->limit_snr_db = plp->limit_db;
    facts->ideal_snr_db = plp->ideal_db;
    facts->ideal_rayleigh_snr_db = plp->ideal_rayleigh_db;
    facts->required_snr_db = plp->needed_db;
    facts->field_dbuvm = planning_field_dbuvm(facts->required_snr_db, scenario->site.center_mhz);
    if (!isfinite(facts->required_snr_db)) {
        facts->doppler_ici_hz = facts->doppler_hz = facts->speed_kmh = 0.0;
        return;
    }
    struct doppler_need need =
        gain_rayleigh_need_of(&plp->curve, facts->ideal_snr_db, facts->required_snr_db);
    struct doppler_limits limits;
    doppler_limits_make(&plp->grid, &limits);
    facts->doppler_ici_hz = doppler_interference_limit_hz(plp->grid.useful_us, &need);
    facts->doppler_hz = doppler_limit_hz(&limits, &need);
    facts->speed_kmh = kmh_from_doppler(facts->doppler_hz, scenario->site.center_mhz * 1e6);
}

/* `pipe` -1: the most robust one, with the rates of all together. */
static enum status describe_pipe(const struct scenario *scenario, int pipe, struct facts *facts,
                                 struct fault *fault)
{
    const struct transmission *transmission = &scenario->transmission;
    struct frame frame;
    enum status status = build(scenario, &frame, fault);
    if (status != STATUS_OK) {
        return status;
    }
    int shown = pipe >= 0 ? pipe : atsc3_most_robust(transmission, &frame);
    struct atsc3_plp plp;
    atsc3_plp_make(transmission, &frame, shown, &plp);
    atsc3_describe_plp(transmission, &frame, shown, facts);
    atsc3_describe_code(&transmission->plps[shown].code, facts);
    describe_needs(scenario, &plp, facts);
    for (int i = 0; pipe < 0 && i < transmission_plps(transmission); i++) {
        if (i != shown) {
            struct carried carried = plp_carried(transmission, &frame, i);
            facts->plp_mbps += carried.plp_mbps;
            facts->net_mbps += carried.net_mbps;
        }
    }
    return STATUS_OK;
}

static enum status describe(const struct scenario *scenario, struct facts *facts,
                            struct fault *fault)
{
    return describe_pipe(scenario, -1, facts, fault);
}

static double exact_pipe_db(const struct scenario *scenario, int pipe)
{
    const struct transmission *transmission = &scenario->transmission;
    return transmission->bonding == BONDING_NONE ? atsc3_exact_db(transmission, pipe) : NAN;
}

static int pipes(const struct scenario *scenario)
{
    return transmission_plps(&scenario->transmission);
}

/* A fade that takes the part e of a code block's cells is survived while (1 - e) I(SNR) is still
 * what the code needs; the interleaver gives each block cells of its whole span. */
static double fade_ms(const struct ofdm_reception *reception, double left_db)
{
    double has = information_curve_bits(&reception->curve, left_db);
    double needs = information_curve_bits(&reception->curve, reception->needed_db);
    return has > needs ? reception->span_ms * (1.0 - needs / has) : 0.0;
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

static enum status open_work(const struct reception *reception, const struct channel *channel,
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

static void close_work(struct fare_work *work)
{
    if (work != NULL) {
        ofdm_work_free(work->ofdm);
        free(work);
    }
}

static enum status fare_in(const struct reception *reception, const struct channel *channel,
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

static enum status margin(const struct reception *reception, const struct channel *channel,
                          double snr_db, struct fare_work *work, double *margin_db)
{
    struct ofdm_reception quick = reception->ofdm;
    quick.carriers_most = OFDM_QUICK_CARRIERS;
    enum status status = ofdm_echo_margin_db(&quick, channel, snr_db, work->ofdm, margin_db);
    if (!isfinite(reception->needed_db)) {
        *margin_db = -INFINITY;
    }
    return status;
}

static enum status required(const struct reception *reception, const struct channel *channel,
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
    if (channel->count == 1) {
        text_append(out, "Without echoes all carriers are alike.");
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
    if (!isnan(facts->meeting_db)) {
        text_printf(out,
                    " Where the transmitters meet, 1 %% of the places receive less than %.1f dB of "
                    "the mean power",
                    facts->meeting_db);
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

static void words(const struct reception *reception, const struct channel *channel,
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

static const char *const figures[] = {"system",
                                      "snr_db",
                                      "snr_source",
                                      "fft",
                                      "guard",
                                      "pilots",
                                      "boost",
                                      "reduction",
                                      "length",
                                      "rate",
                                      "constellation",
                                      "useful_us",
                                      "guard_us",
                                      "symbol_us",
                                      "spacing_hz",
                                      "carriers",
                                      "occupied_mhz",
                                      "data_cells",
                                      "boundary_cells",
                                      "preamble_symbols",
                                      "data_symbols",
                                      "cells_per_frame",
                                      "frame_ms",
                                      "plp_mbps",
                                      "net_mbps",
                                      "echo_us",
                                      "echo_km",
                                      "reach_us",
                                      "doppler_pilot_hz",
                                      "doppler_ici_hz",
                                      "doppler_hz",
                                      "speed_kmh",
                                      "limit_snr_db",
                                      "ideal_snr_db",
                                      "ideal_rayleigh_snr_db",
                                      "receiver_snr_db",
                                      "field_dbuvm",
                                      "margin_noise_db",
                                      "margin_db",
                                      "margin_90_db",
                                      "margin_99_db",
                                      "works",
                                      "positions_share",
                                      "interleaver_ms",
                                      "ideal_source",
                                      NULL};

static const char *const fare_figures[] = {"effective_snr_db",
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

static const char *const plp_figures[] = {"name",
                                          "subframe",
                                          "layer",
                                          "share",
                                          "injection_db",
                                          "cells",
                                          "constellation",
                                          "rate",
                                          "length",
                                          "net_mbps",
                                          "limit_snr_db",
                                          "ideal_snr_db",
                                          "ideal_exact_snr_db",
                                          "receiver_snr_db",
                                          "interleaver_ms",
                                          "margin_noise_db",
                                          "margin_db",
                                          "works",
                                          "positions_share",
                                          "latency_ms",
                                          "start_up_ms",
                                          "fade_ms",
                                          "interleaver",
                                          "memory_cells",
                                          "memory_most_cells",
                                          NULL};

static void motion_losses(const struct reception *reception, int count, const double *doppler_hz,
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

static double ideal_margin_db(const struct reception *reception, const struct fare *fare)
{
    return fare->left_db - reception->ideal_db;
}

static int reaches(const struct reception *reception, const struct fare *fare,
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

static double ray_share(const struct reception *reception, const struct fare *fare,
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

static int spectrum(const struct reception *reception, const struct channel *channel,
                    const struct fare *fare, int most, double *mhz, double *snr_db)
{
    (void)channel; /* as the window sees it */
    const struct ofdm_grid *grid = &reception->ofdm.grid;
    int step = (grid->carriers + most - 1) / most;
    int count = ofdm_echo_carriers(grid, &fare->ofdm, 0.0, step, snr_db, most);
    for (int i = 0; i < count; i++) {
        mhz[i] = (i * step - (grid->carriers - 1) / 2) * grid->spacing_hz * 1e-6;
    }
    return count;
}

const struct system system_atsc3 = {
    .name = "OFDM",
    .title = "OFDM (ATSC A/322)",
    .receive = receive,
    .describe = describe,
    .pipes = pipes,
    .notes = atsc3_signalling_words,
    .receive_pipe = receive_pipe,
    .describe_pipe = describe_pipe,
    .exact_pipe_db = exact_pipe_db,
    .open = open_work,
    .close = close_work,
    .fare = fare_in,
    .margin = margin,
    .required = required,
    .words = words,
    .ideal_margin_db = ideal_margin_db,
    .simulation = &simulation_atsc3,
    .reaches = reaches,
    .ray_share = ray_share,
    .motion_losses = motion_losses,
    .spectrum = spectrum,
    .assumes = "net rate after outer code and baseband packet headers, of all PLPs together. "
               "Required SNR: what a receiver needs in white noise (model of ATSC A/327 Annex B). "
               "It bears without loss the echoes that fit, ahead and behind together, into the "
               "guard interval; unequal carriers count by mean mutual information. Doppler: the "
               "smaller of the pilots' limit and of the interference that doubles the C/N a "
               "receiver needs.",
    .figures = figures,
    .fare_figures = fare_figures,
    .plp_figures = plp_figures,
};
