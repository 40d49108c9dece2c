/* How a simulation grows with threads: frames a second of wall time with 1, 2, 4 ... threads up to
 * the processors there are, each over that of one thread. Beside it the same work done by as many
 * processes that share nothing: what the machine itself gives, where processors share a core or
 * slow one another down. The threads' loss is the difference between the two. Wants a quiet
 * machine. */
#define _DEFAULT_SOURCE /* MAP_ANONYMOUS. NOLINT(bugprone-reserved-identifier) */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "base/number.h"
#include "physics/information/required_snr.h"
#include "simulation/chain/chain_run.h"

struct row {
    const char *name;
    enum ldpc_algorithm algorithm;
    enum demapper_method demapper;
    double margin_db; /* over the threshold */
};

static double now_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Frames a second; stops at the number of frames. */
static double rate_of(const struct run_job *job, int threads, long frames)
{
    struct run_limits limits = {
        .frames = frames, .seed = 7, .threads = threads, .part = 1, .parts = 1};
    struct run_counts counts;
    double begin = now_s();
    if (run_execute(job, &limits, NULL, &counts) != STATUS_OK) {
        exit(1);
    }
    return (double)counts.frames / (now_s() - begin);
}

/* So many processes at once, each with one thread and so many frames: the sum of their rates. */
static double rate_apart(const struct run_job *job, int processes, long frames)
{
    size_t bytes = (size_t)processes * sizeof(double);
    double *rates = mmap(NULL, bytes, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    double sum = 0.0;
    if (rates == MAP_FAILED) {
        exit(1);
    }
    for (int i = 0; i < processes; i++) {
        if (fork() == 0) {
            rates[i] = rate_of(job, 1, frames);
            _exit(0);
        }
    }
    while (wait(NULL) > 0) {
    }
    for (int i = 0; i < processes; i++) {
        sum += rates[i];
    }
    munmap(rates, bytes);
    return sum;
}

static void measure(const struct row *row, double seconds)
{
    struct chain_setup setup = chain_setup_default();
    struct chain *chain = NULL;
    setup.constellation = QAM256;
    setup.algorithm = row->algorithm;
    setup.demapper = row->demapper;
    if (chain_create(&setup, &chain) != STATUS_OK) {
        exit(1);
    }
    struct chain_point point = {
        chain, ideal_snr_db(setup.length, setup.constellation, setup.rate_15ths, FADING_AWGN) +
                   row->margin_db};
    struct run_job job = chain_run_job(&point);
    rate_of(&job, 1, 200); /* warm */
    double first = rate_of(&job, 1, 400);
    long frames = lround(fmax(first * seconds, 100.0));
    first = rate_of(&job, 1, frames);
    int processors = run_processors();
    for (int threads = 1;; threads = threads * 2 < processors ? threads * 2 : processors) {
        double rate = rate_of(&job, threads, frames * threads);
        double apart = rate_apart(&job, threads, frames);
        printf("%-20s %7d %11.0f %8.2f %8.2f %8.3f\n", row->name, threads, rate, rate / first,
               apart / first, rate / apart);
        fflush(stdout);
        if (threads == processors) {
            break;
        }
    }
    chain_free(chain);
}

/* Seconds for each measurement may be given; default 1. */
int main(int count, char **arguments)
{
    static const struct row rows[] = {
        {"min-sum, max-log", LDPC_MIN_SUM, DEMAP_MAX_LOG, 0.5},
        {"sum-product, exact", LDPC_SUM_PRODUCT, DEMAP_EXACT, 0.2},
    };
    double seconds = 1.0;
    if (count > 1 && !number_read_double(arguments[1], &seconds)) {
        fprintf(stderr, "usage: bench_scaling [SECONDS]\n");
        return 2;
    }
    printf(
        "64800 256QAM 10/15, early stop; times one thread; as threads, and as processes apart\n");
    printf("%-20s %7s %11s %8s %8s %8s\n", "", "threads", "frames/s", "threads", "apart", "of it");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        measure(&rows[i], seconds);
    }
    return 0;
}
