/* Adds parts of a run: rows of the same SNR from files in the form of --format json. Which parts of
 * which seed a row holds is kept, so that nothing is counted twice. */
#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "command/simulate.h"

/* A part of a seed's words that was counted at an SNR. */
struct piece {
    long snr_mdb; /* thousandths of a dB */
    int seed, part, parts;
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
    fault_set(&fault, STATUS_NO_MEMORY, "", NULL, "%s", status_message(STATUS_NO_MEMORY));
    return invocation_fault_in(merge->invocation, NULL, &fault);
}

/* ---- A row. ---- */

/* A whole number that is not negative; false where there is none. */
static bool read_count(const json_t *object, const char *name, long long *count)
{
    const json_t *value = json_object_get(object, name);
    *count = json_is_integer(value) ? json_integer_value(value) : -1;
    return *count >= 0;
}

static bool read_counts(const json_t *object, bool second, struct run_counts *counts)
{
    long long frames = 0, errors = 0;
    bool good = read_count(object, second ? "frames" : "segments", &frames) &&
                read_count(object, second ? "frame_errors" : "segment_errors", &errors) &&
                errors <= frames;
    *counts = (struct run_counts){.frames = (long)frames, .frame_errors = (long)errors};
    if (good && second) {
        double iterations = json_number_value(json_object_get(object, "iterations"));
        counts->iterations = llround(iterations * (double)frames);
        good = read_count(object, "bits", &counts->bits) &&
               read_count(object, "bit_errors", &counts->bit_errors) &&
               counts->bit_errors <= counts->bits && iterations >= 0.0 && iterations < 1e6;
    }
    return good;
}

static enum exit_status read_row(const struct merge *merge, const json_t *object,
                                 struct simulate_row *row)
{
    const json_t *snr = json_object_get(object, "snr_db");
    const char *run = json_string_value(json_object_get(object, "run"));
    const char *part = json_string_value(json_object_get(object, "part"));
    const json_t *seed = json_object_get(object, "seed");
    *row = (struct simulate_row){0};
    if (!json_is_object(object) || !json_is_number(snr) || !run) {
        return refuse(merge, "", "not a result of simulate", "JSON of --format json");
    }
    if (!json_is_integer(seed) || !part) {
        return refuse(merge, "seed", "several seeds have been added here already",
                      "the files that were added");
    }
    row->snr_db = json_number_value(snr);
    text_format(row->run, sizeof row->run, "%s", run);
    text_format(row->part, sizeof row->part, "%s", part);
    json_int_t seed_value = json_integer_value(seed);
    bool second = json_object_get(object, "frames") != NULL;
    if (seed_value < 0 || seed_value > 2147483647 || fabs(row->snr_db) > 1000.0 ||
        !read_counts(object, second, &row->counts)) {
        return refuse(merge, "", "counts that cannot be", "JSON of --format json");
    }
    row->seed = (int)seed_value;
    if (merge->rows->count == 0) {
        merge->rows->generation = second ? GENERATION_SECOND : GENERATION_FIRST;
    } else if (strcmp(row->run, merge->rows->rows[0].run) != 0) {
        char wrong[2 * SIMULATE_WORDS];
        text_format(wrong, sizeof wrong, "\"%s\" is another run than \"%s\"", row->run,
                    merge->rows->rows[0].run);
        return refuse(merge, "run", wrong, "parts of one run");
    }
    return EXIT_DONE;
}

/* ---- Pieces. ---- */

static enum exit_status add_piece(struct merge *merge, struct piece piece)
{
    for (size_t i = 0; i < merge->piece_count; i++) {
        const struct piece *other = &merge->pieces[i];
        if (other->snr_mdb == piece.snr_mdb && other->seed == piece.seed &&
            (other->parts != piece.parts || other->part == piece.part)) {
            char wrong[160];
            text_format(wrong, sizeof wrong,
                        other->parts == piece.parts
                            ? "part %d/%d of seed %d at %.3f dB is there twice"
                            : "part %d/%d of seed %d at %.3f dB overlaps another",
                        piece.part, piece.parts, piece.seed, 1e-3 * (double)piece.snr_mdb);
            return refuse(merge, "part", wrong, "each part once");
        }
    }
    if (merge->piece_count == merge->piece_capacity) {
        size_t capacity = merge->piece_capacity ? 2 * merge->piece_capacity : 64;
        struct piece *grown = realloc(merge->pieces, capacity * sizeof *grown);
        if (!grown) {
            return no_memory(merge);
        }
        merge->pieces = grown;
        merge->piece_capacity = capacity;
    }
    merge->pieces[merge->piece_count++] = piece;
    return EXIT_DONE;
}

