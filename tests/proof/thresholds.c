/* Makes the table of simulated thresholds.
 *
 *   thresholds [--pairs FROM:TO] [--threads T] [--budget-seconds S] [--stop-after S]
 *              [--error-db E] [--have FILE] [--deepen yes]
 *       simulates entries FROM..TO-1 of the 240 (each pair of code and constellation over both
 *       channels; all by default), S seconds each or less if the standard error is E dB (0.02)
 *       before, and prints a line for each as it is finished. No entry is begun after --stop-after
 *       seconds. Entries that FILE has are left out, or gone on with where their error is larger.
 *       With --deepen, goes on from the table as it was built in, wherever that lacks a point
 *       near 1e-3.
 *   thresholds --table FILE...
 *       turns collected lines into threshold_table.c, on standard output.
 *   thresholds --list
 *       numbers the entries.
 *
 * The search: from a guess, up or down until some of a few frames fail; then points that a fitted
 * normal distribution puts at 12 %, 1.5 % and as far down as 36 errors can be had in the time left
 * (1e-4 at least); at last, however long it takes, one near 1e-3. The time decides only where
 * points are and how many frames they have; with those and the seed any point can be had again. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/number.h"
#include "physics/information/required_snr.h"
#include "physics/information/thresholds.h"
#include "proof/ladder.h"
#include "simulation/waterfall.h"

#define ENTRIES 240
#define SEED 322
#define ITERATIONS 50
#define POINTS_MAX 32
#define ERRORS_WANTED 36
#define DEEP_RATE 1e-3
#define DEEP_ERRORS 10

struct entry {
    enum code_length length;
    enum constellation constellation;
    int rate_15ths;
    enum fading fading;
};

struct options {
    int first, end, threads;
    double budget_s, stop_after_s;
    double error_db; /* what is as exact as this needs no more work */
    const char *have;
    int deepen;
};

struct search {
    struct entry entry;
    const struct options *options;
    struct ladder ladder;
    double begin_s;
    double frame_s; /* wall seconds a frame took in the last point */
    int count;
    struct waterfall_point points[POINTS_MAX];
};

static const char *const fading_names[FADING_COUNT] = {
    [FADING_AWGN] = "awgn", [FADING_RAYLEIGH] = "rayleigh"};

static double now_s(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

/* Short codes first, then by rate, constellation and channel: a sweep that is cut off has whole
 * columns. */
static struct entry entry_of(int index)
{
    int i = 0;
    for (int length = LENGTH_COUNT - 1; length >= 0; length--) {
        for (int c = 0; c < CONSTELLATION_COUNT; c++) {
            if (!constellation_is_allowed((enum code_length)length, (enum constellation)c)) {
                continue;
            }
            for (int fading = 0; fading < FADING_COUNT; fading++) {
                for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate++) {
                    if (i++ == index) {
                        return (struct entry){(enum code_length)length, (enum constellation)c, rate,
                                              (enum fading)fading};
                    }
                }
            }
        }
    }
    abort();
}

static int index_of(const char *length, const char *constellation, int rate, const char *fading)
{
    for (int i = 0; i < ENTRIES; i++) {
        struct entry entry = entry_of(i);
        if (strcmp(code_length_name(entry.length), length) == 0 &&
            strcmp(constellation_name(entry.constellation), constellation) == 0 &&
            entry.rate_15ths == rate && strcmp(fading_names[entry.fading], fading) == 0) {
            return i;
        }
    }
    return -1;
}

/* ---- Search. ---- */

static double spent_s(const struct search *search)
{
    return now_s() - search->begin_s;
}

/* Simulates a point; its frame error rate. Points at the same SNR are not repeated. */
static double simulate(struct search *search, double snr_db, long frames, long errors)
{
    struct run_job job = ladder_job(&search->ladder);
    struct run_limits limits = {.frames = frames,
                                .errors = errors,
                                .seed = SEED,
                                .threads = search->options->threads,
                                .part = 1,
                                .parts = 1};
    struct run_counts counts;
    double begin_s = now_s();
    search->ladder.snr_db = round(snr_db * 100.0) / 100.0;
    if (run_execute(&job, &limits, NULL, &counts) != STATUS_OK) {
        fprintf(stderr, "thresholds: out of memory\n");
        exit(1);
    }
    search->frame_s = (now_s() - begin_s) / (double)counts.frames;
    struct waterfall_point *place = search->points;
    while (place < search->points + search->count && place->snr_db != search->ladder.snr_db) {
        place++;
    }
    if (place == search->points + search->count && search->count < POINTS_MAX) {
        search->count++;
    }
    if (place < search->points + POINTS_MAX && counts.frames > place->frames) {
        *place =
            (struct waterfall_point){search->ladder.snr_db, counts.frames, counts.frame_errors};
    }
    return run_frame_error_rate(&counts);
}

