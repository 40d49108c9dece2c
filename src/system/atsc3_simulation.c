/* A/322 simulated: the standard's own code, bit interleaver and constellation, cells over carriers
 * that each have an SNR of their own, interference included. The simulation takes the place of the
 * step from mean information to the code's threshold. */
#include <stdlib.h>

#include "base/units.h"
#include "physics/information/required_snr.h"
#include "simulation/chain/chain_run.h"
#include "standard/atsc3/transmission.h"
#include "system/simulation.h"

static const char *const decoder_words[LDPC_ALGORITHM_COUNT] = {
    [LDPC_SUM_PRODUCT] = "sum-product", [LDPC_MIN_SUM] = "min-sum"};

static const struct code *code_of(const struct scenario *scenario)
{
    return &scenario->transmission.plps[0].code;
}

static void describe(const struct scenario *scenario, const struct simulation_choice *choice,
                     struct text *out)
{
    const struct code *code = code_of(scenario);
    text_printf(out, " %s %s %d/15 %s, %s %d%s", code_length_name(code->length),
                constellation_name(code->constellation), code->rate_15ths,
                outer_code_name(code->outer), decoder_words[choice->algorithm], choice->iterations,
                choice->demapper == DEMAP_MAX_LOG ? " max-log" : "");
}

static void describe_channel(const struct scenario *scenario, struct text *out)
{
    const struct waveform *waveform = &scenario->transmission.subframes[0].waveform;
    text_printf(out, ", %s %s %s", fft_name(waveform->fft), guard_name(waveform->guard),
                pilots_name(waveform->pilots));
}

static int enters(const struct reception *reception, const struct scenario *scenario,
                  double numbers[8])
{
    const struct waveform *waveform = &scenario->transmission.subframes[0].waveform;
    numbers[0] = waveform->bandwidth_mhz;
    numbers[1] = waveform->reduction;
    numbers[2] = reception->ofdm.span_ms;
    return 3;
}

static double expected_db(const struct scenario *scenario, enum chain_channel channel)
{
    const struct code *code = code_of(scenario);
    return ideal_snr_db(code->length, code->constellation, code->rate_15ths,
                        channel == CHANNEL_RAYLEIGH ? FADING_RAYLEIGH : FADING_AWGN);
}

static enum status solve(const struct simulation_case *asked, double snr_db, struct fare *fare)
{
    const struct reception *reception = asked->reception;
    return fare != NULL ? reception->system->fare(reception, asked->channel, snr_db, NULL, fare)
                        : STATUS_NO_MEMORY;
}

static enum status expected_in(const struct simulation_case *asked, double *snr_db)
{
    struct fare *fare = malloc(sizeof *fare);
    enum status status = solve(asked, asked->reception->ideal_db, fare);
    if (status == STATUS_OK) {
        *snr_db = fare->ofdm.ideal_required_cn_db;
    }
    free(fare);
    return status;
}

/* SNR by carrier over the mean SNR. The owner frees `gains`. */
static enum status carrier_gains(const struct simulation_case *asked, double snr_db, float **gains,
                                 int *count)
{
    const struct ofdm_grid *grid = &asked->reception->ofdm.grid;
    size_t carriers = (size_t)grid->carriers;
    struct fare *fare = malloc(sizeof *fare);
    double *by_carrier_db = malloc(sizeof *by_carrier_db * carriers);
    *gains = malloc(sizeof **gains * carriers);
    enum status status = by_carrier_db && *gains ? solve(asked, snr_db, fare) : STATUS_NO_MEMORY;
    if (status == STATUS_OK) {
        *count = ofdm_echo_carriers(grid, &fare->ofdm, 1, by_carrier_db, grid->carriers);
        for (int i = 0; i < *count; i++) {
            (*gains)[i] = (float)ratio_from_db(by_carrier_db[i] - snr_db);
        }
    } else {
        free(*gains);
        *gains = NULL;
    }
    free(fare);
    free(by_carrier_db);
    return status;
}

static enum status run(const struct simulation_case *asked, double snr_db,
                       const struct run_limits *limits, struct run_watch *watch,
                       struct run_counts *counts)
{
    const struct code *code = code_of(asked->scenario);
    struct chain_setup setup = chain_setup_default();
    float *gains = NULL;
    enum status status = STATUS_OK;
    setup.length = code->length;
    setup.constellation = code->constellation;
    setup.rate_15ths = code->rate_15ths;
    setup.outer = code->outer;
    setup.algorithm = asked->choice.algorithm;
    setup.iterations = asked->choice.iterations;
    setup.demapper = asked->choice.demapper;
    setup.channel = asked->choice.channel;
    if (setup.channel == CHANNEL_CARRIERS) {
        status = carrier_gains(asked, snr_db, &gains, &setup.carriers);
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

const struct system_simulation simulation_atsc3 = {
    .channels = {[CHANNEL_AWGN] = true, [CHANNEL_RAYLEIGH] = true, [CHANNEL_CARRIERS] = true},
    .only = "",
    .frame = "frame",
    .note = "Self-interference and Doppler count as noise.",
    .describe = describe,
    .describe_channel = describe_channel,
    .enters = enters,
    .expected_db = expected_db,
    .expected_in = expected_in,
    .run = run,
};
