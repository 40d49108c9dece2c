/* Adds parts of a run: rows of the same SNR from files in the form of --format json. Which parts of
 * which seed a row holds is kept, so that nothing is counted twice. All pieces are read first, then
 * sorted: however many there are, finding what overlaps takes no more than that. */
#include <ctype.h>
#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "command/simulate/simulate.h"

#define COUNT_MAX (1LL << 53) /* so far double holds every whole number, and so does JSON */

/* Neighbouring parts of a seed's words that were counted at an SNR. */
struct piece {
    long snr_mdb;
    int seed, first, last, parts;
    const char *file;
    struct run_counts counts; /* of a row of many pieces: all at its first one */
};

struct merge {
    const struct invocation *invocation;
    struct simulate_rows *rows;
    const char *file;
    size_t piece_count, piece_capacity;
    struct piece *pieces;
};

static enum exit_status refuse(const struct merge *merge, const char *place, const char *wrong,
                               const char *allowed)
{
    struct fault fault;
    fault_set(&fault, STATUS_MALFORMED, place, allowed, "%s", wrong);
    return invocation_fault_in(merge->invocation, merge->file, &fault);
}

static enum exit_status no_memory(const struct merge *merge)
{
    struct fault fault;
    fault_of_status(&fault, STATUS_NO_MEMORY);
    return invocation_fault_in(merge->invocation, NULL, &fault);
}

/* ---- A row of a file. ---- */

/* A whole number that is not negative; false where there is none. */
static bool read_count(const json_t *object, const char *name, long long *count)
{
    const json_t *value = json_object_get(object, name);
    *count = json_is_integer(value) ? json_integer_value(value) : -1;
    return *count >= 0 && *count <= COUNT_MAX;
}

/* Whether rows of a system's results hold a figure, for people or for programs. */
static bool holds(const struct system_simulation *simulation, const char *figure)
{
    int lists = 0;
    for (const char *const *at = simulation->figures; lists < 2; at++) {
        if (*at == NULL) {
            lists++;
        } else if (strcmp(*at, figure) == 0) {
            return true;
        }
    }
    return false;
}

static bool read_counts(const json_t *object, const struct system_simulation *simulation,
                        struct run_counts *counts)
{
    long long frames = 0, errors = 0, planned = 0;
    bool good = read_count(object, simulation->figures[1], &frames) &&
                read_count(object, simulation->figures[2], &errors) &&
                read_count(object, "planned", &planned) && errors <= frames && frames <= planned;
    *counts = (struct run_counts){
        .frames = (long)frames, .frame_errors = (long)errors, .planned = (long)planned};
    if (good && holds(simulation, "bits")) {
        double iterations = json_number_value(json_object_get(object, "iterations"));
        good = read_count(object, "bits", &counts->bits) &&
               read_count(object, "bit_errors", &counts->bit_errors) &&
               counts->bit_errors <= counts->bits && iterations >= 0.0 &&
               iterations * (double)frames <= (double)COUNT_MAX;
        counts->iterations = good ? llround(iterations * (double)frames) : 0;
    }
    return good;
}

static bool read_snr(const json_t *object, long *snr_mdb)
{
    double snr_db = json_number_value(json_object_get(object, "snr_db"));
    bool good = snr_db >= PROOF_SNR_MIN_DB && snr_db <= PROOF_SNR_MAX_DB;
    *snr_mdb = good ? lround(snr_db * 1e3) : 0;
    return good && fabs(snr_db * 1e3 - (double)*snr_mdb) < 1e-6;
}

static enum exit_status refuse_run(const struct merge *merge, const char *run)
{
    const char *first = merge->rows->run;
    const char *mark = strstr(run, PROOF_CHANNEL_MARK);
    char wrong[2 * SIMULATE_WORDS];
    if (mark && strncmp(run, first, (size_t)(mark - run) + strlen(PROOF_CHANNEL_MARK)) == 0) {
        return refuse(merge, "run",
                      "the echoes, or what else enters the channel, are not those of the other "
                      "files",
                      "parts of one run");
    }
    text_format(wrong, sizeof wrong, "\"%s\" is another run than \"%s\"", run, first);
    return refuse(merge, "run", wrong, "parts of one run");
}

/* The first row says what is added. */
static enum exit_status check_run(struct merge *merge, const char *run, const struct system *system)
{
    struct simulate_rows *rows = merge->rows;
    if (strlen(run) >= sizeof rows->run) {
        return refuse(merge, "run", "longer than any run's", "JSON of --format json");
    }
    if (merge->piece_count == 0) {
        rows->system = system;
        text_format(rows->run, sizeof rows->run, "%s", run);
    }
    return strcmp(run, rows->run) == 0 ? EXIT_DONE : refuse_run(merge, run);
}

