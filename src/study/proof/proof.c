/* Error rates by simulation: what is asked is put together here, from the scenario and its place;
 * how a system is simulated stands in its row (system/simulation.h). */
#include "study/proof/proof.h"

#include <math.h>
#include <stdlib.h>
#include <strings.h>

#include "base/text.h"
#include "scenario/section.h"
#include "study/verdict/conditions.h"

static const char *const channel_names[CHANNEL_COUNT] = {
    [CHANNEL_AWGN] = "awgn", [CHANNEL_RAYLEIGH] = "rayleigh", [CHANNEL_CARRIERS] = "profile"};

static const char *const demapper_names[DEMAP_COUNT] = {
    [DEMAP_EXACT] = "exact", [DEMAP_MAX_LOG] = "max-log"};

static const char *const other_layer_names[OTHER_LAYER_COUNT] = {
    [OTHER_IS_NOISE] = "noise", [OTHER_IS_KNOWN] = "known"};

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

int proof_decoder_from_name(const char *name)
{
    for (int i = 0; i < LDPC_ALGORITHM_COUNT; i++) {
        if (strcasecmp(ldpc_algorithm_name((enum ldpc_algorithm)i), name) == 0) {
            return i;
        }
    }
    return -1;
}

int proof_demapper_from_name(const char *name)
{
    return find_name(demapper_names, DEMAP_COUNT, name);
}

int proof_other_layer_from_name(const char *name)
{
    return find_name(other_layer_names, OTHER_LAYER_COUNT, name);
}

int proof_pipe_from_name(const struct scenario *scenario, const char *name)
{
    return section_item_find(section_find_in("plp", scenario->site.pair), scenario, name);
}

struct proof_choice proof_choice_default(void)
{
    return (struct proof_choice){.generation = GENERATION_SECOND,
                                 .channel = CHANNEL_AWGN,
                                 .algorithm = LDPC_SUM_PRODUCT,
                                 .iterations = 50,
                                 .demapper = DEMAP_EXACT};
}

const struct system_simulation *proof_simulation(const struct scenario *scenario,
                                                 const struct proof_choice *choice)
{
    return system_of(scenario, choice->generation)->simulation;
}

bool proof_has_decoders(const struct scenario *scenario, const struct proof_choice *choice)
{
    return proof_simulation(scenario, choice)->decoder == NULL;
}

const char *proof_decoder_used(const struct scenario *scenario, const struct proof_choice *choice)
{
    return proof_has_decoders(scenario, choice) ? ldpc_algorithm_name(choice->algorithm)
                                                : proof_simulation(scenario, choice)->decoder;
}

struct simulation_choice proof_asked(const struct proof_choice *choice)
{
    return (struct simulation_choice){.channel = choice->channel,
                                      .algorithm = choice->algorithm,
                                      .iterations = choice->iterations,
                                      .demapper = choice->demapper,
                                      .pipe = choice->pipe,
                                      .other = choice->other};
}

enum status proof_receive(const struct scenario *scenario, const struct proof_choice *choice,
                          struct reception *reception, struct fault *fault)
{
    const struct system *system = system_of(scenario, choice->generation);
    return system->receive(scenario, choice->pipe, reception, fault);
}

