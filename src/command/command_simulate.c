/* guardspan simulate: error rates by Monte Carlo. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "command/commands.h"
#include "command/simulate.h"

#define POINTS_MAX 1000
#define FIRST_FRAMES 312000 /* a thousand fields */
#define SECOND_FRAMES 10000
#define ERRORS 100
#define SWEEP_STEPS 8

struct sweep {
    double from_db, step_db;
    int points;
};

struct request {
    struct proof_choice choice;
    struct run_limits limits;
    struct sweep sweep;
};

/* A whole number of an option, or what it is without the option. */
static enum exit_status read_whole(const struct invocation *invocation, const char *name, int low,
                                   int without, int *value)
{
    const char *given = invocation_option(invocation, name);
    char allowed[64];
    *value = without;
    text_format(allowed, sizeof allowed, "%d to 2147483647", low);
    if (given && (!number_read_int(given, value) || *value < low)) {
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
        status = read_name(invocation, "--decoder", proof_decoder_from_name, "sum-product|min-sum",
                           &algorithm);
    }
    if (status == EXIT_DONE) {
        status = read_name(invocation, "--demapper", proof_demapper_from_name, "exact|max-log",
                           &demapper);
    }
    if (status == EXIT_DONE) {
        status = read_whole(invocation, "--iterations", 1, choice->iterations, &choice->iterations);
    }
    choice->generation = (enum generation)generation;
    choice->channel = (enum chain_channel)channel;
    choice->algorithm = (enum ldpc_algorithm)algorithm;
    choice->demapper = (enum demapper_method)demapper;
    struct fault fault;
    if (status == EXIT_DONE && proof_check(choice, &fault) != STATUS_OK) {
        status = invocation_fault_in(invocation, NULL, &fault);
    }
    return status;
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
            limits->part >= 1 && limits->part <= limits->parts && limits->parts <= 1000000) {
            return EXIT_DONE;
        }
    }
    return invocation_refuse(invocation, "--part", "I/N, I from 1 to N, N at most 1000000",
                             "\"%s\" is no such part", given);
}

static enum exit_status read_limits(const struct invocation *invocation,
                                    const struct proof_choice *choice, struct run_limits *limits)
{
    int frames = 0, errors = 0, seed = 0, threads = 0;
    int usual = choice->generation == GENERATION_FIRST ? FIRST_FRAMES : SECOND_FRAMES;
    enum exit_status status = read_whole(invocation, "--frames", 1, usual, &frames);
    if (status == EXIT_DONE) {
        status = read_whole(invocation, "--errors", 0, ERRORS, &errors);
    }
    if (status == EXIT_DONE) {
        status = read_whole(invocation, "--seed", 0, 1, &seed);
    }
    if (status == EXIT_DONE) {
        status = read_whole(invocation, "--threads", 1, run_processors(), &threads);
    }
    if (status == EXIT_DONE) {
        status = read_part(invocation, limits);
    }
    limits->frames = frames;
    limits->errors = errors;
    limits->seed = (uint64_t)seed;
    limits->threads = threads;
    struct fault fault;
    if (status == EXIT_DONE && run_limits_check(limits, &fault) != STATUS_OK) {
        status = invocation_fault_in(invocation, NULL, &fault);
    }
    return status;
}

/* "FROM:STEP:TO" or one SNR. False: malformed, or more than POINTS_MAX. */
static bool parse_sweep(const char *given, struct sweep *sweep)
{
    char pieces[3][32];
    double numbers[3];
    int count = 0;
    for (const char *at = given; count < 3; count++) {
        size_t length = strcspn(at, ":");
        if (length >= sizeof pieces[0]) {
            return false;
        }
        text_format(pieces[count], sizeof pieces[0], "%.*s", (int)length, at);
        if (!number_read_double(pieces[count], &numbers[count])) {
            return false;
        }
        if (at[length] == '\0') {
            count++;
            break;
        }
        if (count == 2) {
            return false;
        }
        at += length + 1;
    }
    *sweep = (struct sweep){numbers[0], 0.0, 1};
    if (count == 1) {
        return true;
    }
    if (count == 2 || !(numbers[1] > 0.0) || !(numbers[2] >= numbers[0])) {
        return false;
    }
    double points = floor((numbers[2] - numbers[0]) / numbers[1] + 1e-6) + 1.0;
    *sweep = (struct sweep){numbers[0], numbers[1], points <= POINTS_MAX ? (int)points : 0};
    return points <= POINTS_MAX;
}

static double sweep_snr_db(const struct sweep *sweep, int point)
{
    double snr_db = sweep->from_db + point * sweep->step_db;
    return round(snr_db * 1e6) / 1e6; /* 14.3, not 14.299999999999999 */
}

/* Without --snr: steps of a tenth around where the fall is expected. */
static enum exit_status read_sweep(const struct invocation *invocation,
                                   const struct proof_choice *choice, struct sweep *sweep)
{
    const char *given = invocation_option(invocation, "--snr");
    struct fault fault;
    double expected_db;
    if (!given) {
        if (proof_expected_snr_db(&invocation->profile.scenario, choice, &expected_db, &fault) !=
            STATUS_OK) {
            return invocation_fault(invocation, &fault);
        }
        double last_db = ceil(expected_db * 10.0) / 10.0 + 0.1;
        *sweep = (struct sweep){last_db - 0.1 * (SWEEP_STEPS - 1), 0.1, SWEEP_STEPS};
        return EXIT_DONE;
    }
    if (!parse_sweep(given, sweep) || sweep->from_db < PROOF_SNR_MIN_DB ||
        sweep_snr_db(sweep, sweep->points - 1) > PROOF_SNR_MAX_DB) {
        return invocation_refuse(invocation, "--snr",
                                 "FROM:STEP:TO or one SNR, -30 to 60 dB, STEP above 0, at most "
                                 "1000 points",
                                 "\"%s\" is no such range", given);
    }
    return EXIT_DONE;
}

