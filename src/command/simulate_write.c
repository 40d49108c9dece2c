/* Results of simulations in all forms. JSON and CSV carry what --merge needs besides. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "command/simulate.h"
#include "physics/required_snr.h"
#include "present/notes.h"
#include "present/table.h"

#define NOTE_SIZE 400
#define PROFILE_CHANNEL ", profile with " /* in the description of a run (study/proof.c) */

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
    {"frame_errors", "Frame errors", NULL, 0},
    {"bit_errors", "Bit errors", NULL, 0},
    {"fer", "Frame error rate", NULL, 0},
    {"fer_low", "95 % from", NULL, 0},
    {"fer_high", "to", NULL, 0},
    {"ber", "Bit error rate", NULL, 0},
    {"iterations", "Iterations", "mean", 1},
    {"bits", NULL, NULL, 0},
    {"run", NULL, NULL, 0},
    {"seed", NULL, NULL, 0},
    {"part", NULL, NULL, 0},
};

static const struct table_column first_columns[] = {
    {"snr_db", "S/N", "dB", 2},
    {"segments", "Segments", NULL, 0},
    {"segment_errors", "Segment errors", NULL, 0},
    {"ser", "Segment error rate", NULL, 0},
    {"ser_low", "95 % from", NULL, 0},
    {"ser_high", "to", NULL, 0},
    {"run", NULL, NULL, 0},
    {"seed", NULL, NULL, 0},
    {"part", NULL, NULL, 0},
};

#define SECOND_SHOWN 9
#define FIRST_SHOWN 6
#define COLUMNS(columns) (sizeof(columns) / sizeof(columns)[0])

static bool for_people(enum format format)
{
    return format == FORMAT_TEXT || format == FORMAT_MARKDOWN;
}

/* A rate: as it is for programs, as a power of ten for people. */
static void add_rate(struct table *table, enum format format, double rate)
{
    char word[32];
    if (!for_people(format) || !isfinite(rate)) {
        table_number(table, rate);
    } else {
        text_format(word, sizeof word, rate > 0.0 ? "%.2e" : "0", rate);
        table_word(table, word);
    }
}

static void add_interval(struct table *table, enum format format, const struct run_counts *counts)
{
    struct interval interval = proof_interval(counts);
    add_rate(table, format, run_frame_error_rate(counts));
    add_rate(table, format, interval.low);
    add_rate(table, format, interval.high);
}

static void add_origin(struct table *table, const struct simulate_row *row)
{
    table_word(table, row->run);
    if (row->seed >= 0) {
        table_whole(table, row->seed);
    } else {
        table_null(table);
    }
    table_word(table, row->part[0] ? row->part : NULL);
}

static void add_row(struct table *table, enum format format, enum generation generation,
                    const struct simulate_row *row)
{
    const struct run_counts *counts = &row->counts;
    bool second = generation == GENERATION_SECOND;
    table_number(table, row->snr_db);
    table_whole(table, counts->frames);
    table_whole(table, counts->frame_errors);
    if (second) {
        table_whole(table, (long)counts->bit_errors);
    }
    add_interval(table, format, counts);
    if (second) {
        add_rate(table, format, run_bit_error_rate(counts));
        table_number(table, run_mean_iterations(counts));
        if (!for_people(format)) {
            table_whole(table, (long)counts->bits);
        }
    }
    if (!for_people(format)) {
        add_origin(table, row);
    }
}

static void write_notes(const struct invocation *invocation, const struct simulate_rows *rows,
                        struct text *out)
{
    enum format format = invocation->format;
    const struct mode *mode = &invocation->profile.scenario.mode;
    char note[NOTE_SIZE];
    note_heading(out, format, "What the figures assume");
    if (rows->generation == GENERATION_FIRST) {
        note_append(out, format,
                    "S/N: the pilot counts as signal (0.3 dB), as in published thresholds. The "
                    "threshold of visibility is a segment error rate of 1.93e-4, published at "
                    "14.9 dB (ATSC A/54A).");
        note_append(out, format,
                    "White noise, soft Viterbi decoding, Reed-Solomon decoding by counting: a "
                    "segment with more than 10 wrong bytes is wrong.");
        note_append(out, format,
                    "The profile's echoes, where the first line names them, stand still; an ideal "
                    "equaliser of the profile's reach takes out what it can, its feedback free of "
                    "errors. Its adaptation and implementation losses are not counted.");
    } else {
        size_t used =
            text_format(note, sizeof note, "SNR: signal power over noise power in a cell.");
        if (!invocation_option(invocation, "--merge")) { /* else the mode may be another */
            text_format(note + used, sizeof note - used,
                        " Limit of the pair in white noise %.2f dB, in Rayleigh fading %.2f dB.",
                        limit_snr_db(mode->constellation, mode->rate_15ths, FADING_AWGN),
                        limit_snr_db(mode->constellation, mode->rate_15ths, FADING_RAYLEIGH));
        }
        note_append(out, format, note);
        note_append(out, format,
                    "The receiver knows the channel exactly. A frame is a code "
                    "word, wrong after the outer code: BCH corrects 12 bits (counted), CRC and "
                    "none none.");
        if (rows->count > 0 && strstr(rows->rows[0].run, PROFILE_CHANNEL)) {
            note_append(out, format,
                        "The profile's echoes give each carrier an SNR of its own. "
                        "Self-interference, from echoes outside the guard interval and from "
                        "Doppler, counts as noise; 8-VSB is simulated with echoes at rest. Cells "
                        "take the carriers in random order. With echoes more than the limit in "
                        "white noise is needed.");
        }
    }
    note_append(out, format,
                "95 %: exact interval of Clopper and Pearson. Counts repeat with the same seed, "
                "whatever the number of threads.");
}

enum status simulate_write(const struct invocation *invocation, const struct simulate_rows *rows,
                           struct text *out)
{
    enum format format = invocation->format;
    bool second = rows->generation == GENERATION_SECOND;
    size_t shown = second ? SECOND_SHOWN : FIRST_SHOWN;
    size_t all = second ? COLUMNS(second_columns) : COLUMNS(first_columns);
    struct table table =
        table_start(second ? second_columns : first_columns, for_people(format) ? shown : all);
    if (for_people(format) && rows->count > 0) {
        note_paragraph(out, format, rows->rows[0].run);
        text_append(out, "\n");
    }
    for (size_t i = 0; i < rows->count; i++) {
        add_row(&table, format, rows->generation, &rows->rows[i]);
    }
    enum status status = table_write(&table, format, out);
    table_free(&table);
    if (for_people(format)) {
        write_notes(invocation, rows, out);
    }
    return status;
}
