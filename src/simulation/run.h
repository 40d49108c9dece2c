#ifndef SIMULATION_RUN_H
#define SIMULATION_RUN_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

#include "base/status.h"

/* Runs of many threads. Work comes in numbered units, each with random numbers of its own (seed
 * and number); results are added in the order of the numbers and the run stops at the first number
 * where a limit is reached, so that the same seed gives the same counts whatever the number of
 * threads, and parts of a run can be done elsewhere and added. */

#define RUN_THREADS_MAX 256

struct run_counts {
    long frames; /* code words, or segments of the first generation */
    long frame_errors;
    long planned; /* frames of the whole run or part; more than were counted: it ended early */
    long long bits;
    long long bit_errors;
    long long iterations; /* of the decoder, all frames together */
};

/* What is run. `context` is shared by all threads and must not change. */
struct run_job {
    const void *context;
    void *(*worker_create)(const void *context); /* a thread's own; NULL: no memory */
    void (*worker_free)(void *worker);
    /* 0 frames: no memory. */
    struct run_counts (*unit)(const void *context, void *worker, uint64_t seed, uint64_t number);
    long frames_per_unit;
};

struct run_limits {
    long frames; /* 1 or more: units are run until at least so many frames are counted */
    long errors; /* stop at so many frame errors; 0: no such limit */
    uint64_t seed;
    int threads;     /* 1..RUN_THREADS_MAX */
    int part, parts; /* part 1..parts: every parts-th unit from the part-th on */
};

/* Shared with whoever watches: counters to read while the run goes on, and the wish to stop. */
struct run_watch {
    atomic_bool stop;
    atomic_long frames, frame_errors;
    atomic_llong bits, bit_errors, iterations;
};
void run_watch_clear(struct run_watch *watch);

/* STATUS_OUT_OF_RANGE with a fault naming the limit ("--frames", ...) unless all are in range. */
enum status run_limits_check(const struct run_limits *limits, struct fault *fault);

/* Runs to a limit, or to the wish to stop (STATUS_STOPPED; the counts are those of the units before
 * the first one missing). A part stops at its share of the errors, rounded up. Parts without an
 * error limit add up to exactly the counts of the whole run. `watch` may be NULL. */
enum status run_execute(const struct run_job *job, const struct run_limits *limits,
                        struct run_watch *watch, struct run_counts *counts);

void run_counts_add(struct run_counts *sum, const struct run_counts *add);

double run_frame_error_rate(const struct run_counts *counts); /* NAN without frames */
double run_bit_error_rate(const struct run_counts *counts);
double run_mean_iterations(const struct run_counts *counts);

/* A seed of its own for every SNR (told apart to a thousandth of a dB), so that the points of a
 * sweep are independent experiments. */
uint64_t run_seed_of_snr(uint64_t seed, double snr_db);

/* Processors that this process may use. */
int run_processors(void);

#endif
