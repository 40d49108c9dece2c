/* What the options of simulate ask for; those without effect are refused. */
#include <limits.h>
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "command/simulate/simulate.h"

#define POINTS_MAX 1000
#define ERRORS 100
#define SWEEP_STEPS 8

/* A whole number of an option, or what it is without the option. */
static enum exit_status read_whole(const struct invocation *invocation, const char *name, int low,
                                   int high, int *value)
{
    const char *given = invocation_option(invocation, name);
    char allowed[64];
    text_format(allowed, sizeof allowed, "%d to %d", low, high);
    if (given && (!number_read_int(given, value) || *value < low || *value > high)) {
        return invocation_refuse(invocation, name, allowed, "\"%s\" is not such a whole number",
                                 given);
    }
    return EXIT_DONE;
}

/* A name of an option's list; `value` stays what it is without the option. */
static enum exit_status read_name(const struct invocation *invocation, const char *name,
                                  int (*find)(const char *), const char *allowed, int *value)
{
    const char *given = invocation_option(invocation, name);
    int found = given ? find(given) : *value;
    if (found < 0) {
        return invocation_refuse(invocation, name, allowed, "\"%s\" is unknown", given);
    }
    *value = found;
    return EXIT_DONE;
}

static int find_generation(const char *name)
{
    return strcmp(name, generation_name(GENERATION_FIRST)) == 0    ? (int)GENERATION_FIRST
           : strcmp(name, generation_name(GENERATION_SECOND)) == 0 ? (int)GENERATION_SECOND
                                                                   : -1;
}

/* Which PLP is simulated, and what its receiver knows of the other layer. */
static enum exit_status read_pipe(const struct invocation *invocation, struct proof_choice *choice)
{
    const struct scenario *scenario = &invocation->profile.scenario;
    const char *given = invocation_option(invocation, "--plp");
    int other = (int)choice->other;
    choice->pipe = given ? proof_pipe_from_name(scenario, given) : 0;
    if (choice->pipe < 0) {
        return invocation_refuse(invocation, "--plp", "the name of a [plp NAME] of the profile",
                                 "there is no PLP \"%s\"", given);
    }
    enum exit_status status =
        read_name(invocation, "--other-layer", proof_other_layer_from_name, "noise|known", &other);
    choice->other = (enum other_layer)other;
    return status;
}

static enum exit_status read_choice(const struct invocation *invocation,
                                    struct proof_choice *choice)
{
    *choice = proof_choice_default();
    int generation = (int)choice->generation, channel = (int)choice->channel;
    int algorithm = (int)choice->algorithm, demapper = (int)choice->demapper;
    enum exit_status status =
        read_name(invocation, "--generation", find_generation, "second|first", &generation);
    if (status == EXIT_DONE) {
        status = read_name(invocation, "--channel", proof_channel_from_name,
                           "awgn|rayleigh|profile", &channel);
    }
    if (status == EXIT_DONE) {
        status = read_name(invocation, "--decoder", proof_decoder_from_name,
                           "sum-product|box-plus|min-sum", &algorithm);
    }
    if (status == EXIT_DONE) {
        status = read_name(invocation, "--demapper", proof_demapper_from_name, "exact|max-log",
                           &demapper);
    }
    if (status == EXIT_DONE) {
        status =
            read_whole(invocation, "--iterations", 1, CHAIN_ITERATIONS_MAX, &choice->iterations);
    }
    choice->generation = (enum generation)generation;
    choice->channel = (enum chain_channel)channel;
    choice->algorithm = (enum ldpc_algorithm)algorithm;
    choice->demapper = (enum demapper_method)demapper;
    if (status == EXIT_DONE) {
        status = read_pipe(invocation, choice);
    }
    struct fault fault;
    if (status == EXIT_DONE &&
        proof_check(&invocation->profile.scenario, choice, &fault) != STATUS_OK) {
        status = invocation_fault_in(invocation, NULL, &fault);
    }
    return status;
}

/* What chooses a decoder decides nothing where there is one only, and nothing decides how what is
 * only added was counted. */
static enum exit_status refuse_without_effect(const struct invocation *invocation,
                                              const struct proof_choice *choice)
{
    static const char *const choosing[] = {"--decoder", "--demapper", "--iterations", "--plp",
                                           "--other-layer"};
    const struct scenario *scenario = &invocation->profile.scenario;
    for (size_t i = 0; i < sizeof choosing / sizeof choosing[0]; i++) {
        if (!proof_has_decoders(scenario, choice) && invocation_option(invocation, choosing[i])) {
            return invocation_refuse(invocation, choosing[i], "only with LDPC codes",
                                     "has no effect on the %s generation",
                                     generation_name(choice->generation));
        }
    }
    return EXIT_DONE;
}

static enum exit_status refuse_beside_merge(const struct invocation *invocation)
{
    const char *name = invocation->set_count > 0 ? "--set" : invocation->profile_path;
    for (int i = 0; i < invocation->option_count && !name; i++) {
        const char *option = invocation->options[i].row->name;
        name = strcmp(option, "--merge") != 0 ? option : NULL;
    }
    return name ? invocation_refuse(invocation, name, "--merge takes --format only",
                                    "has no effect on what is merged")
                : EXIT_DONE;
}

