/* The simulation beside the interface: a worker goes from step to step of the sweep; the interface
 * looks at what has been counted. */
#include "explorer/prove/job.h"

#include <stdlib.h>

/* ---- The worker. ---- */

/* The next step, with the watch cleared for it; false when nothing is left. */
static bool next_step(struct prove_work *work)
{
    pthread_mutex_lock(&work->lock);
    bool more = proof_sweep_next(&work->sweep, work->threads, &work->step);
    run_watch_clear(&work->watch);
    pthread_mutex_unlock(&work->lock);
    return more;
}

static void take_step(struct prove_work *work, const struct run_counts *counts)
{
    pthread_mutex_lock(&work->lock);
    proof_sweep_take(&work->sweep, work->step.point, counts);
    run_counts_add(&work->spent, counts);
    run_watch_clear(&work->watch);
    pthread_mutex_unlock(&work->lock);
}

/* With echoes even the plan takes time. */
static enum status plan(struct prove_work *work)
{
    struct proof_sweep sweep;
    enum status status = STATUS_OK;
    if (work->sweep.count == 0) {
        status = proof_sweep_plan(&work->scenario, &work->sweep.choice, &sweep, &work->fault);
        pthread_mutex_lock(&work->lock);
        if (status == STATUS_OK) {
            work->sweep = sweep;
        }
        pthread_mutex_unlock(&work->lock);
    }
    return status;
}

/* The wish to stop comes first to the job, then to the watch: whoever clears the watch looks at the
 * job afterwards. */
static void run(struct job *job, void *context)
{
    struct prove_work *work = context;
    work->status = plan(work);
    while (work->status == STATUS_OK && next_step(work)) {
        struct run_counts counts;
        if (job_is_stopped(job)) {
            work->status = STATUS_STOPPED;
            return;
        }
        work->status = proof_run(&work->scenario, &work->sweep.choice, work->step.snr_db,
                                 &work->step.limits, &work->watch, &counts, &work->fault);
        take_step(work, &counts);
    }
}

/* ---- The interface. ---- */

static void free_work(struct prove_state *state)
{
    pthread_mutex_destroy(&state->work->lock);
    free(state->work);
    state->work = NULL;
}

void prove_begin(struct desk *desk, struct prove_state *state)
{
    int processors = run_processors();
    state->work = calloc(1, sizeof *state->work);
    if (!state->work) {
        desk_say(desk, TONE_WARN, "Out of memory: nothing is simulated.");
        return;
    }
    state->work->scenario = desk->profile.scenario;
    state->work->sweep = state->sweep;
    state->work->sweep.choice = state->choice;
    state->work->threads = processors > 1 ? processors - 1 : 1; /* one stays with the interface */
    clock_gettime(CLOCK_MONOTONIC, &state->work->begin);
    pthread_mutex_init(&state->work->lock, NULL);
    if (job_start(&state->job, run, state->work)) {
        state->phase = PROVE_RUNNING;
        state->progress = (struct prove_progress){0};
    } else {
        free_work(state);
        desk_say(desk, TONE_WARN, "No thread can be had: nothing is simulated.");
    }
}

static double seconds_since(const struct timespec *begin)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)(now.tv_sec - begin->tv_sec) + 1e-9 * (double)(now.tv_nsec - begin->tv_nsec);
}

/* Share of a step, by whichever limit is nearer. */
static double share_of(const struct run_limits *limits, long frames, long errors)
{
    double by_frames = limits->frames > 0 ? (double)frames / (double)limits->frames : 0.0;
    double by_errors = limits->errors > 0 ? (double)errors / (double)limits->errors : 0.0;
    double share = by_frames > by_errors ? by_frames : by_errors;
    return share < 1.0 ? share : 1.0;
}

void prove_look(struct prove_state *state)
{
    struct prove_work *work = state->work;
    struct prove_progress *progress = &state->progress;
    if (!work) {
        return;
    }
    pthread_mutex_lock(&work->lock);
    struct run_counts now = {.frames = atomic_load(&work->watch.frames),
                             .frame_errors = atomic_load(&work->watch.frame_errors),
                             .bits = atomic_load(&work->watch.bits),
                             .bit_errors = atomic_load(&work->watch.bit_errors),
                             .iterations = atomic_load(&work->watch.iterations)};
    struct run_counts all = work->spent;
    state->sweep = work->sweep;
    progress->step = work->step;
    pthread_mutex_unlock(&work->lock);
    double seconds = seconds_since(&work->begin);
    run_counts_add(&all, &now);
    proof_sweep_take(&state->sweep, progress->step.point, &now);
    progress->frames = now.frames;
    progress->errors = now.frame_errors;
    progress->share = share_of(&progress->step.limits, now.frames, now.frame_errors);
    progress->rate_hz = seconds > 0.0 ? (double)all.frames / seconds : 0.0;
    progress->mbit_s = seconds > 0.0 ? (double)all.bits / seconds * 1e-6 : 0.0;
}

/* After the thread has been joined. */
static void collect(struct prove_state *state)
{
    struct prove_work *work = state->work;
    state->sweep = work->sweep;
    state->fault = work->fault;
    state->phase = work->status == STATUS_OK        ? PROVE_DONE
                   : work->status == STATUS_STOPPED ? PROVE_STOPPED
                                                    : PROVE_FAILED;
    free_work(state);
}

void prove_end(struct prove_state *state)
{
    if (state->work && job_finished(&state->job)) {
        collect(state);
    }
}

void prove_ask_stop(struct prove_state *state)
{
    if (state->work) {
        job_ask_stop(&state->job);
        atomic_store(&state->work->watch.stop, true);
        state->phase = PROVE_STOPPING;
    }
}

void prove_stop(struct prove_state *state)
{
    if (state->work) {
        prove_ask_stop(state);
        job_stop(&state->job);
        collect(state);
    }
}
