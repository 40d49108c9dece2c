/* Error rates by simulation. The channel of the profile's echoes is that of the study of echoes:
 * each carrier has an SNR of its own, self-interference included, and the receiver knows it; the
 * simulation takes the place of the step from mean information to the code's threshold. */
#include "study/proof/proof.h"

#include <math.h>
#include <stdlib.h>
#include <strings.h>

#include "base/text.h"
#include "base/units.h"
#include "physics/information/required_snr.h"
#include "physics/ofdm/echo.h"
#include "physics/vsb/decision.h"
#include "physics/vsb/echo.h"
#include "simulation/chain/chain_run.h"
#include "simulation/vsb/chain.h"
#include "simulation/vsb/trellis.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/numerology.h"
#include "standard/vsb/signal.h"

#define DOPPLER_AT_REST_HZ 1e6 /* follows whatever moves: rays are simulated at rest */
#define FIRST_EXPECTED_DB 14.9 /* ATSC A/54A's threshold of visibility */

static const char *const channel_names[CHANNEL_COUNT] = {
    [CHANNEL_AWGN] = "awgn", [CHANNEL_RAYLEIGH] = "rayleigh", [CHANNEL_CARRIERS] = "profile"};

static const char *const decoder_names[LDPC_ALGORITHM_COUNT] = {
    [LDPC_SUM_PRODUCT] = "sum-product", [LDPC_MIN_SUM] = "min-sum"};

static const char *const demapper_names[DEMAP_COUNT] = {
    [DEMAP_EXACT] = "exact", [DEMAP_MAX_LOG] = "max-log"};

static int find_name(const char *const *names, int count, const char *name)
{
    for (int i = 0; i < count; i++) {
        if (strcasecmp(names[i], name) == 0) {
            return i;
        }
    }
    return -1;
}

const char *proof_channel_name(enum chain_channel channel)
{
    return channel_names[channel];
}

int proof_channel_from_name(const char *name)
{
    return find_name(channel_names, CHANNEL_COUNT, name);
}

const char *proof_decoder_name(enum ldpc_algorithm algorithm)
{
    return decoder_names[algorithm];
}

int proof_decoder_from_name(const char *name)
{
    return find_name(decoder_names, LDPC_ALGORITHM_COUNT, name);
}

const char *proof_demapper_name(enum demapper_method demapper)
{
    return demapper_names[demapper];
}

int proof_demapper_from_name(const char *name)
{
    return find_name(demapper_names, DEMAP_COUNT, name);
}

struct proof_choice proof_choice_default(void)
{
    return (struct proof_choice){.generation = GENERATION_SECOND,
                                 .channel = CHANNEL_AWGN,
                                 .algorithm = LDPC_SUM_PRODUCT,
                                 .iterations = 50,
                                 .demapper = DEMAP_EXACT};
}

enum status proof_check(const struct proof_choice *choice, struct fault *fault)
{
    if (choice->generation == GENERATION_FIRST && choice->channel == CHANNEL_RAYLEIGH) {
        return fault_set(fault, STATUS_ILLEGAL, "--channel", "awgn profile",
                         "8-VSB is simulated in white noise and with the profile's echoes only");
    }
    if (choice->iterations < 1 || choice->iterations > CHAIN_ITERATIONS_MAX) {
        return fault_set(fault, STATUS_OUT_OF_RANGE, "--iterations", "1 to 1000",
                         "%d is out of range", choice->iterations);
    }
    return STATUS_OK;
}