/* The points that a fit is made of: those down the fall. */
static int fit(const struct search *search, struct waterfall *waterfall,
               struct waterfall_point *used)
{
    int count = 0;
    for (int i = 0; i < search->count; i++) {
        if ((double)search->points[i].errors <= 0.6 * (double)search->points[i].frames) {
            used[count++] = search->points[i];
        }
    }
    return waterfall_fit(used, count, waterfall) == STATUS_OK ? count : 0;
}

/* Standard deviations a dB to go by while points are few. */
static double usual_steepness(const struct search *search)
{
    return search->entry.length == LENGTH_64800 ? 14.0 : 8.0;
}

static int is_telling(const struct waterfall_point *point)
{
    return point->errors >= THRESHOLD_TELLING_ERRORS &&
           (double)point->errors <= 0.6 * (double)point->frames;
}

/* The telling point farthest down the fall; NULL: none. */
static const struct waterfall_point *anchor_of(const struct search *search)
{
    const struct waterfall_point *anchor = NULL;
    for (int i = 0; i < search->count; i++) {
        const struct waterfall_point *point = &search->points[i];
        if (is_telling(point) && (!anchor || point->snr_db > anchor->snr_db)) {
            anchor = point;
        }
    }
    return anchor;
}

/* Finds an SNR with a frame error rate between 15 % and 60 % and simulates there. */
static void find_fall(struct search *search)
{
    const struct entry *entry = &search->entry;
    double snr_db =
        ideal_snr_db(entry->length, entry->constellation, entry->rate_15ths, entry->fading);
    double low = -INFINITY, high = INFINITY, step = 3.0 / usual_steepness(search);
    for (int i = 0; i < 30 && !anchor_of(search); i++) {
        double rate = simulate(search, snr_db, 64, 32);
        if (rate > 0.6) {
            low = snr_db;
            snr_db = isinf(high) ? snr_db + step : 0.5 * (low + high);
        } else {
            high = snr_db;
            snr_db = isinf(low) ? snr_db - step : 0.5 * (low + high);
        }
        if (i >= 2) {
            step *= 1.5;
        }
    }
}

/* The next SNR where a rate is expected: by the fit, or from the anchor with the usual steepness;
 * never beyond the middle to a point that was too far down to tell. */
static double expected_snr(const struct search *search, double rate)
{
    struct waterfall waterfall;
    struct waterfall_point used[POINTS_MAX];
    double usual = usual_steepness(search);
    const struct waterfall_point *anchor = anchor_of(search);
    if (!anchor) {
        return NAN;
    }
    if (fit(search, &waterfall, used) == 0 || waterfall.steepness > 4.0 * usual ||
        waterfall.steepness < usual / 4.0) {
        waterfall = (struct waterfall){.middle_db = 0.0, .steepness = usual};
        waterfall.middle_db =
            anchor->snr_db -
            waterfall_snr_db(&waterfall, (double)anchor->errors / (double)anchor->frames);
    }
    double snr_db = waterfall_snr_db(&waterfall, rate);
    for (int i = 0; i < search->count; i++) {
        const struct waterfall_point *point = &search->points[i];
        if (point->snr_db > anchor->snr_db && point->errors < 8 &&
            (double)point->frames * rate > 30.0) {
            snr_db = fmin(snr_db, 0.5 * (anchor->snr_db + point->snr_db));
        }
    }
    return snr_db;
}

/* Whether a point with so many errors has a rate within these bounds. */
static int has_point(const struct search *search, double low, double high, long errors)
{
    for (int i = 0; i < search->count; i++) {
        const struct waterfall_point *point = &search->points[i];
        double rate = (double)point->errors / (double)point->frames;
        if (point->errors >= errors && rate >= low && rate <= high) {
            return 1;
        }
    }
    return 0;
}

