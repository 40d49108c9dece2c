/* A/322 simulated: the standard's own code, bit interleaver and constellation, cells over carriers
 * that each have an SNR of their own, interference included. The simulation takes the place of the
 * step from mean information to the code's threshold. Of a layered PLP both layers are sent, and
 * received as simulation/chain/layers.h says. */
#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/information/published_snr.h"
#include "physics/information/required_snr.h"
#include "physics/information/thresholds.h"
#include "simulation/chain/chain_run.h"
#include "standard/atsc3/frame.h"
#include "system/atsc3_plps.h"
#include "system/ofdm_simulation.h"

/* Which PLPs are on the way to the one that is asked for. */
struct sent {
    const struct plp *asked, *core, *enhanced; /* enhanced NULL: no layers */
    const struct subframe *subframe;
};

static struct sent sent_of(const struct scenario *scenario, const struct simulation_choice *choice)
{
    const struct transmission *transmission = &scenario->transmission;
    int core = plp_core(transmission, choice->pipe);
    int above = choice->pipe != core ? choice->pipe : atsc3_layer_above(transmission, core);
    int subframe = plp_subframe(transmission, core);
    return (struct sent){.asked = &transmission->plps[choice->pipe],
                         .core = &transmission->plps[core],
                         .enhanced = above >= 0 ? &transmission->plps[above] : NULL,
                         .subframe = &transmission->subframes[subframe]};
}

static void describe(const struct scenario *scenario, const struct simulation_choice *choice,
                     struct text *out)
{
    struct sent sent = sent_of(scenario, choice);
    const struct code *code = &sent.asked->code;
    text_printf(out, " %s %s %d/15 %s", code_length_name(code->length),
                constellation_name(code->constellation), code->rate_15ths,
                outer_code_name(code->outer));
    if (sent.enhanced != NULL) {
        bool core = sent.asked == sent.core;
        const struct code *other = core ? &sent.enhanced->code : &sent.core->code;
        text_printf(out, " %s %s %s %d/15 at %g dB", core ? "under" : "over",
                    code_length_name(other->length), constellation_name(other->constellation),
                    other->rate_15ths, sent.enhanced->injection_db);
        text_append(out, choice->other == OTHER_IS_KNOWN ? ", other layer known" : "");
    }
    ldpc_describe(choice, out);
}

static void describe_channel(const struct scenario *scenario,
                             const struct simulation_choice *choice, struct text *out)
{
    const struct waveform *waveform = &sent_of(scenario, choice).subframe->waveform;
    text_printf(out, ", %s %s %s", fft_name(waveform->fft), guard_name(waveform->guard),
                pilots_name(waveform->pilots));
}

static int enters(const struct reception *reception, const struct scenario *scenario,
                  const struct simulation_choice *choice, double numbers[8])
{
    const struct waveform *waveform = &sent_of(scenario, choice).subframe->waveform;
    numbers[0] = waveform->bandwidth_mhz;
    numbers[1] = waveform->reduction;
    numbers[2] = reception->ofdm.span_ms;
    if (reception->ofdm.grid.filter_us == 0.0) {
        return 3;
    }
    numbers[3] = reception->ofdm.grid.filter_us;
    return 4;
}

static double expected_db(const struct scenario *scenario, const struct simulation_choice *choice)
{
    struct sent sent = sent_of(scenario, choice);
    assert(sent.asked != NULL);
    const struct code *code = &sent.asked->code;
    struct frame frame;
    struct atsc3_plp plp;
    if (sent.enhanced == NULL || frame_build(&scenario->transmission, &frame, NULL) != STATUS_OK) {
        return ideal_snr_db(code->length, code->constellation, code->rate_15ths,
                            ofdm_fading(choice->channel));
    }
    atsc3_plp_make(&scenario->transmission, &frame, choice->pipe, &plp);
    return choice->channel == CHANNEL_RAYLEIGH ? plp.ideal_rayleigh_db
           : choice->other == OTHER_IS_KNOWN ? atsc3_exact_db(&scenario->transmission, choice->pipe)
                                             : plp.ideal_db;
}

