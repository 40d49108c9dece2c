/* OFDM of ATSC A/322, the second generation of the ATSC pair, its physics in physics/ofdm. */
#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/air/noise.h"
#include "physics/information/information.h"
#include "physics/information/required_snr.h"
#include "physics/ofdm/doppler.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/grid.h"
#include "system/atsc3.h"
#include "system/atsc3_plps.h"
#include "system/atsc3_signalling.h"
#include "system/ofdm.h"
#include "system/simulation.h"
#include "system/space/space.h"

static enum status build(const struct scenario *scenario, struct frame *frame, struct fault *fault)
{
    enum status status = transmission_check(&scenario->transmission, fault);
    return status == STATUS_OK ? frame_build(&scenario->transmission, frame, fault) : status;
}

static enum status receive(const struct scenario *scenario, int pipe, struct reception *reception,
                           struct fault *fault)
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

/* Of the first subframe and PLP, which [mode] is where it counts. */
static void choices(const struct scenario *scenario, struct facts *facts)
{
    const struct waveform *waveform = &scenario->transmission.subframes[0].waveform;
    const struct code *code = &scenario->transmission.plps[0].code;
    facts->fft = fft_name(waveform->fft);
    facts->guard = guard_name(waveform->guard);
    facts->pilots = pilots_name(waveform->pilots);
    facts->boost = waveform->boost;
    facts->reduction = waveform->reduction;
    facts->length = code_length_bits(code->length);
    facts->rate = code_rate_name(code->rate_15ths);
    facts->constellation = constellation_name(code->constellation);
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
    ofdm_describe_motion(&plp->grid, &plp->curve, facts->ideal_snr_db, &scenario->site, facts);
}

static enum status describe(const struct scenario *scenario, int pipe, struct facts *facts,
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

static double exact_pipe_db(const struct scenario *scenario, int pipe)
{
    const struct transmission *transmission = &scenario->transmission;
    return transmission->bonding == BONDING_NONE ? atsc3_exact_db(transmission, pipe) : NAN;
}

static int pipes(const struct scenario *scenario)
{
    return transmission_plps(&scenario->transmission);
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
                                      OFDM_TIMES_AND_CARRIERS,
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
                                      OFDM_BEARS_AND_NEEDS,
                                      "interleaver_ms",
                                      "ideal_source",
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

const struct system system_atsc3 = {
    .name = "OFDM",
    .title = "OFDM (ATSC A/322)",
    .glyph = 'O',
    .section = "mode",
    .choices = choices,
    .needs_by = "the receiver model of ATSC A/327 Annex B",
    .receive = receive,
    .describe = describe,
    .pipes = pipes,
    .notes = atsc3_signalling_words,
    .exact_pipe_db = exact_pipe_db,
    OFDM_ROW,
    .simulation = &simulation_atsc3,
    .space = &space_atsc3,
    .assumes = "net rate after outer code and baseband packet headers, of all PLPs together. "
               "Required SNR: what a receiver needs in white noise (model of ATSC A/327 Annex B). "
               "It bears without loss the echoes that fit, ahead and behind together, into the "
               "guard interval; unequal carriers count by mean mutual information. Doppler: "
               "what costs 3 dB where rays come from all sides, channel estimation included, or "
               "the pilots' limit if smaller.",
    .figures = figures,
    .plp_figures = plp_figures,
};