static double error_of(const struct search *search)
{
    struct waterfall waterfall;
    struct waterfall_point used[POINTS_MAX];
    return fit(search, &waterfall, used)
               ? waterfall_error_db(&waterfall, THRESHOLD_FRAME_ERROR_RATE)
               : INFINITY;
}

/* What an extrapolation to 1e-4 starts from. */
static int is_deep(const struct search *search)
{
    return has_point(search, 0.0, 2.0 * DEEP_RATE, THRESHOLD_TELLING_ERRORS);
}

static void go_deep(struct search *search)
{
    for (int i = 0; i < 3 && anchor_of(search) && !is_deep(search); i++) {
        simulate(search, expected_snr(search, DEEP_RATE), (long)(3.0 * DEEP_ERRORS / DEEP_RATE),
                 DEEP_ERRORS);
    }
}

static void search_run(struct search *search)
{
    double budget_s = search->options->budget_s;
    find_fall(search);
    for (int i = 0; i < 4 && anchor_of(search) && !has_point(search, 0.05, 0.4, 40); i++) {
        simulate(search, expected_snr(search, 0.12), 600, 60);
    }
    for (int i = 0; i < 3 && anchor_of(search) && !has_point(search, 0.004, 0.03, 30); i++) {
        simulate(search, expected_snr(search, 0.015), 4000, 50);
    }
    for (int i = 0; i < 4 && anchor_of(search) && spent_s(search) < 0.9 * budget_s &&
                    error_of(search) > search->options->error_db;
         i++) {
        double left = fmax((budget_s - spent_s(search)) / search->frame_s, 3000.0);
        double rate = fmin(fmax(ERRORS_WANTED / left, 1e-4), 0.01);
        long frames = (long)fmin(1.3 * left, 3.0 * ERRORS_WANTED / rate);
        simulate(search, expected_snr(search, rate), frames, ERRORS_WANTED);
    }
    go_deep(search);
}

static int by_snr(const void *a, const void *b)
{
    const struct waterfall_point *one = a, *other = b;
    return (one->snr_db > other->snr_db) - (one->snr_db < other->snr_db);
}

static int by_errors(const void *a, const void *b)
{
    const struct waterfall_point *one = a, *other = b;
    return (one->errors < other->errors) - (one->errors > other->errors);
}

/* The points that the table has room for, rising: of those with the most errors, and the telling
 * one farthest down. */
static int choose_points(struct waterfall_point *points, int count)
{
    int deepest = -1;
    qsort(points, (size_t)count, sizeof points[0], by_errors);
    for (int i = 0; i < count; i++) {
        if (is_telling(&points[i]) && (deepest < 0 || points[i].snr_db > points[deepest].snr_db)) {
            deepest = i;
        }
    }
    if (deepest >= THRESHOLD_POINTS_MAX) {
        points[THRESHOLD_POINTS_MAX - 1] = points[deepest];
    }
    count = count < THRESHOLD_POINTS_MAX ? count : THRESHOLD_POINTS_MAX;
    qsort(points, (size_t)count, sizeof points[0], by_snr);
    return count;
}

/* The line of an entry; 0 where the search found no fall. What counts is the points in it: anyone
 * can fit them again. */
static int print_line(const struct search *search)
{
    struct waterfall waterfall;
    struct waterfall_point used[POINTS_MAX] = {{0}};
    int fitted = fit(search, &waterfall, used), count = choose_points(used, fitted);
    if (waterfall_fit(used, count, &waterfall) != STATUS_OK) {
        return 0;
    }
    const struct entry *entry = &search->entry;
    printf("threshold %s %s %d %s %.3f %.3f %s %d %d", code_length_name(entry->length),
           constellation_name(entry->constellation), entry->rate_15ths, fading_names[entry->fading],
           waterfall_snr_db(&waterfall, THRESHOLD_FRAME_ERROR_RATE),
           waterfall_error_db(&waterfall, THRESHOLD_FRAME_ERROR_RATE), "sum-product", ITERATIONS,
           SEED);
    for (int i = 0; i < count; i++) {
        printf(" %.2f:%ld:%ld", used[i].snr_db, used[i].frames, used[i].errors);
    }
    printf(" %.1fs\n", spent_s(search));
    return fflush(stdout) == 0;
}

