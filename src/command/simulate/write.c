/* Results of simulations in all forms. JSON and CSV carry what --merge needs besides. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "command/simulate/simulate.h"
#include "physics/information/required_snr.h"
#include "present/table/notes.h"
#include "present/table/table.h"

#define NOTE_SIZE 400

enum status simulate_rows_add(struct simulate_rows *rows, const struct simulate_row *row)
{
    if (rows->count == rows->capacity) {
        size_t capacity = rows->capacity ? 2 * rows->capacity : 16;
        struct simulate_row *grown = realloc(rows->rows, capacity * sizeof *grown);
        if (!grown) {
            return STATUS_NO_MEMORY;
        }
        rows->rows = grown;
        rows->capacity = capacity;
    }
    rows->rows[rows->count++] = *row;
    return STATUS_OK;
}

void simulate_rows_free(struct simulate_rows *rows)
{
    free(rows->rows);
    *rows = (struct simulate_rows){0};
}

static const struct table_column second_columns[] = {
    {"snr_db", "SNR", "dB", 2},
    {"frames", "Frames", NULL, 0},
    {"frame_errors", "Frame", "errors", 0},
    {"bit_errors", "Bit", "errors", 0},
    {"fer", "FER", NULL, 0},
    {"fer_low", "95 %", "from", 0},
    {"fer_high", "", "to", 0},
    {"ber", "BER", NULL, 0},
    {"iterations", "Iter.", NULL, 1},
    {"bits", NULL, NULL, 0},
    {"run", NULL, NULL, 0},
    {"seed", NULL, NULL, 0},
    {"part", NULL, NULL, 0},
};

static const struct table_column first_columns[] = {
    {"snr_db", "S/N", "dB", 2},
    {"segments", "Segments", NULL, 0},
    {"segment_errors", "Segment", "errors", 0},
    {"ser", "SER", NULL, 0},
    {"ser_low", "95 %", "from", 0},
    {"ser_high", "", "to", 0},
    {"run", NULL, NULL, 0},
    {"seed", NULL, NULL, 0},
    {"part", NULL, NULL, 0},
};

#define SECOND_SHOWN 9
#define FIRST_SHOWN 6
#define COLUMNS(columns) (sizeof(columns) / sizeof(columns)[0])

int simulate_snr_decimals(const struct simulate_rows *rows)
{
    for (size_t i = 0; i < rows->count; i++) {
        if (rows->rows[i].snr_mdb % 10 != 0) {
            return 3;
        }
    }
    return 2;
}

static bool for_people(enum format format)
{
    return format == FORMAT_TEXT || format == FORMAT_MARKDOWN;
}

/* A rate: as it is for programs, as a power of ten with so many decimals for people. */
static void add_rate(struct table *table, enum format format, double rate, int decimals)
{
    char word[32];
    if (!for_people(format) || !isfinite(rate)) {
        table_number(table, rate);
    } else {
        text_format(word, sizeof word, rate > 0.0 ? "%.*e" : "0", decimals, rate);
        table_word(table, word);
    }
}

static void add_interval(struct table *table, enum format format, const struct run_counts *counts)
{
    struct interval interval = proof_interval(counts);
    add_rate(table, format, run_frame_error_rate(counts), 2);
    add_rate(table, format, interval.low, 1);
    add_rate(table, format, interval.high, 1);
}

static void add_origin(struct table *table, const struct simulate_rows *rows,
                       const struct simulate_row *row)
{
    table_word(table, rows->run);
    if (row->seed >= 0) {
        table_whole(table, row->seed);
    } else {
        table_null(table);
    }
    table_word(table, row->part[0] ? row->part : NULL);
}

static void add_row(struct table *table, enum format format, const struct simulate_rows *rows,
                    const struct simulate_row *row)
{
    const struct run_counts *counts = &row->counts;
    bool second = rows->generation == GENERATION_SECOND;
    table_number_to(table, (double)row->snr_mdb / 1e3, simulate_snr_decimals(rows));
    table_whole(table, counts->frames);
    table_whole(table, counts->frame_errors);
    if (second) {
        table_whole(table, (long)counts->bit_errors);
    }
    add_interval(table, format, counts);
    if (second) {
        add_rate(table, format, run_bit_error_rate(counts), 2);
        table_number(table, run_mean_iterations(counts));
        if (!for_people(format)) {
            table_whole(table, (long)counts->bits);
        }
    }
    if (!for_people(format)) {
        add_origin(table, rows, row);
    }
}

/* ---- Which parts were counted. ---- */

static bool same_origin(const struct simulate_row *one, const struct simulate_row *other)
{
    return one->seed == other->seed && strcmp(one->part, other->part) == 0;
}

/* "part 1/4, seed 1"; of a sum "parts 1-2,4 of 8, seed 1". */
static void name_origin(const struct simulate_row *row, char *words, size_t size)
{
    const char *slash = strchr(row->part, '/');
    if (row->seed < 0 || !slash) {
        text_format(words, size, "parts of several seeds, or too many to list");
    } else if (strcmp(row->part, "1/1") == 0) {
        text_format(words, size, "the whole run, seed %d", row->seed);
    } else if (strpbrk(row->part, ",-")) {
        text_format(words, size, "parts %.*s of %s, seed %d", (int)(slash - row->part), row->part,
                    slash + 1, row->seed);
    } else {
        text_format(words, size, "part %s, seed %d", row->part, row->seed);
    }
}

