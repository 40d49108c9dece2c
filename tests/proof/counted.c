/* Counts frame errors near 1e-4, where the table of thresholds is extrapolated from about 1e-3, to
 * see by how much the extrapolation errs.
 *
 *   counted [--threads T] [--errors E] [--frames F] [--seconds S] [--from N] [--table ROW]
 *           [--paired N] [--min-sum N]
 *       for each of the entries below, until E errors (30) or F frames (600000): a line with the
 * SNR, the frames and the errors. Ends after S seconds at the latest; the entry then at work keeps
 *       what it has. Begins with entry N. With --table, counts again the lowest point that the
 * table has of one of its rows, with its frames, beside the errors that the table has.
 *
 *       With --paired, N words of each to the two better decoders; with --min-sum, N words of codes
 * of 64800 bits to the fastest alone, at an SNR at which it gets few of them wrong: QPSK at all
 * rates, other constellations from 9/15 on.
 *
 * The SNR is where the distribution fitted to the entry's own points expects EXPECTED_RATE, to a
 * hundredth of a dB. Words go up the ladder of ladder.h. */
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/number.h"
#include "physics/information/thresholds.h"
#include "proof/ladder.h"
#include "simulation/waterfall.h"

#define SEED 322
#define EXPECTED_RATE 1.4e-4
#define PAIRED_RATE 0.05

static struct run_watch watch; /* the alarm's */

static void on_alarm(int number)
{
    (void)number;
    atomic_store(&watch.stop, true);
}

/* The same words to the two better decoders: wrong ones of the exact one as frame errors, of the
 * other one as bit errors, of both as iterations. */
static struct run_counts send_to_both(const void *context, void *own, uint64_t seed,
                                      uint64_t number)
{
    struct ladder_worker *worker = own;
    double snr_db = ((const struct ladder *)context)->snr_db;
    seed = run_seed_of_snr(seed, snr_db);
    bool other = chain_send(worker->chains[LADDER_RUNGS - 2], snr_db, seed, number).frame_error;
    bool exact = chain_send(worker->chains[LADDER_RUNGS - 1], snr_db, seed, number).frame_error;
    return (struct run_counts){
        .frames = 1, .frame_errors = exact, .bit_errors = other, .iterations = exact && other};
}

static struct run_counts count(const struct threshold *entry, double snr_db, bool to_both,
                               const struct run_limits *limits)
{
    struct chain_setup setup = chain_setup_default();
    struct ladder ladder;
    struct run_counts counts = {0};
    setup.length = (enum code_length)entry->length;
    setup.constellation = (enum constellation)entry->constellation;
    setup.rate_15ths = entry->rate_15ths;
    setup.channel = entry->fading == FADING_RAYLEIGH ? CHANNEL_RAYLEIGH : CHANNEL_AWGN;
    setup.iterations = threshold_iterations;
    if (ladder_create(setup, &ladder) != STATUS_OK) {
        fprintf(stderr, "counted: out of memory\n");
        exit(1);
    }
    struct run_job job = ladder_job(&ladder);
    ladder.snr_db = snr_db;
    if (to_both) {
        job.unit = send_to_both;
    }
    run_execute(&job, limits, &watch, &counts);
    ladder_free(&ladder);
    return counts;
}

/* ---- Which entries. ---- */

/* All constellations and channels at one rate, then at the next: what is cut off has whole rounds.
 */
static const struct threshold *entry_of(int number)
{
    static const struct {
        enum code_length length;
        int rate_15ths;
    } rounds[] = {{LENGTH_16200, 8}, {LENGTH_16200, 12}, {LENGTH_64800, 9},  {LENGTH_16200, 4},
                  {LENGTH_16200, 6}, {LENGTH_64800, 5},  {LENGTH_16200, 10}, {LENGTH_64800, 13}};
    for (size_t i = 0; i < sizeof rounds / sizeof rounds[0]; i++) {
        int count = FADING_COUNT * (rounds[i].length == LENGTH_64800 ? CONSTELLATION_COUNT : 4);
        if (number < count) {
            return threshold_find(rounds[i].length, (enum constellation)(number / FADING_COUNT),
                                  rounds[i].rate_15ths, (enum fading)(number % FADING_COUNT));
        }
        number -= count;
    }
    return NULL;
}

static double expected_snr(const struct threshold *entry, double rate)
{
    struct waterfall_point points[THRESHOLD_POINTS_MAX];
    struct waterfall fit;
    int count = 0;
    for (; count < THRESHOLD_POINTS_MAX && entry->points[count].frames > 0; count++) {
        const struct threshold_point *point = &entry->points[count];
        points[count] =
            (struct waterfall_point){(double)point->snr_db, point->frames, point->errors};
    }
    if (waterfall_fit(points, count, &fit) != STATUS_OK) {
        return NAN;
    }
    return round(waterfall_snr_db(&fit, rate) * 100.0) / 100.0;
}

static void print_line(const char *kind, const struct threshold *entry, double snr_db,
                       const struct run_counts *counts)
{
    printf("%s %s %s %d %s %.2f %ld %ld", kind, code_length_name((enum code_length)entry->length),
           constellation_name((enum constellation)entry->constellation), entry->rate_15ths,
           entry->fading == FADING_RAYLEIGH ? "rayleigh" : "awgn", snr_db, counts->frames,
           counts->frame_errors);
}