static enum exit_status read_part(const struct invocation *invocation, struct run_limits *limits)
{
    const char *given = invocation_option(invocation, "--part");
    char first[32];
    const char *slash = given ? strchr(given, '/') : NULL;
    limits->part = limits->parts = 1;
    if (!given) {
        return EXIT_DONE;
    }
    if (slash && (size_t)(slash - given) < sizeof first) {
        text_format(first, sizeof first, "%.*s", (int)(slash - given), given);
        if (number_read_int(first, &limits->part) && number_read_int(slash + 1, &limits->parts) &&
            limits->part >= 1 && limits->part <= limits->parts &&
            limits->parts <= SIMULATE_PARTS_MAX) {
            return EXIT_DONE;
        }
    }
    return invocation_refuse(invocation, "--part", "I/N, I from 1 to N, N at most 1000000",
                             "\"%s\" is no such part", given);
}

static enum exit_status read_limits(const struct invocation *invocation,
                                    const struct proof_choice *choice, struct run_limits *limits)
{
    const struct scenario *scenario = &invocation->profile.scenario;
    int frames = (int)proof_simulation(scenario, choice)->count.most;
    int errors = ERRORS, seed = 1;
    enum exit_status status = read_whole(invocation, "--frames", 1, INT_MAX, &frames);
    if (status == EXIT_DONE) {
        status = read_whole(invocation, "--errors", 0, INT_MAX, &errors);
    }
    if (status == EXIT_DONE) {
        status = read_whole(invocation, "--seed", 0, INT_MAX, &seed);
    }
    limits->threads = run_processors();
    if (status == EXIT_DONE) {
        status = read_whole(invocation, "--threads", 1, RUN_THREADS_MAX, &limits->threads);
    }
    if (status == EXIT_DONE) {
        status = read_part(invocation, limits);
    }
    limits->frames = frames;
    limits->errors = errors;
    limits->seed = (uint64_t)seed;
    struct fault fault;
    if (status == EXIT_DONE && run_limits_check(limits, &fault) != STATUS_OK) {
        status = invocation_fault_in(invocation, NULL, &fault);
    }
    return status;
}

/* One to three numbers with colons between them; how many, 0 where it is anything else. */
static int read_numbers(const char *given, double numbers[3])
{
    const char *at = given;
    for (int count = 0; count < 3; count++) {
        char piece[32];
        size_t length = strcspn(at, ":");
        if (length >= sizeof piece) {
            return 0;
        }
        text_format(piece, sizeof piece, "%.*s", (int)length, at);
        if (!number_read_double(piece, &numbers[count])) {
            return 0;
        }
        if (at[length] == '\0') {
            return count + 1;
        }
        at += length + 1;
    }
    return 0;
}

/* SNRs that are closer share their random numbers: no others are simulated. */
static bool is_whole_mdb(double db)
{
    return fabs(db * 1e3 - round(db * 1e3)) < 1e-6;
}

/* "FROM:STEP:TO" or one SNR. NULL, or what is wrong with it. */
static const char *parse_sweep(const char *given, struct simulate_sweep *sweep)
{
    double numbers[3] = {0.0, 1.0, 0.0};
    int count = read_numbers(given, numbers);
    double last = count == 1 ? numbers[0] : numbers[2];
    if (count == 0 || count == 2 || !(numbers[1] > 0.0) || !(last >= numbers[0])) {
        return "is no such range";
    }
    if (numbers[0] < PROOF_SNR_MIN_DB || last > PROOF_SNR_MAX_DB) {
        return "is out of range";
    }
    if (!is_whole_mdb(numbers[0]) || !is_whole_mdb(numbers[1])) {
        return "is finer than 0.001 dB";
    }
    double points = floor((last - numbers[0]) / numbers[1] + 1e-6) + 1.0;
    if (points > POINTS_MAX) {
        return "has more than 1000 points";
    }
    *sweep = (struct simulate_sweep){lround(numbers[0] * 1e3), lround(fmin(numbers[1], 1e3) * 1e3),
                                     (int)points};
    return NULL;
}

/* Without --snr: steps of a tenth around where the fall is expected. */
static enum exit_status read_sweep(const struct invocation *invocation,
                                   const struct proof_choice *choice, struct simulate_sweep *sweep)
{
    const char *given = invocation_option(invocation, "--snr");
    const char *wrong = given ? parse_sweep(given, sweep) : NULL;
    struct fault fault;
    double expected_db;
    if (wrong) {
        return invocation_refuse(invocation, "--snr",
                                 "FROM:STEP:TO or one SNR, -30 to 60 dB in multiples of 0.001 dB, "
                                 "STEP above 0, at most 1000 points",
                                 "\"%s\" %s", given, wrong);
    }
    if (given) {
        return EXIT_DONE;
    }
    if (proof_expected_snr_db(&invocation->profile.scenario, choice, &expected_db, &fault) !=
        STATUS_OK) {
        return invocation_fault(invocation, &fault);
    }
    long last_mdb = 100 * lround(ceil(expected_db * 10.0)) + 100;
    *sweep = (struct simulate_sweep){last_mdb - 100 * (SWEEP_STEPS - 1), 100, SWEEP_STEPS};
    return EXIT_DONE;
}

enum exit_status simulate_request_read(const struct invocation *invocation,
                                       struct simulate_request *request)
{
    if (invocation_option(invocation, "--merge")) {
        return refuse_beside_merge(invocation);
    }
    enum exit_status status = read_choice(invocation, &request->choice);
    if (status == EXIT_DONE) {
        status = refuse_without_effect(invocation, &request->choice);
    }
    if (status == EXIT_DONE) {
        status = read_limits(invocation, &request->choice, &request->limits);
    }
    return status == EXIT_DONE ? read_sweep(invocation, &request->choice, &request->sweep) : status;
}
