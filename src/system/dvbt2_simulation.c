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
    const struct t2_code *code = &scenario->dvbt2.plps[choice->pipe].code;
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
    return t2_ideal_snr(&scenario->dvbt2.plps[choice->pipe].code, ofdm_fading(choice->channel)).db;
}

static enum status run(const struct simulation_case *asked, double snr_db,
                       const struct run_limits *limits, struct run_watch *watch,
                       struct run_counts *counts)
{
    struct coding coding = coding_of_t2(&asked->scenario->dvbt2.plps[asked->choice.pipe].code);
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
    if (status == STATUS_OK) {
        status = ldpc_run(&setup, snr_db, limits, watch, counts);
    }
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
        text_printf(out, "%s\n", ldpc_rays);
    }
}

const struct system_simulation simulation_dvbt2 = {
    LDPC_SIMULATION,
    .notes = notes,
    .spacing = spacing,
    .marks = marks,
    .note = "Self-interference and Doppler count as noise; constellations are not rotated.",
    .describe = describe,
    .describe_channel = describe_channel,
    .enters = enters,
    .expected_db = expected_db,
    .run = run,
};
