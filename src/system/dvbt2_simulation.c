/* DVB-T2 simulated: the standard's own codes, bit interleaver and constellation, cells over
 * carriers that each have an SNR of their own. */
#include <stdlib.h>

#include "physics/information/dvbt2_snr.h"
#include "physics/information/thresholds.h"
#include "simulation/chain/chain_run.h"
#include "system/ofdm_simulation.h"

static const char *const decoder_words[LDPC_ALGORITHM_COUNT] = {
    [LDPC_SUM_PRODUCT] = "sum-product", [LDPC_MIN_SUM] = "min-sum"};

static void describe(const struct scenario *scenario, const struct simulation_choice *choice,
                     struct text *out)
{
    const struct t2_code *code = &scenario->dvbt2.code;
    text_printf(out, " %s %s %s BCH, %s %d%s", t2_length_name(code->length),
                t2_constellation_name(code->constellation), t2_rate_name(code->rate),
                decoder_words[choice->algorithm], choice->iterations,
                choice->demapper == DEMAP_MAX_LOG ? " max-log" : "");
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
    return t2_ideal_snr(&scenario->dvbt2.code,
                        choice->channel == CHANNEL_RAYLEIGH ? FADING_RAYLEIGH : FADING_AWGN)
        .db;
}

static enum status run(const struct simulation_case *asked, double snr_db,
                       const struct run_limits *limits, struct run_watch *watch,
                       struct run_counts *counts)
{
    struct coding coding = coding_of_t2(&asked->scenario->dvbt2.code);
    struct chain_setup setup = chain_setup_default();
    float *gains = NULL;
    enum status status = STATUS_OK;
    setup.coding = &coding;
    setup.algorithm = asked->choice.algorithm;
    setup.iterations = asked->choice.iterations;
    setup.demapper = asked->choice.demapper;
    setup.channel = asked->choice.channel;
    if (setup.channel == CHANNEL_CARRIERS) {
        status = ofdm_carrier_gains(asked, snr_db, &gains, &setup.carriers);
        setup.gain_power = gains;
    }
    struct chain_point point = {.snr_db = snr_db};
    struct chain *chain = NULL;
    if (status == STATUS_OK) {
        status = chain_create(&setup, &chain);
    }
    if (status == STATUS_OK) {
        point.chain = chain;
        struct run_job job = chain_run_job(&point);
        status = run_execute(&job, limits, watch, counts);
    }
    chain_free(chain);
    free(gains);
    return status;
}

/* As the first pair's LDPC codes fall. */
static struct simulation_spacing spacing(const struct scenario *scenario,
                                         const struct simulation_choice *choice)
{
    bool fine = choice->channel != CHANNEL_CARRIERS && scenario->dvbt2.code.length == T2_64800;
    return choice->channel == CHANNEL_CARRIERS
               ? (struct simulation_spacing){0.1, 10, 5}
               : (struct simulation_spacing){fine ? 0.05 : 0.1, 9, 3};
}

static int marks(const struct scenario *scenario, const struct simulation_choice *choice,
                 struct simulation_mark marks[SIMULATION_MARKS_MAX])
{
    enum fading fading = choice->channel == CHANNEL_RAYLEIGH ? FADING_RAYLEIGH : FADING_AWGN;
    struct published_snr published = t2_published_snr(&scenario->dvbt2.code, fading);
    marks[0] = (struct simulation_mark){MARK_LIMIT, t2_limit_db(&scenario->dvbt2.code, fading),
                                        "limit", NULL};
    marks[1] = (struct simulation_mark){MARK_IDEAL, expected_db(scenario, choice), "ideal", NULL};
    marks[2] = (struct simulation_mark){MARK_PUBLISHED, published.snr_db, published.mark,
                                        published.source};
    return published.source ? 3 : 2;
}

static const char rays[] =
    "Each carrier has an SNR of its own. Self-interference, from echoes outside the guard interval "
    "and from Doppler, counts as noise. Cells take the carriers in random order.";

static void notes(const struct scenario *scenario, bool with_rays, struct text *out)
{
    (void)scenario;
    text_append(out,
                "FER, BER: rates of wrong frames and of wrong payload bits. Iter.: the "
                "decoder's iterations, mean.\n"
                "SNR: signal power over noise power in a data cell. The receiver knows the "
                "channel exactly; a single pass of the demapper. A frame is a code word, wrong "
                "after the BCH code (counted). Constellations are not rotated, which changes "
                "nothing in white noise.\n");
    if (with_rays) {
        text_printf(out, "%s\n", rays);
    }
}

const struct system_simulation simulation_dvbt2 = {
    .channels = {[CHANNEL_AWGN] = true, [CHANNEL_RAYLEIGH] = true, [CHANNEL_CARRIERS] = true},
    .only = "",
    .count = {"code words", "frame", "code word", 1, 10000},
    .snr = "SNR",
    .rays = rays,
    .figures = {"snr_db", "frames", "frame_errors", "bit_errors", "fer", "fer_low", "fer_high",
                "ber", "iterations", NULL, "bits", "planned", "run", "seed", "part", NULL},
    .notes = notes,
    .needed = {[CHANNEL_AWGN] = "ideal_snr_db",
               [CHANNEL_RAYLEIGH] = "ideal_rayleigh_snr_db",
               [CHANNEL_CARRIERS] = "ideal_snr_db"},
    .error_rate = THRESHOLD_FRAME_ERROR_RATE,
    .efforts = {{20, 10}, {200, 30}, {2000, 100}, {20000, 100}, {200000, 100}},
    .spacing = spacing,
    .marks = marks,
    .note = "Self-interference and Doppler count as noise; constellations are not rotated.",
    .describe = describe,
    .describe_channel = describe_channel,
    .enters = enters,
    .expected_db = expected_db,
    .expected_in = ofdm_expected_in,
    .run = run,
};