/* Goes on from the points of an earlier search, if there are any. */
static int simulate_entry(int index, const struct options *options, const struct threshold *earlier)
{
    struct search search = {.entry = entry_of(index), .options = options, .begin_s = now_s()};
    struct chain_setup setup = chain_setup_default();
    setup.length = search.entry.length;
    setup.constellation = search.entry.constellation;
    setup.rate_15ths = search.entry.rate_15ths;
    setup.channel = search.entry.fading == FADING_RAYLEIGH ? CHANNEL_RAYLEIGH : CHANNEL_AWGN;
    setup.iterations = ITERATIONS;
    for (int i = 0; i < THRESHOLD_POINTS_MAX && earlier && earlier->points[i].frames > 0; i++) {
        const struct threshold_point *point = &earlier->points[i];
        search.points[search.count++] = (struct waterfall_point){
            round((double)point->snr_db * 100.0) / 100.0, point->frames, point->errors};
    }
    search.frame_s = 1e-3;
    if (ladder_create(setup, &search.ladder) != STATUS_OK) {
        fprintf(stderr, "thresholds: out of memory\n");
        return 0;
    }
    if (options->deepen) {
        go_deep(&search);
    } else {
        search_run(&search);
    }
    int done = print_line(&search);
    if (!done) {
        fprintf(stderr, "thresholds: entry %d has no fall\n", index);
    }
    ladder_free(&search.ladder);
    return done;
}

static int deepen_entry(int index, const struct options *options)
{
    struct entry entry = entry_of(index);
    return simulate_entry(
        index, options,
        threshold_find(entry.length, entry.constellation, entry.rate_15ths, entry.fading));
}

/* ---- Collected lines. ---- */

struct line {
    int present;
    struct threshold threshold;
};

static int read_line(const char *text, struct line *lines)
{
    char length[16], constellation[16], fading[16], decoder[32];
    int rate, iterations, seed, used;
    double snr_db, error_db;
    if (sscanf(text, "threshold %15s %15s %d %15s %lf %lf %31s %d %d%n", length, constellation,
               &rate, fading, &snr_db, &error_db, decoder, &iterations, &seed, &used) != 9) {
        return 0;
    }
    int index = index_of(length, constellation, rate, fading);
    if (index < 0 || iterations != ITERATIONS || seed != SEED) {
        return 0;
    }
    struct entry entry = entry_of(index);
    struct threshold threshold = {.length = (uint8_t)entry.length,
                                  .constellation = (uint8_t)entry.constellation,
                                  .rate_15ths = (uint8_t)rate,
                                  .fading = (uint8_t)entry.fading,
                                  .snr_db = (float)snr_db,
                                  .error_db = (float)error_db};
    text += used;
    for (int i = 0; i < THRESHOLD_POINTS_MAX; i++) {
        double point_db;
        long frames, errors;
        if (sscanf(text, " %lf:%ld:%ld%n", &point_db, &frames, &errors, &used) != 3) {
            break;
        }
        threshold.points[i] =
            (struct threshold_point){(float)point_db, (int32_t)frames, (int32_t)errors};
        text += used;
    }
    lines[index] = (struct line){1, threshold}; /* a later line replaces an earlier one */
    return 1;
}

static int read_lines(const char *path, struct line *lines)
{
    FILE *file = fopen(path, "r");
    char text[512];
    int good = 1;
    if (!file) {
        perror(path);
        return 0;
    }
    while (fgets(text, sizeof text, file)) {
        if (text[0] != '\n' && !read_line(text, lines)) {
            fprintf(stderr, "thresholds: %s: not an entry: %s", path, text);
            good = 0;
        }
    }
    fclose(file);
    return good;
}

static const char *const constellation_words[CONSTELLATION_COUNT] = {
    [QPSK] = "QPSK",     [QAM16] = "QAM16",     [QAM64] = "QAM64",
    [QAM256] = "QAM256", [QAM1024] = "QAM1024", [QAM4096] = "QAM4096"};