/* "2/3", "1-2,4/8". */
static enum exit_status add_pieces(struct merge *merge, const struct simulate_row *row)
{
    const char *slash = strchr(row->part, '/'), *at = row->part;
    char *end;
    long parts = slash ? strtol(slash + 1, &end, 10) : 0;
    if (parts < 1 || parts > 1000000 || *end != '\0') {
        return refuse(merge, "part", "malformed", "I/N");
    }
    while (at < slash) {
        long first = strtol(at, &end, 10), last = first;
        if (*end == '-') {
            last = strtol(end + 1, &end, 10);
        }
        if ((*end != ',' && end != slash) || first < 1 || last < first || last > parts) {
            return refuse(merge, "part", "malformed", "I/N");
        }
        for (long part = first; part <= last; part++) {
            enum exit_status status =
                add_piece(merge, (struct piece){lround(row->snr_db * 1000.0), row->seed, (int)part,
                                                (int)parts});
            if (status != EXIT_DONE) {
                return status;
            }
        }
        at = end + 1;
    }
    return EXIT_DONE;
}

static int compare_pieces(const void *a, const void *b)
{
    const struct piece *one = a, *other = b;
    return one->snr_mdb != other->snr_mdb ? (one->snr_mdb > other->snr_mdb ? 1 : -1)
           : one->seed != other->seed     ? (one->seed > other->seed ? 1 : -1)
                                          : one->part - other->part;
}

/* The part of a row from the pieces behind it: "1/1" when all parts are there. */
static void name_part(const struct merge *merge, struct simulate_row *row)
{
    long snr_mdb = lround(row->snr_db * 1000.0);
    size_t used = 0, count = 0;
    int parts = 0, last = 0, run_first = 0;
    char words[4096] = "";
    for (size_t i = 0; i <= merge->piece_count; i++) {
        const struct piece *piece = i < merge->piece_count ? &merge->pieces[i] : NULL;
        if (piece && piece->snr_mdb != snr_mdb) {
            continue;
        }
        if (piece && count++ > 0 && piece->part == last + 1) {
            last = piece->part;
            continue;
        }
        if (run_first > 0) {
            used +=
                text_format(words + used, sizeof words - used, "%s%d", used ? "," : "", run_first);
            if (last > run_first) {
                used += text_format(words + used, sizeof words - used, "-%d", last);
            }
        }
        if (piece) {
            run_first = last = piece->part;
            parts = piece->parts;
        }
    }
    if (row->seed < 0 || used + 16 > sizeof row->part) {
        row->seed = -1;
        row->part[0] = '\0';
    } else if (count == (size_t)parts) {
        text_format(row->part, sizeof row->part, "1/1");
    } else {
        text_format(row->part, sizeof row->part, "%s/%d", words, parts);
    }
}

/* ---- Files. ---- */

static enum exit_status add_row(struct merge *merge, const struct simulate_row *row)
{
    enum exit_status status = add_pieces(merge, row);
    if (status != EXIT_DONE) {
        return status;
    }
    for (size_t i = 0; i < merge->rows->count; i++) {
        struct simulate_row *sum = &merge->rows->rows[i];
        if (lround(sum->snr_db * 1000.0) == lround(row->snr_db * 1000.0)) {
            run_counts_add(&sum->counts, &row->counts);
            sum->seed = sum->seed == row->seed ? sum->seed : -1;
            return EXIT_DONE;
        }
    }
    return simulate_rows_add(merge->rows, row) == STATUS_OK ? EXIT_DONE : no_memory(merge);
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
        struct simulate_row row;
        status = read_row(merge, json_array_get(array, i), &row);
        if (status == EXIT_DONE) {
            status = add_row(merge, &row);
        }
    }
    json_decref(array);
    return status;
}

static int compare_rows(const void *a, const void *b)
{
    const struct simulate_row *one = a, *other = b;
    return (one->snr_db > other->snr_db) - (one->snr_db < other->snr_db);
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
    if (merge.piece_count > 1) {
        qsort(merge.pieces, merge.piece_count, sizeof *merge.pieces, compare_pieces);
    }
    if (rows->count > 1) {
        qsort(rows->rows, rows->count, sizeof *rows->rows, compare_rows);
    }
    for (size_t i = 0; i < rows->count; i++) {
        name_part(&merge, &rows->rows[i]);
    }
    free(merge.pieces);
    return status;
}