void proof_describe(const struct scenario *scenario, const struct proof_choice *choice,
                    char *buffer, size_t size)
{
    const struct mode *mode = &scenario->mode;
    if (choice->generation == GENERATION_FIRST) {
        size_t length = text_format(buffer, size, "8-VSB, %s", proof_channel_name(choice->channel));
        if (choice->channel == CHANNEL_CARRIERS) {
            text_format(buffer + length, size - length,
                        " with %d %s, equaliser from -%g to +%g us, %s feedback",
                        scenario->echo_count, scenario->echo_count == 1 ? "echo" : "echoes",
                        scenario->first.equaliser_before_us, scenario->first.equaliser_after_us,
                        vsb_feedback_name(scenario->first.feedback));
        }
        return;
    }
    size_t used = text_format(
        buffer, size, "OFDM %s %s %d/15 %s, %s %d%s, %s", code_length_name(mode->length),
        constellation_name(mode->constellation), mode->rate_15ths, outer_code_name(mode->outer),
        proof_decoder_name(choice->algorithm), choice->iterations,
        choice->demapper == DEMAP_MAX_LOG ? " max-log" : "", proof_channel_name(choice->channel));
    if (choice->channel == CHANNEL_CARRIERS) {
        text_format(buffer + used, size - used, " with %d %s, %s %s %s", scenario->echo_count,
                    scenario->echo_count == 1 ? "echo" : "echoes", fft_name(mode->fft),
                    guard_name(mode->guard), pilots_name(mode->pilots));
    }
}

const char proof_second_echoes[] =
    "Self-interference, from echoes outside the guard interval and from Doppler, counts as noise; "
    "8-VSB is simulated symbol by symbol. Cells take the carriers in random order.";

const char *proof_echoes_note(const struct proof_choice *choice)
{
    return choice->generation == GENERATION_SECOND && choice->channel == CHANNEL_CARRIERS
               ? "Self-interference and Doppler count as noise."
               : "";
}

static enum status solve_echoes(const struct scenario *scenario, double snr_db,
                                struct ofdm_echo_input *input, struct ofdm_echo_result *result,
                                struct fault *fault)
{
    const struct mode *mode = &scenario->mode;
    struct frame frame;
    enum status status = frame_build(mode, &frame, fault);
    if (status != STATUS_OK) {
        return status;
    }
    double ideal_db =
        ideal_snr_db(mode->length, mode->constellation, mode->rate_15ths, FADING_AWGN);
    *input = (struct ofdm_echo_input){.mode = mode,
                                      .echoes = scenario->echoes,
                                      .count = scenario->echo_count,
                                      .snr_db = snr_db,
                                      .span_ms = interleaver_span_ms(mode, &frame),
                                      .ideal_db = ideal_db,
                                      .needed_db = ideal_db};
    status = ofdm_echo_solve(input, result);
    return status == STATUS_OK
               ? status
               : fault_set(fault, status, "echo", NULL, "%s",
                           status == STATUS_NO_SOLUTION ? "the rays cancel each other"
                                                        : status_message(status));
}

/* Short, for the explorer; what the command line offers is in what is allowed. */
static enum status no_snr_suffices(struct fault *fault)
{
    return fault_set(fault, STATUS_NO_SOLUTION, "echo", "give --snr to see error rates",
                     "no SNR suffices with these echoes");
}

/* The input SNR at which an ideal equaliser's output is the threshold. The study's phases count at
 * the pilot, a quarter of the symbol rate below the channel's centre. */
static enum status first_expected_db(const struct scenario *scenario, double *snr_db,
                                     struct fault *fault)
{
    struct first_receiver ideal = scenario->first;
    ideal.tracking_hz = DOPPLER_AT_REST_HZ;
    ideal.adaptation_step = ideal.implementation_loss_db = 0.0;
    ideal.threshold_db = FIRST_EXPECTED_DB;
    struct echo echoes[ECHOES_MAX];
    for (int i = 0; i < scenario->echo_count; i++) {
        echoes[i] = scenario->echoes[i];
        echoes[i].phase_deg += 360.0 * fmod(0.25 * echoes[i].delay_us / vsb_symbol_us(), 1.0);
    }
    double low = FIRST_EXPECTED_DB - 3.0, high = PROOF_SNR_MAX_DB;
    struct vsb_echo_result result;
    for (int i = 0; i < 20; i++) {
        double middle = i == 0 ? high : 0.5 * (low + high);
        enum status status = vsb_echo_solve(echoes, scenario->echo_count, middle, &ideal, &result);
        if (status != STATUS_OK) {
            return fault_set(fault, status, "echo", NULL, "%s", status_message(status));
        }
        if (i == 0 && result.margin_db < 0.0) {
            return no_snr_suffices(fault);
        }
        if (result.margin_db < 0.0) {
            low = middle;
        } else {
            high = middle;
        }
    }
    *snr_db = high;
    return STATUS_OK;
}