static enum exit_status add_piece(struct merge *merge, const struct piece *piece)
{
    if (merge->piece_count == merge->piece_capacity) {
        size_t capacity = merge->piece_capacity ? 2 * merge->piece_capacity : 64;
        struct piece *grown = realloc(merge->pieces, capacity * sizeof *grown);
        if (!grown) {
            return no_memory(merge);
        }
        merge->pieces = grown;
        merge->piece_capacity = capacity;
    }
    merge->pieces[merge->piece_count++] = *piece;
    return EXIT_DONE;
}

/* Digits only; false where there are none, or more than any part has. Moves `at` behind them. */
static bool read_part(const char **at, int *part)
{
    const char *begin = *at;
    *part = 0;
    for (; isdigit((unsigned char)**at) && *at - begin < 7; (*at)++) {
        *part = 10 * *part + (**at - '0');
    }
    return *at > begin && *part >= 1 && *part <= SIMULATE_PARTS_MAX;
}

/* "2" or "1-2" of "2/3", "1-2,4/8". */
static bool read_range(const char **at, struct piece *piece)
{
    bool good = read_part(at, &piece->first);
    piece->last = piece->first;
    if (good && **at == '-') {
        (*at)++;
        good = read_part(at, &piece->last);
    }
    return good && piece->first <= piece->last && piece->last <= piece->parts &&
           (**at == ',' || **at == '/');
}

static enum exit_status add_pieces(struct merge *merge, const char *part, struct piece *piece)
{
    const char *slash = strchr(part, '/'), *end = slash ? slash + 1 : part;
    bool good = slash && read_part(&end, &piece->parts) && *end == '\0';
    for (const char *at = part;; at++) {
        if (!good || !read_range(&at, piece)) {
            return refuse(merge, "part", "malformed", "I/N");
        }
        enum exit_status status = add_piece(merge, piece);
        if (status != EXIT_DONE || *at == '/') {
            return status;
        }
        piece->counts = (struct run_counts){0};
    }
}

static enum exit_status add_row(struct merge *merge, const json_t *object)
{
    const char *run = json_string_value(json_object_get(object, "run"));
    const char *part = json_string_value(json_object_get(object, "part"));
    const json_t *seed = json_object_get(object, "seed");
    const struct system *system = run ? system_named_in(run) : NULL;
    struct piece piece = {.file = merge->file};
    if (!json_is_object(object) || !json_is_number(json_object_get(object, "snr_db")) || !system) {
        return refuse(merge, "", "not a result of simulate", "JSON of --format json");
    }
    if (!json_is_integer(seed) || !part) {
        return refuse(merge, "seed",
                      "several seeds, or too many parts, have been added here already",
                      "the files that were added");
    }
    if (json_integer_value(seed) < 0 || json_integer_value(seed) > 2147483647 ||
        !read_snr(object, &piece.snr_mdb) ||
        !read_counts(object, system->simulation, &piece.counts)) {
        return refuse(merge, "", "counts that cannot be", "JSON of --format json");
    }
    piece.seed = (int)json_integer_value(seed);
    enum exit_status status = check_run(merge, run, system);
    return status == EXIT_DONE ? add_pieces(merge, part, &piece) : status;
}

static enum exit_status add_file(struct merge *merge, const char *path)
{
    json_error_t error;
    merge->file = path;
    json_t *array = json_load_file(path, JSON_REJECT_DUPLICATES, &error);
    if (!array) {
        struct fault fault;
        char place[32] = "";
        if (error.line > 0) {
            text_format(place, sizeof place, "line %d", error.line);
        }
        fault_set(&fault, error.line > 0 ? STATUS_MALFORMED : STATUS_UNREADABLE, place,
                  "JSON of --format json", "%s", error.text);
        return invocation_fault_in(merge->invocation, path, &fault);
    }
    enum exit_status status = json_is_array(array)
                                  ? EXIT_DONE
                                  : refuse(merge, "", "not an array", "JSON of --format json");
    for (size_t i = 0; status == EXIT_DONE && i < json_array_size(array); i++) {
        status = add_row(merge, json_array_get(array, i));
    }
    json_decref(array);
    return status;
}

/* ---- Sums. ---- */

static int compare(long a, long b)
{
    return (a > b) - (a < b);
}

