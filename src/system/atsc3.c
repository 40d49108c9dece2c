/* OFDM of ATSC A/322, the second generation of the ATSC pair, its physics in physics/ofdm. */
#include <math.h>
#include <stdlib.h>

#include "physics/information/information.h"
#include "physics/information/required_snr.h"
#include "physics/ofdm/doppler.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/grid.h"
#include "system/simulation.h"

#define NOTABLE_DB 0.05 /* smaller losses are not worth a sentence */

static enum status receive(const struct scenario *scenario, struct reception *reception,
                           struct fault *fault)
{
    const struct transmission *transmission = &scenario->transmission;
    struct frame frame;
    enum status status = transmission_check(transmission, fault);
    if (status == STATUS_OK) {
        status = frame_build(transmission, &frame, fault);
    }
    if (status != STATUS_OK) {
        return status;
    }
    const struct subframe *subframe = &transmission->subframes[0];
    const struct plp *plp = &subframe->plps[0];
    struct ofdm_reception ofdm = {
        .grid = waveform_grid(&subframe->waveform),
        .curve = information_curve_of(plp->code.constellation, plp->code.rate_15ths),
        .ideal_db = ideal_snr_db(plp->code.length, plp->code.constellation, plp->code.rate_15ths,
                                 FADING_AWGN),
        .span_ms = interleaver_span_ms(plp->interleaver, frame.cell_rate_hz),
    };
    ofdm.needed_db = receiver_snr_from_ideal_db(
        &ofdm.grid, receiver_backstop_db(plp->code.constellation), ofdm.ideal_db);
    *reception = (struct reception){
        .system = &system_atsc3,
        .ideal_db = ofdm.ideal_db,
        .needed_db = ofdm.needed_db,
        .needed_input_db = ofdm.needed_db,
        .ofdm = ofdm,
    };
    return STATUS_OK;
}

static enum status describe(const struct scenario *scenario, struct description *description,
                            struct fault *fault)
{
    struct reception reception;
    struct frame frame;
    enum status status = receive(scenario, &reception, fault);
    if (status == STATUS_OK) {
        status = frame_build(&scenario->transmission, &frame, fault);
    }
    if (status == STATUS_OK) {
        const struct ofdm_grid *grid = &reception.ofdm.grid;
        const struct code *code = &scenario->transmission.subframes[0].plps[0].code;
        description->net_mbps = code_carried(code, frame.cell_rate_hz).net_mbps;
        description->doppler_hz =
            fmin(doppler_pilot_limit_hz(grid),
                 doppler_interference_limit_hz(grid->useful_us, reception.needed_db));
    }
    return status;
}

static enum status fare_in(const struct reception *reception, const struct channel *channel,
                           double snr_db, struct fare *fare)
{
    *fare = (struct fare){.snr_db = snr_db, .left_db = NAN, .margin_db = NAN};
    struct ofdm_echo_result *ofdm = &fare->ofdm;
    enum status status = ofdm_echo_solve(&reception->ofdm, channel, snr_db, ofdm);
    if (status == STATUS_OK) {
        const struct loss losses[] = {
            {LOSS_ECHOES, "Unequal carriers", ofdm->fading_loss_db},
            {LOSS_SELF_INTERFERENCE, "Self-interference", ofdm->self_loss_db},
            {LOSS_MOTION, "Interference by motion", ofdm->motion_loss_db},
        };
        fare->loss_count = (int)(sizeof losses / sizeof losses[0]);
        for (int i = 0; i < fare->loss_count; i++) {
            fare->losses[i] = losses[i];
        }
        fare->left_db = ofdm->effective_snr_db;
        fare->margin_db = ofdm->margin_db;
    }
    return status;
}

static enum status required(const struct reception *reception, const struct channel *channel,
                            double *snr_db)
{
    struct ofdm_echo_result *result = malloc(sizeof *result);
    *snr_db = NAN;
    enum status status =
        result != NULL ? ofdm_echo_solve(&reception->ofdm, channel, reception->needed_db, result)
                       : STATUS_NO_MEMORY;
    if (status == STATUS_OK) {
        *snr_db = result->required_cn_db;
    }
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
    if (!ofdm->window.time_interpolation) {
        text_append(out, " The receiver does best to estimate the channel anew in each symbol.");
    }
}

static void words(const struct reception *reception, const struct channel *channel,
                  const struct fare *fare, struct text *out)
{
    const struct ofdm_echo_result *ofdm = &fare->ofdm;
    guard_words(reception, channel, ofdm, out);
    if (ofdm->fading_loss_db >= NOTABLE_DB) {
        text_printf(out, " Unequal carriers cost %.1f dB.", ofdm->fading_loss_db);
    }
    if (ofdm->self_loss_db >= NOTABLE_DB) {
        text_printf(out, " Self-interference costs %.1f dB.", ofdm->self_loss_db);
    }
    if (ofdm->motion_loss_db >= NOTABLE_DB) {
        text_printf(out, " Motion within a symbol costs %.1f dB.", ofdm->motion_loss_db);
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
    int count = ofdm_echo_carriers(grid, &fare->ofdm, step, snr_db, most);
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
    .fare = fare_in,
    .required = required,
    .words = words,
    .ideal_margin_db = ideal_margin_db,
    .simulation = &simulation_atsc3,
    .reaches = reaches,
    .ray_share = ray_share,
    .spectrum = spectrum,
};
