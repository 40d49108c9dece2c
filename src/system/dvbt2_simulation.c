/* DVB-T2 simulated: the standard's own codes, interleavers and constellations, cells over carriers
 * that each have an SNR of their own. */
#include <math.h>
#include <stdlib.h>

#include "physics/information/dvbt2_snr.h"
#include "physics/information/thresholds.h"
#include "simulation/chain/chain_run.h"
#include "standard/dvbt2/interleavers.h"
#include "system/ofdm_simulation.h"

static void describe(const struct scenario *scenario, const struct simulation_choice *choice,
                     struct text *out)
{
    const struct t2_code *code = &scenario->dvbt2.plps[choice->pipe].code;
    text_printf(out, " %s %s%s %s BCH", t2_length_name(code->length),
                code->rotation ? "rotated " : "", t2_constellation_name(code->constellation),
                t2_rate_name(code->rate));
    ldpc_describe(choice, out);
}

static void describe_channel(const struct scenario *scenario,
                             const struct simulation_choice *choice, struct text *out)
{
    (void)choice;
    const struct t2_waveform *waveform = &scenario->dvbt2.waveform;
    text_printf(out, ", %s%s %s %s", t2_fft_name(waveform->fft),
                waveform->extended ? " extended" : "", t2_guard_name(waveform->guard),
                t2_pilots_name(waveform->pilots));
}

static int enters(const struct reception *reception, const struct scenario *scenario,
                  const struct simulation_choice *choice, double numbers[8])
{
    (void)choice;
    numbers[0] = scenario->site.bandwidth_mhz;
    numbers[1] = reception->ofdm.span_ms;
    return 2;
}

static double expected_db(const struct scenario *scenario, const struct simulation_choice *choice)
{
    return t2_ideal_snr(&scenario->dvbt2.plps[choice->pipe].code, ofdm_fading(choice->channel)).db;
}

/* Gains by carrier, at one or several instants of the interleaver's span, as the cells of a PLP's
 * code blocks of a frame meet them one after the other. The owner frees `by_cell`. */
static enum status order_gains(const struct simulation_case *asked, const float *gains, int count,
                               float **by_cell, int *cell_count)
{
    const struct dvbt2 *mode = &asked->scenario->dvbt2;
    const struct t2_code *code = &mode->plps[asked->choice.pipe].code;
    const struct ofdm_reception *ofdm = &asked->reception->ofdm;
    int cells = t2_block_cells(code), instants = count / ofdm->grid.carriers;
    long first = 0; /* of the PLP's cells: one lies behind the other */
    struct t2_frame frame;
    enum status status = t2_frame_build(mode, asked->scenario->site.bandwidth_mhz, &frame, NULL);
    if (status != STATUS_OK) {
        return status;
    }
    const struct t2_slot *slot = &frame.slots[asked->choice.pipe];
    for (int i = 0; i < asked->choice.pipe; i++) {
        first += frame.slots[i].cells;
    }
    struct t2_place *places = malloc(sizeof *places * (size_t)frame.cells);
    long *at = malloc(sizeof *at * (size_t)cells);
    *cell_count = (int)(slot->blocks * cells);
    *by_cell = malloc(sizeof **by_cell * (size_t)*cell_count);
    if (places && at && *by_cell) {
        t2_frame_places(&mode->waveform, &frame, places);
    } else {
        status = STATUS_NO_MEMORY;
    }
    for (long block = 0; block < slot->blocks && status == STATUS_OK; block++) {
        t2_block_places(code, slot, block, at);
        for (int q = 0; q < cells; q++) {
            const struct t2_place *place = &places[first + at[q]];
            double spans = place->symbol * ofdm->grid.symbol_us / 1e3 / ofdm->span_ms;
            int instant = (int)((spans - floor(spans)) * instants);
            (*by_cell)[block * cells + q] = gains[instant * ofdm->grid.carriers + place->carrier];
        }
    }
    free(places);
    free(at);
    return status;
}

static enum status run(const struct simulation_case *asked, double snr_db,
                       const struct run_limits *limits, struct run_watch *watch,
                       struct run_counts *counts)
{
    struct coding coding = coding_of_t2(&asked->scenario->dvbt2.plps[asked->choice.pipe].code);
    struct chain_setup setup = ldpc_setup(&asked->choice);
    float *gains = NULL, *by_cell = NULL;
    enum status status = STATUS_OK;
    setup.coding = &coding;
    if (setup.channel == CHANNEL_CARRIERS) {
        int count;
        status = ofdm_carrier_gains(asked, snr_db, &gains, &count);
        if (status == STATUS_OK) {
            status = order_gains(asked, gains, count, &by_cell, &setup.carriers);
        }
        setup.gain_power = by_cell;
        setup.in_order = true;
    }
    if (status == STATUS_OK) {
        status = ldpc_run(&setup, snr_db, limits, watch, counts);
    }
    free(by_cell);
    free(gains);
    return status;
}

static struct simulation_spacing spacing(const struct scenario *scenario,
                                         const struct simulation_choice *choice)
{
    return ldpc_spacing(choice->channel,
                        scenario->dvbt2.plps[choice->pipe].code.length == T2_64800);
}

static int marks(const struct scenario *scenario, const struct simulation_choice *choice,
                 struct simulation_mark marks[SIMULATION_MARKS_MAX])
{
    const struct t2_code *code = &scenario->dvbt2.plps[choice->pipe].code;
    enum fading fading = ofdm_fading(choice->channel);
    return ofdm_marks(t2_limit_db(code, fading), expected_db(scenario, choice),
                      t2_published_snr(code, fading), marks);
}

static const char rays[] =
    LDPC_RAYS " Cells take the carriers as the standard's interleavers put them.";

static void notes(const struct scenario *scenario, bool with_rays, struct text *out)
{
    (void)scenario;
    text_append(out,
                "FER, BER: rates of wrong frames and of wrong payload bits. Iter.: the "
                "decoder's iterations, mean.\n"
                "SNR: signal power over noise power in a data cell. The receiver knows the "
                "channel exactly; a single pass of the demapper. A frame is a code word, wrong "
                "after the BCH code (counted). The two axes of a rotated cell meet fades of "
                "their own.\n");
    if (with_rays) {
        text_printf(out, "%s\n", rays);
    }
}

const struct system_simulation simulation_dvbt2 = {
    LDPC_SIMULATION,
    .rays = rays,
    .notes = notes,
    .spacing = spacing,
    .marks = marks,
    .describe = describe,
    .describe_channel = describe_channel,
    .enters = enters,
    .expected_db = expected_db,
    .run = run,
};