static struct chain_setup setup_of(const struct code *code, const struct simulation_choice *choice)
{
    struct chain_setup setup = ldpc_setup(choice);
    setup.length = code->length;
    setup.constellation = code->constellation;
    setup.rate_15ths = code->rate_15ths;
    setup.outer = code->outer;
    return setup;
}

static enum status run_layers(const struct layers_setup *setup, double snr_db,
                              const struct run_limits *limits, struct run_watch *watch,
                              struct run_counts *counts)
{
    struct layers *layers = NULL;
    enum status status = layers_create(setup, &layers);
    if (status == STATUS_OK) {
        struct layers_point point = {.layers = layers, .snr_db = snr_db};
        struct run_job job = layers_run_job(&point);
        status = run_execute(&job, limits, watch, counts);
    }
    layers_free(layers);
    return status;
}

static enum status run(const struct simulation_case *asked, double snr_db,
                       const struct run_limits *limits, struct run_watch *watch,
                       struct run_counts *counts)
{
    struct sent sent = sent_of(asked->scenario, &asked->choice);
    struct chain_setup core = setup_of(&sent.core->code, &asked->choice);
    float *gains = NULL;
    enum status status = STATUS_OK;
    if (core.channel == CHANNEL_CARRIERS) {
        status = ofdm_carrier_gains(asked, snr_db, &gains, &core.carriers);
        core.gain_power = gains;
    }
    if (status == STATUS_OK && sent.enhanced == NULL) {
        status = ldpc_run(&core, snr_db, limits, watch, counts);
    } else if (status == STATUS_OK) {
        struct layers_setup setup = {.core = core,
                                     .enhanced = setup_of(&sent.enhanced->code, &asked->choice),
                                     .injection_db = sent.enhanced->injection_db,
                                     .other = asked->choice.other,
                                     .enhanced_counts = sent.asked == sent.enhanced};
        status = run_layers(&setup, snr_db, limits, watch, counts);
    }
    free(gains);
    return status;
}

static struct simulation_spacing spacing(const struct scenario *scenario,
                                         const struct simulation_choice *choice)
{
    bool long_code = sent_of(scenario, choice).asked->code.length == LENGTH_64800;
    return ldpc_spacing(choice->channel, long_code);
}

/* Of a layer the limit is not that of the code alone, and nothing is published. */
static int marks(const struct scenario *scenario, const struct simulation_choice *choice,
                 struct simulation_mark marks[SIMULATION_MARKS_MAX])
{
    struct sent sent = sent_of(scenario, choice);
    const struct code *code = &sent.asked->code;
    enum fading fading = ofdm_fading(choice->channel);
    double ideal_db = expected_db(scenario, choice);
    if (sent.enhanced != NULL) {
        marks[0] = (struct simulation_mark){MARK_IDEAL, ideal_db, "ideal", NULL};
        return 1;
    }
    return ofdm_marks(limit_snr_db(code->constellation, code->rate_15ths, fading), ideal_db,
                      published_snr(code->length, code->constellation, code->rate_15ths, fading),
                      marks);
}

static const char rays[] = LDPC_RAYS " Cells take the carriers in random order.";

static void notes(const struct scenario *scenario, bool with_rays, struct text *out)
{
    text_append(out, "FER, BER: rates of wrong frames and of wrong payload bits. Iter.: the "
                     "decoder's iterations, mean.\n"
                     "SNR: signal power over noise power in a cell.");
    if (scenario && transmission_is_plain(&scenario->transmission)) {
        const struct code *code = &scenario->transmission.plps[0].code;
        text_printf(out,
                    " Limit of this constellation and code "
                    "rate in white noise %.2f dB, in Rayleigh fading %.2f dB.",
                    limit_snr_db(code->constellation, code->rate_15ths, FADING_AWGN),
                    limit_snr_db(code->constellation, code->rate_15ths, FADING_RAYLEIGH));
    }
    text_append(out,
                "\nThe receiver knows the channel exactly. A frame is a code word, wrong after "
                "the outer code: BCH corrects 12 bits (counted); CRC, or no outer code, "
                "corrects none.\n");
    if (with_rays) {
        text_printf(out, "%s With echoes more than the limit in white noise is needed.\n", rays);
    }
}

const struct system_simulation simulation_atsc3 = {
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
