/* Results of simulations in all forms. JSON and CSV carry what --merge needs besides. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "command/simulate/simulate.h"
#include "present/table/figures.h"
#include "present/table/notes.h"

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

/* ---- Figures: a row's counts, their rates, and where they come from. ---- */

/* A row as its figures are read. */
struct simulated {
    const struct simulate_rows *rows;
    const struct simulate_row *row;
    struct interval interval;
};

static const struct run_counts *counts_of(const void *result)
{
    return &((const struct simulated *)result)->row->counts;
}

#define COUNT(name, value)                      \
    static double name##_of(const void *result) \
    {                                           \
        return (double)(value);                 \
    }
COUNT(snr, (double)((const struct simulated *)result)->row->snr_mdb / 1e3)
COUNT(frames, counts_of(result)->frames)
COUNT(frame_errors, counts_of(result)->frame_errors)
COUNT(bit_errors, counts_of(result)->bit_errors)
COUNT(fer, run_frame_error_rate(counts_of(result)))
COUNT(low, ((const struct simulated *)result)->interval.low)
COUNT(high, ((const struct simulated *)result)->interval.high)
COUNT(ber, run_bit_error_rate(counts_of(result)))
COUNT(iterations, run_mean_iterations(counts_of(result)))
COUNT(bits, counts_of(result)->bits)
COUNT(planned, counts_of(result)->planned)

static double seed_of(const void *result)
{
    int seed = ((const struct simulated *)result)->row->seed;
    return seed >= 0 ? seed : NAN;
}

static const char *run_of(const void *result)
{
    return ((const struct simulated *)result)->rows->run;
}

static const char *part_of(const void *result)
{
    const char *part = ((const struct simulated *)result)->row->part;
    return part[0] != '\0' ? part : NULL;
}

/* A SNR in dB with so many decimals tells it from its neighbours. */
static int simulate_snr_decimals(const struct simulate_rows *rows)
{
    for (size_t i = 0; i < rows->count; i++) {
        if (rows->rows[i].snr_mdb % 10 != 0) {
            return 3;
        }
    }
    return 2;
}

static void snr_words(const void *result, char *buffer, size_t size)
{
    text_format(buffer, size, "%.*f",
                simulate_snr_decimals(((const struct simulated *)result)->rows), snr_of(result));
}

#define WHOLE .kind = FIGURE_WHOLE, .number
static const struct figure rows_of_figures[] = {
    {"snr_db", "SNR", .unit = "dB", .number = snr_of, .text = snr_words},
    {"frames", "Frames", .unit = "", WHOLE = frames_of},
    {"frame_errors", "Frame", .unit = "errors", WHOLE = frame_errors_of},
    {"bit_errors", "Bit", .unit = "errors", WHOLE = bit_errors_of},
    {"fer", "FER", .unit = "", .kind = FIGURE_RATE, .decimals = 2, .number = fer_of},
    {"fer_low", "95 %", .unit = "from", .kind = FIGURE_RATE, .decimals = 1, .number = low_of},
    {"fer_high", "", .unit = "to", .kind = FIGURE_RATE, .decimals = 1, .number = high_of},
    {"ber", "BER", .unit = "", .kind = FIGURE_RATE, .decimals = 2, .number = ber_of},
    {"iterations", "Iter.", .unit = "", .decimals = 1, .number = iterations_of},
    {"segments", "Segments", .unit = "", WHOLE = frames_of},
    {"segment_errors", "Segment", .unit = "errors", WHOLE = frame_errors_of},
    {"ser", "SER", .unit = "", .kind = FIGURE_RATE, .decimals = 2, .number = fer_of},
    {"ser_low", "95 %", .unit = "from", .kind = FIGURE_RATE, .decimals = 1, .number = low_of},
    {"ser_high", "", .unit = "to", .kind = FIGURE_RATE, .decimals = 1, .number = high_of},
    {"bits", "Bits", .unit = "", WHOLE = bits_of},
    {"planned", "Planned", .unit = "", WHOLE = planned_of},
    {"run", "Run", .unit = "", .kind = FIGURE_WORD, .word = run_of},
    {"seed", "Seed", .unit = "", WHOLE = seed_of},
    {"part", "Part", .unit = "", .kind = FIGURE_WORD, .word = part_of},
};
const struct figure_table simulate_figures = {rows_of_figures,
                                              sizeof rows_of_figures / sizeof rows_of_figures[0]};

