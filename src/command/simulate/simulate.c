/* guardspan simulate: error rates by Monte Carlo. */
#include "command/simulate/simulate.h"
#include "command/commands.h"

/* One SNR; also what was counted of it until a stop is a row. */
static enum exit_status simulate_row(const struct simulate_task *task, long snr_mdb,
                                     struct simulate_rows *rows, bool *stopped)
{
    const struct run_limits *limits = task->limits;
    struct simulate_row row = {.snr_mdb = snr_mdb, .seed = (int)limits->seed};
    struct fault fault;
    enum status status = simulate_point(task, &row.counts, &fault);
    *stopped = status == STATUS_STOPPED || simulate_is_interrupted();
    if (status == STATUS_STOPPED) {
        status = STATUS_OK;
    }
    text_format(row.part, sizeof row.part, "%d/%d", limits->part, limits->parts);
    if (status == STATUS_OK && row.counts.frames > 0) {
        status = simulate_rows_add(rows, &row);
        fault_of_status(&fault, status);
    }
    return status == STATUS_OK ? EXIT_DONE : invocation_fault_in(task->invocation, NULL, &fault);
}

static int sweep_decimals(const struct simulate_sweep *sweep)
{
    return sweep->from_mdb % 10 == 0 && (sweep->points == 1 || sweep->step_mdb % 10 == 0) ? 2 : 3;
}

static enum exit_status simulate_sweep(const struct invocation *invocation,
                                       const struct simulate_request *request,
                                       struct simulate_rows *rows, bool *stopped)
{
    enum exit_status status = EXIT_DONE;
    for (int i = 0; i < request->sweep.points && status == EXIT_DONE && !*stopped; i++) {
        long snr_mdb = request->sweep.from_mdb + i * request->sweep.step_mdb;
        struct simulate_task task = {.invocation = invocation,
                                     .choice = &request->choice,
                                     .limits = &request->limits,
                                     .snr_db = (double)snr_mdb / 1e3,
                                     .decimals = sweep_decimals(&request->sweep),
                                     .point = i + 1,
                                     .points = request->sweep.points};
        status = simulate_row(&task, snr_mdb, rows, stopped);
    }
    return status;
}

static void say_why_nothing(const struct simulate_request *request, bool stopped,
                            struct simulate_rows *rows)
{
    const struct run_limits *limits = &request->limits;
    const struct simulation_count *count = &rows->system->simulation->count;
    long units = (limits->frames + count->unit_frames - 1) / count->unit_frames;
    if (stopped) {
        text_format(rows->nothing, sizeof rows->nothing,
                    "Nothing was counted: stopped before the first %s.", count->unit);
    } else {
        text_format(rows->nothing, sizeof rows->nothing,
                    "Nothing to count: with %ld %s%s in %d parts, part %d has none.", units,
                    count->unit, units == 1 ? "" : "s", limits->parts, limits->part);
    }
}

static enum exit_status simulate(const struct invocation *invocation,
                                 const struct simulate_request *request, struct simulate_rows *rows,
                                 bool *stopped)
{
    struct fault fault;
    rows->system = system_of(&invocation->profile.scenario, request->choice.generation);
    if (proof_identify(&invocation->profile.scenario, &request->choice, rows->run, sizeof rows->run,
                       &fault) != STATUS_OK) {
        return invocation_fault(invocation, &fault);
    }
    simulate_interrupts_begin();
    enum exit_status status = simulate_sweep(invocation, request, rows, stopped);
    simulate_interrupts_end();
    say_why_nothing(request, *stopped, rows);
    return status;
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
    struct simulate_request request = {0};
    struct simulate_rows rows = {0};
    bool stopped = false;
    enum exit_status status = simulate_request_read(invocation, &request);
    if (status == EXIT_DONE) {
        status = invocation_option(invocation, "--merge")
                     ? simulate_merge(invocation, &rows)
                     : simulate(invocation, &request, &rows, &stopped);
    }
    if (status == EXIT_DONE) {
        status = write_rows(invocation, &rows, stopped);
    }
    simulate_rows_free(&rows);
    return status;
}

static const struct option_row options[] = {
    {"--generation", "second|first", "which generation's receiver (second)"},
    {"--channel", "awgn|rayleigh|profile", "white noise (default), fading, the echoes"},
    {"--snr", "FROM:STEP:TO", "dB; or one SNR (around the threshold)"},
    {"--frames", "N", "code words (10000), or segments (312000) in whole fields of 312, at most"},
    {"--errors", "N", "stop at so many wrong ones (100); 0: never"},
    {"--seed", "S", "of the random numbers (1)"},
    {"--threads", "T", "processors to use, 1 to 256 (all)"},
    {"--decoder", "sum-product|box-plus|min-sum",
     "exact (the default), almost exact in half the time, or fast"},
    {"--demapper", "exact|max-log", "all points (the default), or the nearest"},
    {"--plp", "NAME",
     "which of the profile's PLPs (the first); a layer is sent with the other one"},
    {"--other-layer", "noise|known", "what the core's demapper takes the layer above for (noise)"},
    {"--iterations", "N", "of the decoder, at most, 1 to 1000 (50)"},
    {"--part", "I/N", "only every N-th code word or field from the I-th on"},
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