static int write_table(int count, char **paths)
{
    static struct line lines[ENTRIES];
    for (int i = 0; i < count; i++) {
        if (!read_lines(paths[i], lines)) {
            return 1;
        }
    }
    printf("/* Made by `make thresholds` (tests/proof/thresholds.c); do not edit. Each row: SNR at "
           "a frame "
           "error\n * rate of 1e-4, its standard error, and the points {SNR, frames, frame errors} "
           "it was read off. */\n#include \"physics/information/thresholds.h\"\n\n"
           "const char threshold_decoder[] = \"sum-product\";\n"
           "const int threshold_iterations = %d;\nconst uint64_t threshold_seed = %d;\n\n"
           "/* clang-format off */\nconst struct threshold threshold_table[] = {\n",
           ITERATIONS, SEED);
    int written = 0;
    for (int i = 0; i < ENTRIES; i++) {
        const struct threshold *row = &lines[i].threshold;
        if (!lines[i].present) {
            continue;
        }
        printf("{LENGTH_%s, %s, %d, FADING_%s, %.3ff, %.3ff,\n {", row->length ? "16200" : "64800",
               constellation_words[row->constellation], row->rate_15ths,
               row->fading == FADING_AWGN ? "AWGN" : "RAYLEIGH", (double)row->snr_db,
               (double)row->error_db);
        for (int k = 0; k < THRESHOLD_POINTS_MAX && row->points[k].frames > 0; k++) {
            printf("%s{%.2ff, %d, %d}", k ? ", " : "", (double)row->points[k].snr_db,
                   (int)row->points[k].frames, (int)row->points[k].errors);
        }
        printf("}},\n");
        written++;
    }
    if (written == 0) {
        printf("{0}\n");
    }
    printf("};\n/* clang-format on */\nconst size_t threshold_count = %d;\n", written);
    return fflush(stdout) == 0 ? 0 : 1;
}

/* ---- Arguments. ---- */

static int usage(void)
{
    fprintf(stderr,
            "usage: thresholds [--pairs FROM:TO] [--threads T] [--budget-seconds S]\n"
            "                  [--stop-after S] [--error-db E] [--have FILE] [--deepen yes]\n"
            "       thresholds --table FILE...\n"
            "       thresholds --list\n");
    return 2;
}

static int read_options(int argc, char **argv, struct options *options)
{
    for (int i = 1; i < argc; i += 2) {
        const char *value = i + 1 < argc ? argv[i + 1] : "";
        int good = 0;
        if (strcmp(argv[i], "--pairs") == 0) {
            good = sscanf(value, "%d:%d", &options->first, &options->end) == 2 &&
                   options->first >= 0 && options->end <= ENTRIES;
        } else if (strcmp(argv[i], "--threads") == 0) {
            good = number_read_int(value, &options->threads) && options->threads > 0 &&
                   options->threads <= RUN_THREADS_MAX;
        } else if (strcmp(argv[i], "--budget-seconds") == 0) {
            good = number_read_double(value, &options->budget_s) && options->budget_s > 0.0;
        } else if (strcmp(argv[i], "--stop-after") == 0) {
            good = number_read_double(value, &options->stop_after_s);
        } else if (strcmp(argv[i], "--error-db") == 0) {
            good = number_read_double(value, &options->error_db) && options->error_db > 0.0;
        } else if (strcmp(argv[i], "--have") == 0) {
            options->have = value;
            good = value[0] != '\0';
        } else if (strcmp(argv[i], "--deepen") == 0) {
            options->deepen = good = strcmp(value, "yes") == 0;
        }
        if (!good) {
            return 0;
        }
    }
    return 1;
}

int main(int argc, char **argv)
{
    static struct line have[ENTRIES];
    struct options options = {0, ENTRIES, run_processors(), 60.0, INFINITY, 0.02, NULL, 0};
    if (argc >= 3 && strcmp(argv[1], "--table") == 0) {
        return write_table(argc - 2, argv + 2);
    }
    if (argc == 2 && strcmp(argv[1], "--list") == 0) {
        for (int i = 0; i < ENTRIES; i++) {
            struct entry entry = entry_of(i);
            printf("%d %s %s %d/15 %s\n", i, code_length_name(entry.length),
                   constellation_name(entry.constellation), entry.rate_15ths,
                   fading_names[entry.fading]);
        }
        return 0;
    }
    if (!read_options(argc, argv, &options)) {
        return usage();
    }
    if (options.have && !read_lines(options.have, have)) {
        return 1;
    }
    double begin_s = now_s();
    int failed = 0;
    for (int i = options.first; i < options.end && now_s() - begin_s < options.stop_after_s; i++) {
        if (options.deepen) {
            failed += !deepen_entry(i, &options);
        } else if (!have[i].present) {
            failed += !simulate_entry(i, &options, NULL);
        } else if ((double)have[i].threshold.error_db > options.error_db) {
            failed += !simulate_entry(i, &options, &have[i].threshold);
        }
    }
    return failed ? 1 : 0;
}