/* A further line; Markdown would make one paragraph of lines without an empty one between. */
static void append_line(struct text *out, enum format format, const char *words)
{
    if (format == FORMAT_MARKDOWN) {
        text_append(out, "\n");
    }
    note_paragraph(out, format, words);
}

/* A line for all rows, or one for each stretch of SNRs of which the same parts are there; none for
 * a whole run. */
static void write_origins(const struct simulate_rows *rows, enum format format, struct text *out)
{
    int decimals = simulate_snr_decimals(rows);
    for (size_t i = 0, end = 0; i < rows->count; i = end) {
        const struct simulate_row *row = &rows->rows[i];
        char origin[2 * SIMULATE_WORDS], line[3 * SIMULATE_WORDS];
        while (end < rows->count && same_origin(row, &rows->rows[end])) {
            end++;
        }
        name_origin(row, origin, sizeof origin);
        if (end - i < rows->count) {
            text_format(line, sizeof line, "%.*f to %.*f dB: %s", decimals,
                        (double)row->snr_mdb / 1e3, decimals,
                        (double)rows->rows[end - 1].snr_mdb / 1e3, origin);
            append_line(out, format, line);
        } else if (strcmp(row->part, "1/1") != 0) {
            append_line(out, format, origin);
        }
    }
}

static void write_first_notes(enum format format, struct text *out)
{
    note_append(out, format,
                "S/N: the pilot counts as signal (0.3 dB), as in published thresholds. The "
                "threshold of visibility is a segment error rate of 1.93e-4, published at "
                "14.9 dB (ATSC A/54A).");
    note_append(out, format,
                "SER: rate of wrong segments. White noise, soft Viterbi decoding, Reed-Solomon "
                "decoding by counting: a segment with more than 10 wrong bytes is wrong.");
    note_append(out, format,
                "The profile's echoes, where the first line names them, turn with their Doppler "
                "and pass a whole receiver: equaliser of the profile's reach, step and feedback, "
                "wrong decisions fed back. Its implementation loss is not counted.");
}

static void write_second_notes(const struct invocation *invocation,
                               const struct simulate_rows *rows, struct text *out)
{
    enum format format = invocation->format;
    const struct transmission *mode = &invocation->profile.scenario.transmission;
    char note[NOTE_SIZE];
    note_append(out, format,
                "FER, BER: rates of wrong frames and of wrong payload bits. Iter.: the decoder's "
                "iterations, mean.");
    size_t used = text_format(note, sizeof note, "SNR: signal power over noise power in a cell.");
    if (!invocation_option(invocation, "--merge")) { /* else the mode may be another */
        text_format(note + used, sizeof note - used,
                    " Limit of the pair in white noise %.2f dB, in Rayleigh fading %.2f dB.",
                    limit_snr_db(mode->subframes[0].plps[0].code.constellation,
                                 mode->subframes[0].plps[0].code.rate_15ths, FADING_AWGN),
                    limit_snr_db(mode->subframes[0].plps[0].code.constellation,
                                 mode->subframes[0].plps[0].code.rate_15ths, FADING_RAYLEIGH));
    }
    note_append(out, format, note);
    note_append(out, format,
                "The receiver knows the channel exactly. A frame is a code "
                "word, wrong after the outer code: BCH corrects 12 bits (counted); CRC, "
                "or no outer code, corrects none.");
    if (strstr(rows->run, PROOF_CHANNEL_MARK)) {
        text_format(note, sizeof note,
                    "The profile's echoes give each carrier an SNR of its own. %s With echoes more "
                    "than the limit in white noise is needed.",
                    proof_second_echoes);
        note_append(out, format, note);
    }
}

static void write_notes(const struct invocation *invocation, const struct simulate_rows *rows,
                        struct text *out)
{
    enum format format = invocation->format;
    note_heading(out, format, "What the figures assume");
    if (rows->generation == GENERATION_FIRST) {
        write_first_notes(format, out);
    } else {
        write_second_notes(invocation, rows, out);
    }
    note_append(out, format,
                "95 %: exact interval of Clopper and Pearson. Counts repeat with the same seed, "
                "whatever the number of threads.");
}

/* What stands before the table; false where there is nothing for a table. */
static bool write_first_lines(const struct simulate_rows *rows, enum format format,
                              struct text *out)
{
    note_paragraph(out, format, rows->run);
    if (rows->count == 0) {
        append_line(out, format, rows->nothing);
        return false;
    }
    write_origins(rows, format, out);
    text_append(out, "\n");
    return true;
}

enum status simulate_write(const struct invocation *invocation, const struct simulate_rows *rows,
                           struct text *out)
{
    enum format format = invocation->format;
    bool second = rows->generation == GENERATION_SECOND;
    size_t shown = second ? SECOND_SHOWN : FIRST_SHOWN;
    size_t all = second ? COLUMNS(second_columns) : COLUMNS(first_columns);
    if (for_people(format) && !write_first_lines(rows, format, out)) {
        return out->failed ? STATUS_NO_MEMORY : STATUS_OK;
    }
    struct table table =
        table_start(second ? second_columns : first_columns, for_people(format) ? shown : all);
    for (size_t i = 0; i < rows->count; i++) {
        add_row(&table, format, rows, &rows->rows[i]);
    }
    enum status status = table_write(&table, format, out);
    table_free(&table);
    if (for_people(format)) {
        write_notes(invocation, rows, out);
    }
    return status;
}
