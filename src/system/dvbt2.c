/* DVB-T2, ETSI EN 302 755, the second generation of the DVB pair, its physics in physics/ofdm. */
#include <math.h>

#include "physics/information/dvbt2_snr.h"
#include "system/dvbt2.h"
#include "system/ofdm.h"
#include "system/simulation.h"
#include "system/space/space.h"

/* The PLP that needs least; of equals the first. */
static int most_robust(const struct dvbt2 *mode)
{
    int best = 0;
    for (int i = 1; i < t2_plps(mode); i++) {
        if (t2_ideal_snr(&mode->plps[i].code, FADING_AWGN).db <
            t2_ideal_snr(&mode->plps[best].code, FADING_AWGN).db) {
            best = i;
        }
    }
    return best;
}

static enum status receive(const struct scenario *scenario, int pipe, struct reception *reception,
                           struct fault *fault)
{
    const struct dvbt2 *mode = &scenario->dvbt2;
    struct t2_frame frame;
    enum status status = t2_frame_build(mode, scenario->site.bandwidth_mhz, &frame, fault);
    if (status != STATUS_OK) {
        return status;
    }
    pipe = pipe >= 0 ? pipe : most_robust(mode);
    const struct t2_code *code = &mode->plps[pipe].code;
    struct ofdm_grid grid = t2_grid(&mode->waveform, scenario->site.bandwidth_mhz);
    double ideal_db = t2_ideal_snr(code, FADING_AWGN).db;
    double needed_db = receiver_planning_snr_db(&grid, ideal_db);
    *reception = (struct reception){
        .system = &system_dvbt2,
        .ideal_db = ideal_db,
        .needed_db = needed_db,
        .needed_input_db = needed_db,
        .ofdm = {.grid = grid,
                 .curve = t2_curve(code),
                 .ideal_db = ideal_db,
                 .needed_db = needed_db,
                 .span_ms = frame.slots[pipe].interleaver_ms,
                 .part = {0.0, 1.0}},
    };
    return STATUS_OK;
}

static void choices(const struct scenario *scenario, struct facts *facts)
{
    const struct dvbt2 *mode = &scenario->dvbt2;
    facts->fft = t2_fft_name(mode->waveform.fft);
    facts->guard = t2_guard_name(mode->waveform.guard);
    facts->pilots = t2_pilots_name(mode->waveform.pilots);
    facts->length = t2_length_bits(mode->code.length);
    facts->rate = t2_rate_name(mode->code.rate);
    facts->constellation = t2_constellation_name(mode->code.constellation);
    facts->extended = mode->waveform.extended;
    facts->rotation = mode->code.rotation;
    facts->high_efficiency = mode->high_efficiency;
}

static int pipes(const struct scenario *scenario)
{
    return t2_plps(&scenario->dvbt2);
}

void dvbt2_describe_frame(const struct dvbt2 *mode, const struct t2_frame *frame,
                          const struct ofdm_grid *grid, struct facts *facts)
{
    *facts = facts_none();
    ofdm_describe_grid(grid, facts);
    text_format(facts->plp, sizeof facts->plp, "PLP 0");
    facts->fft = t2_fft_name(mode->waveform.fft);
    facts->extended = mode->waveform.extended;
    facts->guard = t2_guard_name(mode->waveform.guard);
    facts->pilots = t2_pilots_name(mode->waveform.pilots);
    facts->high_efficiency = mode->high_efficiency;
    facts->data_cells = t2_data_cells(&mode->waveform);
    facts->boundary_cells =
        t2_has_closing(&mode->waveform) ? t2_closing_cells(&mode->waveform) : NAN;
    facts->preamble_symbols = frame->p2_symbols;
    facts->data_symbols = frame->data_symbols;
    facts->cells_per_frame = (double)frame->cells;
    facts->frame_ms = frame->duration_ms;
}

void dvbt2_describe_code(const struct t2_code *code, struct facts *facts)
{
    struct ideal_snr ideal = t2_ideal_snr(code, FADING_AWGN);
    facts->length = t2_length_bits(code->length);
    facts->rate = t2_rate_name(code->rate);
    facts->constellation = t2_constellation_name(code->constellation);
    facts->rotation = code->rotation;
    facts->limit_snr_db = t2_limit_db(code, FADING_AWGN);
    facts->ideal_snr_db = ideal.db;
    facts->ideal_source = ideal_source_words(ideal.source);
    facts->ideal_rayleigh_snr_db = t2_ideal_snr(code, FADING_RAYLEIGH).db;
}

