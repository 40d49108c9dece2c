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
#include "standard/atsc3/grid.h"
#include "standard/vsb/signal.h"
#include "study/verdict/verdict.h"

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
    const struct transmission *mode = &scenario->transmission;
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
    size_t used = text_format(buffer, size, "OFDM %s %s %d/15 %s, %s %d%s, %s",
                              code_length_name(mode->subframes[0].plps[0].code.length),
                              constellation_name(mode->subframes[0].plps[0].code.constellation),
                              mode->subframes[0].plps[0].code.rate_15ths,
                              outer_code_name(mode->subframes[0].plps[0].code.outer),
                              proof_decoder_name(choice->algorithm), choice->iterations,
                              choice->demapper == DEMAP_MAX_LOG ? " max-log" : "",
                              proof_channel_name(choice->channel));
    if (choice->channel == CHANNEL_CARRIERS) {
        text_format(buffer + used, size - used, " with %d %s, %s %s %s", scenario->echo_count,
                    scenario->echo_count == 1 ? "echo" : "echoes",
                    fft_name(mode->subframes[0].waveform.fft),
                    guard_name(mode->subframes[0].waveform.guard),
                    pilots_name(mode->subframes[0].waveform.pilots));
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

/* The channel of the scenario's place, without its SNR: that is the run's. */
static enum status make_verdict(const struct scenario *scenario, enum generation generation,
                                struct verdict *verdict, struct fault *fault)
{
    const struct system *system = system_of(scenario, generation);
    enum status status = system->receive(scenario, &verdict->reception, fault);
    return status == STATUS_OK ? conditions_make(scenario, generation, &verdict->conditions, fault)
                               : status;
}

/* How the second generation fares in it at an SNR; the caller frees `verdict` whatever comes. */
static enum status solve_second(const struct scenario *scenario, double snr_db,
                                struct verdict *verdict, struct fault *fault)
{
    if (verdict == NULL) {
        return fault_set(fault, STATUS_NO_MEMORY, "", NULL, "%s", status_message(STATUS_NO_MEMORY));
    }
    enum status status = make_verdict(scenario, GENERATION_SECOND, verdict, fault);
    if (status == STATUS_OK) {
        verdict->conditions.snr_db = snr_db;
        status = verdict_solve(verdict, fault);
    }
    return status;
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
    struct scenario ideal = *scenario;
    ideal.first.tracking_hz = TRACKING_MAX_HZ;
    ideal.first.adaptation_step = ideal.first.implementation_loss_db = 0.0;
    ideal.first.threshold_db = FIRST_EXPECTED_DB;
    struct verdict *verdict = malloc(sizeof *verdict);
    if (verdict == NULL) {
        return fault_set(fault, STATUS_NO_MEMORY, "", NULL, "%s", status_message(STATUS_NO_MEMORY));
    }
    enum status status = make_verdict(&ideal, GENERATION_FIRST, verdict, fault);
    if (status == STATUS_OK) {
        status = verdict_required_db(verdict, snr_db, fault);
    }
    free(verdict);
    return status == STATUS_OK && !isfinite(*snr_db) ? no_snr_suffices(fault) : status;
}

enum status proof_expected_snr_db(const struct scenario *scenario,
                                  const struct proof_choice *choice, double *snr_db,
                                  struct fault *fault)
{
    const struct transmission *mode = &scenario->transmission;
    if (choice->generation == GENERATION_FIRST) {
        *snr_db = FIRST_EXPECTED_DB;
        return choice->channel == CHANNEL_AWGN ? STATUS_OK
                                               : first_expected_db(scenario, snr_db, fault);
    }
    enum fading fading = choice->channel == CHANNEL_RAYLEIGH ? FADING_RAYLEIGH : FADING_AWGN;
    *snr_db = ideal_snr_db(mode->subframes[0].plps[0].code.length,
                           mode->subframes[0].plps[0].code.constellation,
                           mode->subframes[0].plps[0].code.rate_15ths, fading);
    if (choice->channel != CHANNEL_CARRIERS) {
        return STATUS_OK;
    }
    struct verdict *verdict = malloc(sizeof *verdict);
    enum status status = solve_second(scenario, *snr_db, verdict, fault);
    if (status == STATUS_OK) {
        *snr_db = verdict->fare.ofdm.ideal_required_cn_db;
    }
    free(verdict);
    if (status == STATUS_OK && !isfinite(*snr_db)) {
        status = no_snr_suffices(fault);
    }
    return status;
}

/* SNR by carrier over the mean SNR. The owner frees `gains`. */
static enum status carrier_gains(const struct scenario *scenario, double snr_db, float **gains,
                                 int *count, struct fault *fault)
{
    int carriers = carriers_count(scenario->transmission.subframes[0].waveform.fft,
                                  scenario->transmission.subframes[0].waveform.reduction);
    struct verdict *verdict = malloc(sizeof *verdict);
    double *by_carrier_db = malloc(sizeof *by_carrier_db * (size_t)carriers);
    *gains = malloc(sizeof **gains * (size_t)carriers);
    enum status status = STATUS_NO_MEMORY;
    if (by_carrier_db && *gains) {
        status = solve_second(scenario, snr_db, verdict, fault);
    } else {
        fault_set(fault, status, "", NULL, "%s", status_message(status));
    }
    if (status == STATUS_OK) {
        *count = ofdm_echo_carriers(&verdict->reception.ofdm.grid, &verdict->fare.ofdm, 1,
                                    by_carrier_db, carriers);
        for (int i = 0; i < *count; i++) {
            (*gains)[i] = (float)ratio_from_db(by_carrier_db[i] - snr_db);
        }
    } else {
        free(*gains);
        *gains = NULL;
    }
    free(verdict);
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
    setup.length = scenario->transmission.subframes[0].plps[0].code.length;
    setup.constellation = scenario->transmission.subframes[0].plps[0].code.constellation;
    setup.rate_15ths = scenario->transmission.subframes[0].plps[0].code.rate_15ths;
    setup.outer = scenario->transmission.subframes[0].plps[0].code.outer;
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

/* The receiver of the profile in the channel of its place. */
static enum status first_setup(const struct scenario *scenario, double snr_db,
                               struct vsb_receiver_setup *setup, struct fault *fault)
{
    const struct first_receiver *first = &scenario->first;
    struct conditions *conditions = malloc(sizeof *conditions);
    enum status status = conditions != NULL
                             ? conditions_make(scenario, GENERATION_FIRST, conditions, fault)
                             : fault_set(fault, STATUS_NO_MEMORY, "", NULL, "out of memory");
    if (status == STATUS_OK) {
        *setup = (struct vsb_receiver_setup){
            .channel = conditions->channel,
            .snr_db = snr_db,
            .spans = vsb_equaliser_spans(first->equaliser_before_us, first->equaliser_after_us),
            .feedback = first->feedback,
            .step = first->adaptation_step,
            .tracking_hz = first->tracking_hz};
    }
    free(conditions);
    return status;
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
        status = first_setup(scenario, snr_db, &setup, fault);
        if (status != STATUS_OK) {
            return status;
        }
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