enum status proof_expected_snr_db(const struct scenario *scenario,
                                  const struct proof_choice *choice, double *snr_db,
                                  struct fault *fault)
{
    const struct mode *mode = &scenario->mode;
    if (choice->generation == GENERATION_FIRST) {
        *snr_db = FIRST_EXPECTED_DB;
        return choice->channel == CHANNEL_AWGN ? STATUS_OK
                                               : first_expected_db(scenario, snr_db, fault);
    }
    enum fading fading = choice->channel == CHANNEL_RAYLEIGH ? FADING_RAYLEIGH : FADING_AWGN;
    *snr_db = ideal_snr_db(mode->length, mode->constellation, mode->rate_15ths, fading);
    if (choice->channel != CHANNEL_CARRIERS) {
        return STATUS_OK;
    }
    struct ofdm_echo_input input;
    struct ofdm_echo_result *result = malloc(sizeof *result);
    if (!result) {
        return fault_set(fault, STATUS_NO_MEMORY, "", NULL, "%s", status_message(STATUS_NO_MEMORY));
    }
    enum status status = solve_echoes(scenario, *snr_db, &input, result, fault);
    if (status == STATUS_OK) {
        *snr_db = result->ideal_required_cn_db;
    }
    free(result);
    if (status == STATUS_OK && !isfinite(*snr_db)) {
        status = no_snr_suffices(fault);
    }
    return status;
}

/* SNR by carrier over the mean SNR. The owner frees `gains`. */
static enum status carrier_gains(const struct scenario *scenario, double snr_db, float **gains,
                                 int *count, struct fault *fault)
{
    int carriers = numerology_carriers(scenario->mode.fft, scenario->mode.reduction);
    struct ofdm_echo_input input;
    struct ofdm_echo_result *result = malloc(sizeof *result);
    double *by_carrier_db = malloc(sizeof *by_carrier_db * (size_t)carriers);
    *gains = malloc(sizeof **gains * (size_t)carriers);
    enum status status = STATUS_NO_MEMORY;
    if (result && by_carrier_db && *gains) {
        status = solve_echoes(scenario, snr_db, &input, result, fault);
    } else {
        fault_set(fault, status, "", NULL, "%s", status_message(status));
    }
    if (status == STATUS_OK) {
        *count = ofdm_echo_carriers(&input, result, 1, by_carrier_db, carriers);
        for (int i = 0; i < *count; i++) {
            (*gains)[i] = (float)ratio_from_db(by_carrier_db[i] - snr_db);
        }
    } else {
        free(*gains);
        *gains = NULL;
    }
    free(result);
    free(by_carrier_db);
    return status;
}