void dvbt2_describe_slot(const struct t2_plp *plp, const struct t2_frame *frame,
                         const struct t2_slot *slot, struct facts *facts)
{
    text_format(facts->plp, sizeof facts->plp, "%s", plp->name[0] ? plp->name : "PLP 0");
    facts->plp_cells = (double)(slot->blocks * t2_block_cells(&plp->code));
    facts->plp_share = facts->plp_cells / (double)frame->cells;
    facts->pool_cells = (double)frame->cells;
    facts->pool_ms = frame->duration_ms;
    facts->plp_mbps = slot->plp_mbps;
    facts->net_mbps = slot->net_mbps;
    facts->interleaver_ms = slot->interleaver_ms;
    facts->latency_ms = slot->latency_ms;
    facts->start_up_ms = slot->start_up_ms;
    facts->memory_cells = (double)slot->memory_cells;
    facts->memory_most_cells = (double)T2_MEMORY_CELLS;
}

static enum status describe(const struct scenario *scenario, int pipe, struct facts *facts,
                            struct fault *fault)
{
    const struct dvbt2 *mode = &scenario->dvbt2;
    struct t2_frame frame;
    enum status status = t2_frame_build(mode, scenario->site.bandwidth_mhz, &frame, fault);
    if (status != STATUS_OK) {
        return status;
    }
    int shown = pipe >= 0 ? pipe : most_robust(mode);
    const struct t2_code *code = &mode->plps[shown].code;
    struct ofdm_grid grid = t2_grid(&mode->waveform, scenario->site.bandwidth_mhz);
    struct information_curve curve = t2_curve(code);
    dvbt2_describe_frame(mode, &frame, &grid, facts);
    dvbt2_describe_code(code, facts);
    dvbt2_describe_slot(&mode->plps[shown], &frame, &frame.slots[shown], facts);
    for (int i = 0; pipe < 0 && i < t2_plps(mode); i++) {
        if (i != shown) {
            facts->plp_mbps += frame.slots[i].plp_mbps;
            facts->net_mbps += frame.slots[i].net_mbps;
        }
    }
    facts->required_snr_db = receiver_planning_snr_db(&grid, facts->ideal_snr_db);
    ofdm_describe_motion(&grid, &curve, facts->ideal_snr_db, &scenario->site, facts);
    return STATUS_OK;
}

static void notes(const struct scenario *scenario, struct text *out)
{
    struct t2_frame frame;
    if (t2_frame_build(&scenario->dvbt2, scenario->site.bandwidth_mhz, &frame, NULL) == STATUS_OK) {
        long blocks = 0;
        int pieces = 0;
        for (int i = 0; i < t2_plps(&scenario->dvbt2); i++) {
            blocks += frame.slots[i].blocks;
            pieces += frame.slots[i].interleaving_blocks;
        }
        text_printf(out,
                    "A frame of %d symbols carries %ld code blocks in %d time interleaver block%s.",
                    frame.symbols, blocks, pieces, pieces == 1 ? "" : "s");
    }
    if (scenario->dvbt2.code.rotation) {
        text_append(out, " Rotation changes nothing in white noise; where carriers fade, the two "
                         "axes of a cell fade apart, and count so.");
    }
}

static const char *const figures[] = {"system",
                                      "snr_db",
                                      "snr_source",
                                      "fft",
                                      "guard",
                                      "pilots",
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
                                      "extended",
                                      "rotation",
                                      "high_efficiency",
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
                                          "receiver_snr_db",
                                          "interleaver_ms",
                                          "latency_ms",
                                          "start_up_ms",
                                          "memory_cells",
                                          "memory_most_cells",
                                          "margin_noise_db",
                                          "margin_db",
                                          "works",
                                          "positions_share",
                                          "rotation",
                                          "fade_ms",
                                          NULL};

const struct system system_dvbt2 = {
    .name = "DVB-T2",
    .title = "DVB-T2 (ETSI EN 302 755)",
    .glyph = '2',
    .section = "dvbt2",
    .choices = choices,
    .needs_by =
        "the planning model of the pair (ideal decoding, the pilots' power, 1.15 dB for a real "
        "receiver and a noise floor at -33 dB)",
    .harmless_inner = 1e-7,
    .harmless_after = 1e-7, /* of the LDPC code; the BCH code does the rest: TS 102 831 */
    .receive = receive,
    .describe = describe,
    .pipes = pipes,
    .notes = notes,
    OFDM_ROW,
    .simulation = &simulation_dvbt2,
    .space = &space_dvbt2,
    .assumes = "net rate after BCH code and baseband frame headers, of all PLPs together, "
               "on one frequency. "
               "Required SNR: what a receiver needs in white noise (planning model of the pair). "
               "It bears without loss the echoes that fit, ahead and behind together, into the "
               "guard interval; unequal carriers count by mean mutual information.",
    .figures = figures,
    .plp_figures = plp_figures,
};
