/* PLPs of A/322 as receivers see them. A layer's code is held against the SNR of the whole signal:
 * the core counts the layer above it as noise, and the layer above never works where its core does
 * not, as that has to be taken away first. */
#include "system/atsc3_plps.h"

#include <math.h>

#include "base/units.h"
#include "physics/information/information.h"
#include "physics/information/layers.h"
#include "physics/information/required_snr.h"
#include "physics/information/superposed.h"
#include "system/ofdm.h"

int atsc3_layer_above(const struct transmission *transmission, int core)
{
    int above = -1;
    for (int i = 0; i < transmission_plps(transmission); i++) {
        if (i != core && plp_core(transmission, i) == core &&
            (above < 0 ||
             transmission->plps[i].injection_db < transmission->plps[above].injection_db)) {
            above = i;
        }
    }
    return above;
}

/* What fading asks of a layer is read off the same curve that white noise is. */
static double rayleigh_db(const struct information_curve *alone,
                          const struct information_curve *layered, double alone_db)
{
    return information_curve_rayleigh_snr_db(layered, information_curve_rayleigh(alone, alone_db));
}

static void make_alone(const struct code *code, struct atsc3_plp *made)
{
    made->curve = information_curve_of(code->constellation, code->rate_15ths);
    made->limit_db = limit_snr_db(code->constellation, code->rate_15ths, FADING_AWGN);
    made->ideal_db = ideal_snr_db(code->length, code->constellation, code->rate_15ths, FADING_AWGN);
    made->ideal_rayleigh_db =
        ideal_snr_db(code->length, code->constellation, code->rate_15ths, FADING_RAYLEIGH);
}

static void make_core(double injection_db, struct atsc3_plp *made)
{
    struct information_curve alone = made->curve;
    made->curve = layered_core_curve(alone, injection_db);
    made->limit_db = layered_core_snr_db(made->limit_db, injection_db);
    made->ideal_db = layered_core_snr_db(made->ideal_db, injection_db);
    made->ideal_rayleigh_db = rayleigh_db(&alone, &made->curve, made->ideal_rayleigh_db);
}

static void make_enhanced(const struct atsc3_plp *core, double injection_db, struct atsc3_plp *made)
{
    made->curve = layered_enhanced_curve(made->curve, injection_db);
    made->limit_db = layered_enhanced_snr_db(made->limit_db, injection_db);
    made->ideal_db = fmax(layered_enhanced_snr_db(made->ideal_db, injection_db), core->ideal_db);
    made->ideal_rayleigh_db = fmax(layered_enhanced_snr_db(made->ideal_rayleigh_db, injection_db),
                                   core->ideal_rayleigh_db);
}

/* The core finds the bits that its code needs alone, in what it sees of both layers' points. */
static double exact_core_db(const struct transmission *transmission, int core, int above)
{
    const struct code *code = &transmission->plps[core].code;
    const struct plp *upper = &transmission->plps[above];
    struct atsc3_plp alone;
    make_alone(code, &alone);
    struct superposed layers = {code->constellation, upper->code.constellation, code->rate_15ths,
                                upper->code.rate_15ths, upper->injection_db};
    return superposed_core_snr_db(&layers, information_curve_bits(&alone.curve, alone.ideal_db),
                                  alone.ideal_db);
}

double atsc3_exact_db(const struct transmission *transmission, int plp)
{
    int core = plp_core(transmission, plp), above = atsc3_layer_above(transmission, core);
    struct atsc3_plp alone;
    make_alone(&transmission->plps[plp].code, &alone);
    if (above < 0) {
        return alone.ideal_db;
    }
    double core_db = exact_core_db(transmission, core, above);
    return plp == core ? core_db
                       : fmax(core_db, layered_enhanced_snr_db(
                                           alone.ideal_db, transmission->plps[plp].injection_db));
}

/* What is needed on this channel beside what the bonded one has. Plain: each decodes its own
 * packets, so the other must have what this needs. Averaged: each code block has half of its cells
 * from either, and the mean of both informations decides: I(here) = 2 I(needed) - I(there). */
#define LEAST_DB (-20.0) /* that is asked here, however good the other is */

static void bond(const struct transmission *transmission, const struct plp *chosen,
                 struct atsc3_plp *made)
{
    double there_db = chosen->bonded_snr_db, lost_db = made->needed_db - made->ideal_db;
    if (transmission->bonding == BONDING_NONE || isnan(there_db) || !isfinite(made->needed_db)) {
        return;
    }
    if (transmission->bonding == BONDING_PLAIN) {
        bool works = there_db >= made->needed_db;
        made->ideal_db = works ? made->ideal_db : INFINITY;
        made->needed_db = works ? made->needed_db : INFINITY;
        return;
    }
    double bits = 2.0 * information_curve_bits(&made->curve, made->ideal_db) -
                  information_curve_bits(&made->curve, there_db - lost_db);
    made->ideal_db = fmax(information_curve_snr_db(&made->curve, bits), LEAST_DB);
    made->needed_db = receiver_snr_from_ideal_db(
        &made->grid, receiver_backstop_db(chosen->code.constellation), made->ideal_db);
}