static int compare_pieces(const void *a, const void *b)
{
    const struct piece *one = a, *other = b;
    int by_snr = compare(one->snr_mdb, other->snr_mdb);
    int by_seed = compare(one->seed, other->seed);
    return by_snr ? by_snr : by_seed ? by_seed : compare(one->first, other->first);
}

/* A piece and the one sorted before it, of the same SNR and seed. */
static enum exit_status check_neighbours(struct merge *merge, const struct piece *before,
                                         const struct piece *piece)
{
    bool unlike = before->parts != piece->parts;
    char wrong[160];
    if (!unlike && before->last < piece->first) {
        return EXIT_DONE;
    }
    text_format(wrong, sizeof wrong,
                unlike ? "part %d/%d of seed %d at %.3f dB overlaps another"
                       : "part %d/%d of seed %d at %.3f dB is there twice",
                piece->first, piece->parts, piece->seed, 1e-3 * (double)piece->snr_mdb);
    merge->file = piece->file;
    return refuse(merge, "part", wrong, "each part once");
}

/* The part of a row from its pieces of one seed: "1/1" when all parts are there, "1-2,4/8" when
 * some are, "" when there is no room for their list. */
static void name_part(const struct piece *pieces, size_t count, struct simulate_row *row)
{
    char words[SIMULATE_WORDS] = "";
    size_t used = 0, size = sizeof words;
    for (size_t i = 0; i < count;) {
        int first = pieces[i].first, last = pieces[i].last;
        for (i++; i < count && pieces[i].first == last + 1; i++) {
            last = pieces[i].last;
        }
        if (first == 1 && last == pieces[0].parts) {
            text_format(row->part, sizeof row->part, "1/1");
            return;
        }
        used += text_format(words + used, size - used, used ? ",%d" : "%d", first);
        if (last > first) {
            used += text_format(words + used, size - used, "-%d", last);
        }
    }
    if (used + sizeof "/1000000" > sizeof row->part) {
        row->seed = -1;
    } else {
        text_format(row->part, sizeof row->part, "%s/%d", words, pieces[0].parts);
    }
}

static bool is_within_count_max(const struct run_counts *counts)
{
    return counts->planned <= COUNT_MAX && counts->bits <= COUNT_MAX &&
           counts->iterations <= COUNT_MAX; /* frames and errors are fewer */
}

/* The sum of the pieces of one SNR. */
static enum exit_status add_sum(struct merge *merge, const struct piece *pieces, size_t count)
{
    struct simulate_row row = {.snr_mdb = pieces[0].snr_mdb, .seed = pieces[0].seed};
    for (size_t i = 0; i < count; i++) {
        const struct piece *piece = &pieces[i];
        enum exit_status status = i > 0 && pieces[i - 1].seed == piece->seed
                                      ? check_neighbours(merge, piece - 1, piece)
                                      : EXIT_DONE;
        if (status != EXIT_DONE) {
            return status;
        }
        run_counts_add(&row.counts, &piece->counts);
        if (!is_within_count_max(&row.counts)) {
            merge->file = piece->file;
            return refuse(merge, "", "the sum of the counts is too large", "at most 2^53");
        }
        row.seed = piece->seed == row.seed ? row.seed : -1;
    }
    if (row.seed >= 0) {
        name_part(pieces, count, &row);
    }
    return simulate_rows_add(merge->rows, &row) == STATUS_OK ? EXIT_DONE : no_memory(merge);
}

static enum exit_status add_sums(struct merge *merge)
{
    enum exit_status status = EXIT_DONE;
    if (merge->piece_count == 0) {
        return invocation_refuse(merge->invocation, "--merge", "JSON of --format json",
                                 "there are no results in what is merged");
    }
    qsort(merge->pieces, merge->piece_count, sizeof *merge->pieces, compare_pieces);
    for (size_t i = 0, end = 0; i < merge->piece_count && status == EXIT_DONE; i = end) {
        while (end < merge->piece_count && merge->pieces[end].snr_mdb == merge->pieces[i].snr_mdb) {
            end++;
        }
        status = add_sum(merge, merge->pieces + i, end - i);
    }
    return status;
}

enum exit_status simulate_merge(const struct invocation *invocation, struct simulate_rows *rows)
{
    struct merge merge = {.invocation = invocation, .rows = rows};
    enum exit_status status = EXIT_DONE;
    for (int i = 0; i < invocation->option_count && status == EXIT_DONE; i++) {
        if (strcmp(invocation->options[i].row->name, "--merge") == 0) {
            status = add_file(&merge, invocation->options[i].value);
        }
    }
    if (status == EXIT_DONE) {
        status = add_sums(&merge);
    }
    free(merge.pieces);
    return status;
}