enum status proof_check(const struct scenario *scenario, const struct proof_choice *choice,
                        struct fault *fault)
{
    const struct system_simulation *simulation = proof_simulation(scenario, choice);
    if (!simulation->channels[choice->channel]) {
        char allowed[64];
        size_t used = 0;
        for (int i = 0; i < CHANNEL_COUNT; i++) {
            if (simulation->channels[i]) {
                used += text_format(allowed + used, sizeof allowed - used, "%s%s",
                                    used > 0 ? " " : "", channel_names[i]);
            }
        }
        return fault_set(fault, STATUS_ILLEGAL, "--channel", allowed, "%s", simulation->only);
    }
    const struct system *system = system_of(scenario, choice->generation);
    if (choice->pipe < 0 || (system->pipes != NULL && choice->pipe >= system->pipes(scenario))) {
        return fault_set(fault, STATUS_OUT_OF_RANGE, "--plp", "the name of a PLP",
                         "there is no such PLP");
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
    const struct system *system = system_of(scenario, choice->generation);
    struct simulation_choice asked = proof_asked(choice);
    struct text words = {0};
    text_append(&words, system->name);
    system->simulation->describe(scenario, &asked, &words);
    text_printf(&words, ", %s", proof_channel_name(choice->channel));
    if (choice->channel == CHANNEL_CARRIERS) {
        text_printf(&words, " with %d %s", scenario->echo_count,
                    scenario->echo_count == 1 ? "echo" : "echoes");
        system->simulation->describe_channel(scenario, &asked, &words);
    }
    text_format(buffer, size, "%s", text_string(&words));
    text_free(&words);
}

const char *proof_echoes_note(const struct scenario *scenario, const struct proof_choice *choice)
{
    return choice->channel == CHANNEL_CARRIERS ? proof_simulation(scenario, choice)->note : "";
}

/* What a simulation is asked, and what it is asked of; for the profile's channel that of its place,
 * without its SNR: that is the run's. */
struct question {
    struct simulation_case asked;
    struct reception reception;
    struct conditions conditions;
    struct channel drawn; /* at the first position */
};

static enum status question_make(const struct scenario *scenario, const struct proof_choice *choice,
                                 struct question **question, struct fault *fault)
{
    struct question *q = malloc(sizeof *q);
    *question = q;
    if (q == NULL) {
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    enum status status = proof_receive(scenario, choice, &q->reception, fault);
    if (status == STATUS_OK) {
        status = conditions_make(scenario, choice->generation, &q->conditions, fault);
    }
    if (status == STATUS_OK) {
        channel_draw(&q->conditions.channel, 0, &q->drawn); /* as identity.c has it */
        q->asked =
            (struct simulation_case){scenario, proof_asked(choice), &q->reception, &q->drawn};
    }
    return status;
}

/* Short, for the explorer; what the command line offers is in what is allowed. */
static enum status no_snr_suffices(const struct proof_choice *choice, struct fault *fault)
{
    if (choice->channel != CHANNEL_CARRIERS) {
        return fault_set(fault, STATUS_NO_SOLUTION, "plp.injection_db",
                         "a deeper layer, or give --snr to see error rates",
                         "no SNR suffices under so strong a layer");
    }
    return fault_set(fault, STATUS_NO_SOLUTION, "echo", "give --snr to see error rates",
                     "no SNR suffices with these echoes");
}

static enum status told(enum status status, struct fault *fault)
{
    if (status == STATUS_OK || status == STATUS_STOPPED) {
        return status;
    }
    if (status == STATUS_NO_MEMORY) {
        return fault_of_status(fault, status);
    }
    return fault_set(fault, status, "echo", NULL, "%s",
                     status == STATUS_NO_SOLUTION ? "the rays cancel each other"
                                                  : status_message(status));
}

enum status proof_expected_snr_db(const struct scenario *scenario,
                                  const struct proof_choice *choice, double *snr_db,
                                  struct fault *fault)
{
    const struct system_simulation *simulation = proof_simulation(scenario, choice);
    if (choice->channel != CHANNEL_CARRIERS) {
        struct simulation_choice asked = proof_asked(choice);
        *snr_db = simulation->expected_db(scenario, &asked);
        return isfinite(*snr_db) ? STATUS_OK : no_snr_suffices(choice, fault);
    }
    struct question *question;
    enum status status = question_make(scenario, choice, &question, fault);
    if (status == STATUS_OK) {
        status = told(simulation->expected_in(&question->asked, snr_db), fault);
    }
    free(question);
    return status == STATUS_OK && !isfinite(*snr_db) ? no_snr_suffices(choice, fault) : status;
}

enum status proof_run(const struct scenario *scenario, const struct proof_choice *choice,
                      double snr_db, const struct run_limits *limits, struct run_watch *watch,
                      struct run_counts *counts, struct fault *fault)
{
    *counts = (struct run_counts){0};
    enum status status = proof_check(scenario, choice, fault);
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
    struct question *question;
    status = question_make(scenario, choice, &question, fault);
    if (status == STATUS_OK) {
        status = told(proof_simulation(scenario, choice)
                          ->run(&question->asked, snr_db, limits, watch, counts),
                      fault);
    }
    free(question);
    return status;
}

struct interval proof_interval(const struct run_counts *counts)
{
    return interval_of_rate(counts->frame_errors, counts->frames, PROOF_CONFIDENCE);
}