static enum exit_status simulate(const struct invocation *invocation, const struct request *request,
                                 struct simulate_rows *rows, bool *stopped)
{
    rows->generation = request->choice.generation;
    for (int i = 0; i < request->sweep.points && !*stopped; i++) {
        struct simulate_task task = {.invocation = invocation,
                                     .choice = &request->choice,
                                     .limits = &request->limits,
                                     .snr_db = sweep_snr_db(&request->sweep, i),
                                     .decimals = 2,
                                     .point = i + 1,
                                     .points = request->sweep.points};
        struct simulate_row row = {.snr_db = task.snr_db, .seed = (int)request->limits.seed};
        struct fault fault;
        enum status status = simulate_point(&task, &row.counts, &fault);
        *stopped = status == STATUS_STOPPED || simulate_is_interrupted();
        if (status != STATUS_OK && status != STATUS_STOPPED) {
            return invocation_fault_in(invocation, NULL, &fault);
        }
        proof_describe(&invocation->profile.scenario, &request->choice, row.run, sizeof row.run);
        text_format(row.part, sizeof row.part, "%d/%d", request->limits.part,
                    request->limits.parts);
        if (row.counts.frames > 0 && simulate_rows_add(rows, &row) != STATUS_OK) {
            fault_set(&fault, STATUS_NO_MEMORY, "", NULL, "%s", status_message(STATUS_NO_MEMORY));
            return invocation_fault_in(invocation, NULL, &fault);
        }
    }
    return EXIT_DONE;
}

static enum exit_status write_rows(const struct invocation *invocation,
                                   const struct simulate_rows *rows, bool stopped)
{
    struct text text = {0};
    simulate_write(invocation, rows, &text);
    enum exit_status status = invocation_write(invocation, &text);
    text_free(&text);
    if (status == EXIT_DONE && stopped) {
        fputs("guardspan: stopped: the counts are those up to there\n", invocation->err);
        status = EXIT_FAILED;
    }
    return status;
}

static enum exit_status run_simulate(struct invocation *invocation)
{
    struct request request = {0};
    struct simulate_rows rows = {0};
    bool stopped = false;
    enum exit_status status = read_choice(invocation, &request.choice);
    if (status == EXIT_DONE) {
        status = read_limits(invocation, &request.choice, &request.limits);
    }
    if (status == EXIT_DONE && invocation_option(invocation, "--merge")) {
        status = simulate_merge(invocation, &rows);
    } else if (status == EXIT_DONE) {
        status = read_sweep(invocation, &request.choice, &request.sweep);
        if (status == EXIT_DONE) {
            simulate_interrupts_begin();
            status = simulate(invocation, &request, &rows, &stopped);
            simulate_interrupts_end();
        }
    }
    if (status == EXIT_DONE) {
        status = write_rows(invocation, &rows, stopped);
    }
    simulate_rows_free(&rows);
    return status;
}

static const struct option_row options[] = {
    {"--generation", "second|first", "OFDM (the default) or 8-VSB"},
    {"--channel", "awgn|rayleigh|profile", "white noise (default), fading, the echoes"},
    {"--snr", "FROM:STEP:TO", "dB; or one SNR (around the threshold)"},
    {"--frames", "N", "code words (10000), segments (312000) at most"},
    {"--errors", "N", "stop at so many wrong ones (100); 0: never"},
    {"--seed", "S", "of the random numbers (1)"},
    {"--threads", "T", "processors to use (all)"},
    {"--decoder", "sum-product|min-sum", "exact (the default), or fast in fixed point"},
    {"--demapper", "exact|max-log", "all points (the default), or the nearest"},
    {"--iterations", "N", "of the decoder, at most (50)"},
    {"--part", "I/N", "only every N-th code word from the I-th on"},
    {"--merge", "FILE...", "add results of parts (JSON) instead"},
    {0},
};

const struct command command_simulate = {
    .name = "simulate",
    .operands = "[PROFILE]",
    .summary = "error rates by Monte Carlo, with the standard's own codes",
    .options = options,
    .takes_profile = 1,
    .notes = "The same seed gives the same counts, whatever the number of threads. Ctrl-C ends\n"
             "a run: what was counted until then is written, and the exit status is 1.\n\n"
             "Over several machines: run the parts 1/4 to 4/4 with the same options, each with\n"
             "--format json, then --merge. Without a limit of errors (--errors 0) the sum is\n"
             "exactly that of the whole run; with one, each part stops at its share. With GNU\n"
             "parallel, and as one of a Slurm array:\n"
             "  parallel guardspan simulate --part {}/4 --errors 0 --format json \\\n"
             "    '>' part{}.json ::: 1 2 3 4\n"
             "  guardspan simulate --part $SLURM_ARRAY_TASK_ID/$SLURM_ARRAY_TASK_COUNT ...\n"
             "  guardspan simulate --merge part*.json",
    .run = run_simulate,
};
