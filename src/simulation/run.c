#define _GNU_SOURCE /* sched_getaffinity. NOLINT(bugprone-reserved-identifier) */

/* Threads take unit after unit; whoever finishes the next one in order adds all that wait. */
#include "simulation/run.h"

#include <math.h>
#include <pthread.h>
#include <sched.h>
#include <stdlib.h>
#include <unistd.h>

#define FRAMES_MAX 2147483647L

/* Results wait here until all before them have come: slot number % slots. */
struct slot {
    bool ready;
    struct run_counts counts;
};

struct run {
    const struct run_job *job;
    const struct run_limits *limits;
    struct run_watch *watch;
    long units;       /* of this part, at most */
    long error_limit; /* of this part */
    int slot_count;
    struct slot *slots;
    pthread_mutex_t lock;
    pthread_cond_t room; /* a slot has become free, or the run is over */
    long next_unit;      /* to be taken by a thread */
    long next_to_add;
    bool over;
    bool no_memory;
    struct run_counts sum;
};

void run_watch_clear(struct run_watch *watch)
{
    atomic_store(&watch->stop, false);
    atomic_store(&watch->frames, 0);
    atomic_store(&watch->frame_errors, 0);
    atomic_store(&watch->bits, 0);
    atomic_store(&watch->bit_errors, 0);
    atomic_store(&watch->iterations, 0);
}

void run_counts_add(struct run_counts *sum, const struct run_counts *add)
{
    sum->frames += add->frames;
    sum->frame_errors += add->frame_errors;
    sum->planned += add->planned;
    sum->bits += add->bits;
    sum->bit_errors += add->bit_errors;
    sum->iterations += add->iterations;
}

static double share(double part, double whole)
{
    return whole > 0.0 ? part / whole : NAN;
}

double run_frame_error_rate(const struct run_counts *counts)
{
    return share((double)counts->frame_errors, (double)counts->frames);
}

double run_bit_error_rate(const struct run_counts *counts)
{
    return share((double)counts->bit_errors, (double)counts->bits);
}

double run_mean_iterations(const struct run_counts *counts)
{
    return share((double)counts->iterations, (double)counts->frames);
}

uint64_t run_seed_of_snr(uint64_t seed, double snr_db)
{
    return seed ^ ((uint64_t)llround(snr_db * 1000.0) * 0x9E3779B97F4A7C15u);
}

int run_processors(void)
{
#if defined(__linux__)
    cpu_set_t set;
    if (sched_getaffinity(0, sizeof set, &set) == 0 && CPU_COUNT(&set) > 0) {
        return CPU_COUNT(&set) < RUN_THREADS_MAX ? CPU_COUNT(&set) : RUN_THREADS_MAX;
    }
#endif
    long online = sysconf(_SC_NPROCESSORS_ONLN);
    return online < 1 ? 1 : online > RUN_THREADS_MAX ? RUN_THREADS_MAX : (int)online;
}

enum status run_limits_check(const struct run_limits *limits, struct fault *fault)
{
    if (limits->frames < 1 || limits->frames > FRAMES_MAX) {
        return fault_set(fault, STATUS_OUT_OF_RANGE, "--frames", "1 to 2147483647",
                         "%ld is out of range", limits->frames);
    }
    if (limits->errors < 0 || limits->errors > FRAMES_MAX) {
        return fault_set(fault, STATUS_OUT_OF_RANGE, "--errors", "0 (no limit) to 2147483647",
                         "%ld is out of range", limits->errors);
    }
    if (limits->threads < 1 || limits->threads > RUN_THREADS_MAX) {
        return fault_set(fault, STATUS_OUT_OF_RANGE, "--threads", "1 to 256", "%d is out of range",
                         limits->threads);
    }
    if (limits->parts < 1 || limits->part < 1 || limits->part > limits->parts) {
        return fault_set(fault, STATUS_OUT_OF_RANGE, "--part", "I/N with I from 1 to N",
                         "part %d of %d does not exist", limits->part, limits->parts);
    }
    return STATUS_OK;
}

static void publish(struct run *run)
{
    struct run_watch *watch = run->watch;
    if (watch) {
        atomic_store(&watch->frames, run->sum.frames);
        atomic_store(&watch->frame_errors, run->sum.frame_errors);
        atomic_store(&watch->bits, run->sum.bits);
        atomic_store(&watch->bit_errors, run->sum.bit_errors);
        atomic_store(&watch->iterations, run->sum.iterations);
    }
}