static enum status run_second(const struct scenario *scenario, const struct proof_choice *choice,
                              double snr_db, const struct run_limits *limits,
                              struct run_watch *watch, struct run_counts *counts,
                              struct fault *fault)
{
    struct chain_setup setup = chain_setup_default();
    float *gains = NULL;
    enum status status = STATUS_OK;
    setup.length = scenario->mode.length;
    setup.constellation = scenario->mode.constellation;
    setup.rate_15ths = scenario->mode.rate_15ths;
    setup.outer = scenario->mode.outer;
    setup.algorithm = choice->algorithm;
    setup.iterations = choice->iterations;
    setup.demapper = choice->demapper;
    setup.channel = choice->channel;
    if (choice->channel == CHANNEL_CARRIERS) {
        status = carrier_gains(scenario, snr_db, &gains, &setup.carriers, fault);
        setup.gain_power = gains;
    }
    struct chain_point point = {.snr_db = snr_db};
    struct chain *chain = NULL;
    if (status == STATUS_OK) {
        status = chain_create(&setup, &chain);
        if (status != STATUS_OK) {
            fault_set(fault, status, "mode", NULL, "%s", status_message(status));
        }
    }
    if (status == STATUS_OK) {
        point.chain = chain;
        struct run_job job = chain_run_job(&point);
        status = run_execute(&job, limits, watch, counts);
        if (status == STATUS_NO_MEMORY) {
            fault_set(fault, status, "", NULL, "%s", status_message(status));
        }
    }
    chain_free(chain);
    free(gains);
    return status;
}

/* The profile's echoes and its receiver. */
static void first_setup(const struct scenario *scenario, double snr_db,
                        struct vsb_receiver_setup *setup)
{
    const struct first_receiver *first = &scenario->first;
    *setup = (struct vsb_receiver_setup){
        .snr_db = snr_db,
        .spans = vsb_equaliser_spans(first->equaliser_before_us, first->equaliser_after_us),
        .feedback = first->feedback,
        .step = first->adaptation_step,
        .tracking_hz = first->tracking_hz};
    channel_start(&setup->channel, scenario->site.center_mhz * 1e6);
    for (int i = 0; i < scenario->echo_count; i++) {
        channel_add(&setup->channel, &scenario->echoes[i], scenario->echo_names[i]);
    }
}

static enum status run_first(const struct scenario *scenario, const struct proof_choice *choice,
                             double snr_db, const struct run_limits *limits,
                             struct run_watch *watch, struct run_counts *counts,
                             struct fault *fault)
{
    struct vsb_point point = {.snr_db = snr_db};
    struct vsb_receiver_setup setup;
    enum status status = STATUS_OK;
    if (choice->channel == CHANNEL_CARRIERS) {
        first_setup(scenario, snr_db, &setup);
        status = vsb_receiver_check(&setup);
        point.receiver = &setup;
    }
    if (status == STATUS_OK) {
        struct run_job job = vsb_run_job(&point);
        status = run_execute(&job, limits, watch, counts);
    }
    return status == STATUS_OK || status == STATUS_STOPPED
               ? status
               : fault_set(fault, status, status == STATUS_NO_MEMORY ? "" : "echo", NULL, "%s",
                           status == STATUS_NO_SOLUTION ? "the rays cancel each other"
                                                        : status_message(status));
}

enum status proof_run(const struct scenario *scenario, const struct proof_choice *choice,
                      double snr_db, const struct run_limits *limits, struct run_watch *watch,
                      struct run_counts *counts, struct fault *fault)
{
    *counts = (struct run_counts){0};
    enum status status = proof_check(choice, fault);
    if (status == STATUS_OK) {
        status = run_limits_check(limits, fault);
    }
    if (status == STATUS_OK && !(snr_db >= PROOF_SNR_MIN_DB && snr_db <= PROOF_SNR_MAX_DB)) {
        status = fault_set(fault, STATUS_OUT_OF_RANGE, "--snr", "-30 to 60 dB",
                           "%g dB is out of range", snr_db);
    }
    if (status != STATUS_OK) {
        return status;
    }
    return choice->generation == GENERATION_SECOND
               ? run_second(scenario, choice, snr_db, limits, watch, counts, fault)
               : run_first(scenario, choice, snr_db, limits, watch, counts, fault);
}

struct interval proof_interval(const struct run_counts *counts)
{
    return interval_of_rate(counts->frame_errors, counts->frames, PROOF_CONFIDENCE);
}