static void count_again(const struct threshold *row, struct run_limits limits)
{
    int lowest = 0;
    while (lowest + 1 < THRESHOLD_POINTS_MAX && row->points[lowest + 1].frames > 0) {
        lowest++;
    }
    const struct threshold_point *point = &row->points[lowest];
    double snr_db = round((double)point->snr_db * 100.0) / 100.0;
    limits.frames = point->frames;
    limits.errors = 0;
    struct run_counts counts = count(row, snr_db, false, &limits);
    print_line("again", row, snr_db, &counts);
    printf(" of %d\n", (int)point->errors);
}

/* ---- The fastest decoder alone. ---- */

#define MIN_SUM_RATE 0.02 /* is looked for */
#define MIN_SUM_MOST 0.05 /* is near enough */
#define MIN_SUM_STEP_DB 0.05
#define MIN_SUM_RATE_15THS 9 /* below it of QPSK alone */

static struct run_counts count_min_sum(const struct threshold *entry, double snr_db,
                                       const struct run_limits *limits)
{
    struct chain_setup setup = chain_setup_default();
    struct chain *chain;
    struct run_counts counts = {0};
    setup.length = (enum code_length)entry->length;
    setup.constellation = (enum constellation)entry->constellation;
    setup.rate_15ths = entry->rate_15ths;
    setup.iterations = threshold_iterations;
    setup.algorithm = LDPC_MIN_SUM;
    if (chain_create(&setup, &chain) != STATUS_OK) {
        fprintf(stderr, "counted: out of memory\n");
        exit(1);
    }
    const struct chain_point at = {chain, snr_db};
    const struct run_job job = chain_run_job(&at);
    run_execute(&job, limits, &watch, &counts);
    chain_free(chain);
    return counts;
}

/* From where the exact decoder has the rate upwards, by a tenth of the words. */
static double find_min_sum_snr(const struct threshold *entry, struct run_limits limits)
{
    double snr_db = expected_snr(entry, MIN_SUM_RATE), rate = 1.0;
    limits.frames = limits.frames / 10 + 1;
    for (int step = 0; rate > MIN_SUM_MOST && !atomic_load(&watch.stop); step++) {
        snr_db = step == 0 ? snr_db : round((snr_db + MIN_SUM_STEP_DB) * 100.0) / 100.0;
        struct run_counts counts = count_min_sum(entry, snr_db, &limits);
        rate = (double)counts.frame_errors / (double)counts.frames;
    }
    return snr_db;
}

static void count_all_min_sum(int frames, struct run_limits limits)
{
    limits.frames = frames;
    limits.errors = 0;
    for (int i = 0; i < CONSTELLATION_COUNT * RATE_COUNT && !atomic_load(&watch.stop); i++) {
        int rate_15ths = RATE_MIN_15THS + i / CONSTELLATION_COUNT;
        enum constellation set = (enum constellation)(i % CONSTELLATION_COUNT);
        if (set != QPSK && rate_15ths < MIN_SUM_RATE_15THS) {
            continue;
        }
        const struct threshold *entry = threshold_find(LENGTH_64800, set, rate_15ths, FADING_AWGN);
        double snr_db = find_min_sum_snr(entry, limits);
        struct run_counts counts = count_min_sum(entry, snr_db, &limits);
        print_line("min-sum", entry, snr_db, &counts);
        printf("\n");
        fflush(stdout);
    }
}

int main(int argc, char **argv)
{
    int seconds = 0, threads = run_processors(), errors = 30, frames = 600000, from = 0, table = -1,
        paired = 0, min_sum = 0;
    const struct {
        const char *name;
        int *value;
    } options[] = {{"--threads", &threads}, {"--errors", &errors},  {"--frames", &frames},
                   {"--seconds", &seconds}, {"--from", &from},      {"--table", &table},
                   {"--paired", &paired},   {"--min-sum", &min_sum}};
    for (int i = 1; i < argc; i += 2) {
        size_t k = 0;
        while (k < sizeof options / sizeof options[0] && strcmp(argv[i], options[k].name) != 0) {
            k++;
        }
        if (k == sizeof options / sizeof options[0] || i + 1 == argc ||
            !number_read_int(argv[i + 1], options[k].value)) {
            fprintf(stderr, "usage: counted [--threads T] [--errors E] [--frames F] [--seconds S] "
                            "[--from N] [--table ROW] [--paired N] [--min-sum N]\n");
            return 2;
        }
    }
    struct run_limits limits = {.frames = frames,
                                .errors = errors,
                                .seed = SEED,
                                .threads = threads,
                                .part = 1,
                                .parts = 1};
    run_watch_clear(&watch);
    signal(SIGALRM, on_alarm);
    alarm((unsigned)seconds);
    if (table >= 0 && (size_t)table < threshold_count) {
        count_again(&threshold_table[table], limits);
        return 0;
    }
    if (min_sum > 0) {
        count_all_min_sum(min_sum, limits);
        return 0;
    }
    const struct threshold *entry;
    for (int i = from; (entry = entry_of(i)) != NULL && !atomic_load(&watch.stop); i++) {
        if (paired > 0) {
            limits.frames = paired;
            limits.errors = 0;
            double snr_db = expected_snr(entry, PAIRED_RATE);
            struct run_counts counts = count(entry, snr_db, true, &limits);
            print_line("paired", entry, snr_db, &counts);
            printf(" %lld %lld\n", counts.bit_errors, counts.iterations);
        } else {
            double snr_db = expected_snr(entry, EXPECTED_RATE);
            struct run_counts counts = count(entry, snr_db, false, &limits);
            print_line("counted", entry, snr_db, &counts);
            printf("\n");
        }
        fflush(stdout);
    }
    return 0;
}