static bool for_people(enum format format)
{
    return format == FORMAT_TEXT || format == FORMAT_MARKDOWN;
}

static struct figure_list figures_shown(const struct system_simulation *simulation,
                                        enum format format)
{
    struct figure_list list = figures_named(&simulate_figures, simulation->figures);
    if (!for_people(format)) {
        struct figure_list more =
            figures_named(&simulate_figures, simulation->figures + list.count + 1);
        for (size_t i = 0; i < more.count; i++) {
            list.rows[list.count++] = more.rows[i];
        }
    }
    return list;
}

/* ---- Which parts were counted. ---- */

/* At the limit of errors, or stopped by hand. */
static bool is_early(const struct simulate_row *row)
{
    return row->counts.frames < row->counts.planned;
}

static bool same_origin(const struct simulate_row *one, const struct simulate_row *other)
{
    bool early = is_early(one);
    return one->seed == other->seed && strcmp(one->part, other->part) == 0 &&
           early == is_early(other) && (!early || one->counts.planned == other->counts.planned);
}

/* "part 1/4, seed 1"; of a sum "parts 1-2,4 of 8, seed 1". */
static void name_parts(const struct simulate_row *row, char *words, size_t size)
{
    const char *slash = strchr(row->part, '/');
    if (row->seed < 0 || !slash) {
        text_format(words, size, "parts of several seeds, or too many to list");
    } else if (strcmp(row->part, "1/1") == 0) {
        text_format(words, size, is_early(row) ? "seed %d" : "the whole run, seed %d", row->seed);
    } else if (strpbrk(row->part, ",-")) {
        text_format(words, size, "parts %.*s of %s, seed %d", (int)(slash - row->part), row->part,
                    slash + 1, row->seed);
    } else {
        text_format(words, size, "part %s, seed %d", row->part, row->seed);
    }
}

/* What was stopped early is no whole run, nor a whole part: how much of it was counted stands in
 * the table. */
static void name_origin(const struct simulate_row *row, const char *unit, char *words, size_t size)
{
    char parts[SIMULATE_WORDS + 80];
    name_parts(row, parts, sizeof parts);
    text_format(words, size, "%s", parts);
    if (is_early(row)) {
        text_format(words, size, "%s, stopped early: not all %ld %s", parts, row->counts.planned,
                    unit);
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
        name_origin(row, rows->system->simulation->count.frames, origin, sizeof origin);
        if (end - i < rows->count) {
            text_format(line, sizeof line, "%.*f to %.*f dB: %s", decimals,
                        (double)row->snr_mdb / 1e3, decimals,
                        (double)rows->rows[end - 1].snr_mdb / 1e3, origin);
            append_line(out, format, line);
        } else if (strcmp(row->part, "1/1") != 0 || is_early(row)) {
            append_line(out, format, origin);
        }
    }
}

static void write_notes(const struct invocation *invocation, const struct simulate_rows *rows,
                        struct text *out)
{
    enum format format = invocation->format;
    bool merged = invocation_option(invocation, "--merge"); /* of another mode, maybe */
    struct text notes = {0};
    rows->system->simulation->notes(merged ? NULL : &invocation->profile.scenario,
                                    strstr(rows->run, PROOF_CHANNEL_MARK), &notes);
    text_append(&notes, "95 %: exact interval of Clopper and Pearson. Counts repeat with the same "
                        "seed, whatever the number of threads.\n");
    note_heading(out, format, "What the figures assume");
    note_append_lines(out, format, text_string(&notes));
    out->failed = out->failed || notes.failed;
    text_free(&notes);
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
    if (for_people(format) && !write_first_lines(rows, format, out)) {
        return out->failed ? STATUS_NO_MEMORY : STATUS_OK;
    }
    struct figure_list list = figures_shown(rows->system->simulation, format);
    struct table table = figures_across(&list, NULL, 0);
    for (size_t i = 0; i < rows->count; i++) {
        const struct simulated row = {rows, &rows->rows[i], proof_interval(&rows->rows[i].counts)};
        table_figures(&table, &list, &row);
    }
    enum status status = table_write(&table, format, out);
    table_free(&table);
    if (for_people(format)) {
        write_notes(invocation, rows, out);
    }
    return status;
}