void atsc3_plp_make(const struct transmission *transmission, const struct frame *frame, int plp,
                    struct atsc3_plp *made)
{
    const struct slot *slot = &frame->slots[plp];
    const struct plp *chosen = &transmission->plps[plp];
    const struct code *core_code = &transmission->plps[slot->core].code;
    int above = atsc3_layer_above(transmission, slot->core);
    struct atsc3_plp core;
    make_alone(core_code, &core);
    if (above >= 0) {
        make_core(transmission->plps[above].injection_db, &core);
    }
    *made = core;
    if (slot->core != plp) {
        make_alone(&chosen->code, made);
        make_enhanced(&core, chosen->injection_db, made);
    }
    made->grid = frame_grid(transmission, frame, slot->subframe);
    made->span_ms = plp_interleaving(transmission, frame, plp).span_ms;
    struct carrier_part carriers = plp_carriers(transmission, frame, plp);
    made->part = (struct ofdm_part){carriers.from, carriers.to};
    made->needed_db = receiver_snr_from_ideal_db(
        &made->grid, receiver_backstop_db(chosen->code.constellation), made->ideal_db);
    if (slot->core != plp) {
        made->needed_db =
            fmax(made->needed_db,
                 receiver_snr_from_ideal_db(
                     &made->grid, receiver_backstop_db(core_code->constellation), core.ideal_db));
    }
    bond(transmission, chosen, made);
}

int atsc3_most_robust(const struct transmission *transmission, const struct frame *frame)
{
    int best = 0;
    double least_db = INFINITY;
    for (int i = 0; i < transmission_plps(transmission); i++) {
        struct atsc3_plp made;
        atsc3_plp_make(transmission, frame, i, &made);
        if (made.needed_db < least_db) {
            least_db = made.needed_db;
            best = i;
        }
    }
    return best;
}

static void describe_place(const struct transmission *transmission, const struct frame *frame,
                           int plp, struct facts *facts)
{
    const struct plp *chosen = &transmission->plps[plp];
    const struct slot *slot = &frame->slots[plp];
    const char *subframe = transmission->subframes[slot->subframe].name;
    struct carried carried = plp_carried(transmission, frame, plp);
    text_format(facts->plp, sizeof facts->plp, "%s", chosen->name[0] ? chosen->name : "PLP 0");
    text_format(facts->subframe, sizeof facts->subframe, "%s",
                subframe[0] ? subframe : "subframe 0");
    facts->layer = layer_name(chosen->layer);
    facts->plp_share = (double)slot->cells / (double)frame->pools[slot->subframe].cells;
    facts->plp_cells = (double)slot->cells;
    facts->pool_cells = (double)frame->pools[slot->subframe].cells;
    facts->pool_ms = frame->pools[slot->subframe].duration_ms;
    facts->injection_db = slot->core != plp ? chosen->injection_db : NAN;
    facts->plp_mbps = carried.plp_mbps;
    facts->net_mbps = carried.net_mbps;
    struct interleaving interleaving = plp_interleaving(transmission, frame, plp);
    facts->interleaver_ms = interleaving.span_ms;
    facts->latency_ms = interleaving.latency_ms;
    facts->start_up_ms = interleaving.start_up_ms;
    facts->interleaver = interleaver_name(transmission->plps[slot->core].interleaver);
    facts->memory_cells = (double)interleaving.memory_cells;
    facts->memory_most_cells = (double)interleaving.memory_most;
}

void atsc3_describe_plp(const struct transmission *transmission, const struct frame *frame, int plp,
                        struct facts *facts)
{
    int which = frame->slots[plp].subframe;
    const struct subframe *subframe = &transmission->subframes[which];
    const struct pool *pool = &frame->pools[which];
    struct ofdm_grid grid = frame_grid(transmission, frame, which);
    *facts = facts_none();
    facts->fft = fft_name(subframe->waveform.fft);
    facts->guard = guard_name(subframe->waveform.guard);
    facts->pilots = pilots_name(subframe->waveform.pilots);
    facts->boost = subframe->waveform.boost;
    facts->reduction = subframe->waveform.reduction;
    ofdm_describe_grid(&grid, facts);
    facts->data_cells = pool->counts.data;
    facts->boundary_cells = pool->counts.boundary;
    facts->preamble_symbols = frame->preamble_symbols;
    facts->data_symbols = pool->symbols;
    facts->cells_per_frame = (double)frame->cells;
    facts->frame_ms = frame->duration_ms;
    facts->reach_us -= miso_samples(subframe->miso) * 1e6 / grid.sample_rate_hz;
    describe_place(transmission, frame, plp, facts);
}
