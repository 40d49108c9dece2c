/* A/322 simulated: the standard's own code, bit interleaver and constellation, cells over carriers
 * that each have an SNR of their own, interference included. The simulation takes the place of the
 * step from mean information to the code's threshold. */
#include <stdlib.h>

#include "base/units.h"
#include "physics/information/published_snr.h"
#include "physics/information/required_snr.h"
#include "physics/information/thresholds.h"
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

static enum fading fading_of(enum chain_channel channel)
{
    return channel == CHANNEL_RAYLEIGH ? FADING_RAYLEIGH : FADING_AWGN;
}

static double expected_db(const struct scenario *scenario, enum chain_channel channel)
{
    const struct code *code = code_of(scenario);
    return ideal_snr_db(code->length, code->constellation, code->rate_15ths, fading_of(channel));
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

/* Long codes fall within 0.4 dB, short ones within 1 dB; with echoes the prediction itself may be
 * off by some tenths. */
static struct simulation_spacing spacing(const struct scenario *scenario,
                                         enum chain_channel channel)
{
    bool fine = channel != CHANNEL_CARRIERS && code_of(scenario)->length == LENGTH_64800;
    return channel == CHANNEL_CARRIERS ? (struct simulation_spacing){0.1, 10, 5}
                                       : (struct simulation_spacing){fine ? 0.05 : 0.1, 9, 3};
}

static int marks(const struct scenario *scenario, enum chain_channel channel,
                 struct simulation_mark marks[SIMULATION_MARKS_MAX])
{
    const struct code *code = code_of(scenario);
    enum fading fading = fading_of(channel);
    struct published_snr published =
        published_snr(code->length, code->constellation, code->rate_15ths, fading);
    marks[0] = (struct simulation_mark){
        MARK_LIMIT, limit_snr_db(code->constellation, code->rate_15ths, fading), "limit", NULL};
    marks[1] = (struct simulation_mark){MARK_IDEAL, expected_db(scenario, channel), "ideal", NULL};
    marks[2] = (struct simulation_mark){MARK_PUBLISHED, published.snr_db, published.mark,
                                        published.source};
    return published.source ? 3 : 2;
}

static const char rays[] =
    "Each carrier has an SNR of its own. Self-interference, from echoes outside the guard interval "
    "and from Doppler, counts as noise. Cells take the carriers in random order.";

static void notes(const struct scenario *scenario, bool with_rays, struct text *out)
{
    text_append(out, "FER, BER: rates of wrong frames and of wrong payload bits. Iter.: the "
                     "decoder's iterations, mean.\n"
                     "SNR: signal power over noise power in a cell.");
    if (scenario) {
        const struct code *code = code_of(scenario);
        text_printf(out, " Limit of the pair in white noise %.2f dB, in Rayleigh fading %.2f dB.",
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
    .note =
        "Self-interference and Doppler count as noise. Cells take the carriers in random order.",
    .describe = describe,
    .describe_channel = describe_channel,
    .enters = enters,
    .expected_db = expected_db,
    .expected_in = expected_in,
    .run = run,
};