/* Adds what has come in order; under the lock. */
static void add_ready(struct run *run)
{
    struct slot *slot = &run->slots[run->next_to_add % run->slot_count];
    while (slot->ready && !run->over) {
        run_counts_add(&run->sum, &slot->counts);
        slot->ready = false;
        run->next_to_add++;
        run->over = run->next_to_add >= run->units ||
                    (run->error_limit > 0 && run->sum.frame_errors >= run->error_limit);
        slot = &run->slots[run->next_to_add % run->slot_count];
    }
    publish(run);
    pthread_cond_broadcast(&run->room);
}

/* The next unit for a thread, -1 when there is none; under the lock. */
static long take_unit(struct run *run)
{
    while (!run->over && run->next_unit - run->next_to_add >= run->slot_count) {
        pthread_cond_wait(&run->room, &run->lock);
    }
    if (run->watch && atomic_load(&run->watch->stop)) {
        run->over = true;
        pthread_cond_broadcast(&run->room);
    }
    return run->over || run->next_unit >= run->units ? -1 : run->next_unit++;
}

/* For want of memory; under the lock. */
static void give_up(struct run *run)
{
    run->no_memory = run->over = true;
    pthread_cond_broadcast(&run->room);
}

static void work(struct run *run, void *worker)
{
    const struct run_limits *limits = run->limits;
    pthread_mutex_lock(&run->lock);
    for (long unit = take_unit(run); unit >= 0; unit = take_unit(run)) {
        pthread_mutex_unlock(&run->lock);
        uint64_t number = (uint64_t)unit * (uint64_t)limits->parts + (uint64_t)(limits->part - 1);
        struct run_counts counts = run->job->unit(run->job->context, worker, limits->seed, number);
        pthread_mutex_lock(&run->lock);
        if (counts.frames == 0) {
            give_up(run);
            break;
        }
        run->slots[unit % run->slot_count] = (struct slot){true, counts};
        add_ready(run);
    }
    pthread_mutex_unlock(&run->lock);
}

static void *thread_main(void *argument)
{
    struct run *run = argument;
    void *worker = run->job->worker_create(run->job->context);
    if (!worker) {
        pthread_mutex_lock(&run->lock);
        give_up(run);
        pthread_mutex_unlock(&run->lock);
        return NULL;
    }
    work(run, worker);
    run->job->worker_free(worker);
    return NULL;
}

/* Starts the threads and waits for them. One that cannot be started is done without, the last one
 * is the caller's. */
static void run_threads(struct run *run)
{
    pthread_t threads[RUN_THREADS_MAX];
    int started = 0;
    long wanted = run->limits->threads < run->units ? run->limits->threads : run->units;
    while (started + 1 < wanted && pthread_create(&threads[started], NULL, thread_main, run) == 0) {
        started++;
    }
    thread_main(run);
    for (int i = 0; i < started; i++) {
        pthread_join(threads[i], NULL);
    }
}

static long units_of_part(const struct run_job *job, const struct run_limits *limits)
{
    long all = (limits->frames + job->frames_per_unit - 1) / job->frames_per_unit;
    return (all + limits->parts - limits->part) / limits->parts;
}

enum status run_execute(const struct run_job *job, const struct run_limits *limits,
                        struct run_watch *watch, struct run_counts *counts)
{
    *counts = (struct run_counts){0};
    enum status status = run_limits_check(limits, NULL);
    if (status != STATUS_OK) {
        return status;
    }
    struct run run = {.job = job,
                      .limits = limits,
                      .watch = watch,
                      .units = units_of_part(job, limits),
                      .error_limit = (limits->errors + limits->parts - 1) / limits->parts,
                      .slot_count = 8 * limits->threads};
    if (run.units == 0) {
        return STATUS_OK;
    }
    run.slots = calloc((size_t)run.slot_count, sizeof *run.slots);
    if (!run.slots) {
        return STATUS_NO_MEMORY;
    }
    pthread_mutex_init(&run.lock, NULL);
    pthread_cond_init(&run.room, NULL);
    run_threads(&run);
    pthread_cond_destroy(&run.room);
    pthread_mutex_destroy(&run.lock);
    free(run.slots);
    *counts = run.sum;
    counts->planned = run.units * job->frames_per_unit;
    bool complete = run.next_to_add >= run.units ||
                    (run.error_limit > 0 && run.sum.frame_errors >= run.error_limit);
    return run.no_memory ? STATUS_NO_MEMORY : complete ? STATUS_OK : STATUS_STOPPED;
}
