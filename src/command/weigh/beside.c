/* guardspan weigh --beside: the profile's mode beside those of other profiles, figure by figure. */
#include "command/weigh/beside.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "present/table/figures.h"
#include "present/table/notes.h"
#include "study/report/report.h"

#define BESIDE_MAX 4

static void add_difference(struct table *table, const struct figure *figure,
                           const struct verdict *first, const struct verdict *other)
{
    char difference[32] = "";
    table_figure(table, figure, other);
    if (figure->kind == FIGURE_WORD) {
        const char *a = figure_word(figure, first), *b = figure_word(figure, other);
        table_word(table, a != NULL && b != NULL && strcmp(a, b) == 0 ? "" : "other");
        return;
    }
    double a = figure_number(figure, first), b = figure_number(figure, other);
    bool shows = fabs(b - a) >= 0.5 * pow(10.0, -figure->decimals); /* less would be told as 0 */
    if (isfinite(b - a) && shows) {
        text_format(difference, sizeof difference, "%+.*f", figure->decimals, b - a);
    }
    table_word(table, difference);
}

/* All figures of the profile's mode and of others, with differences: for programs in one table. */
static enum status write_all(const struct verdict *verdicts, const char *const *names, int count,
                             enum format format, struct text *out)
{
    struct figure_list list =
        figures_named(&generation_figures, verdicts[0].reception.system->figures);
    struct table_column columns[3 + 2 * BESIDE_MAX] = {
        {"quantity", "Quantity", NULL, 0}, {"unit", "Unit", NULL, 0}, {"now", "Now", NULL, 0}};
    static const char *const differences[BESIDE_MAX] = {"difference_1", "difference_2",
                                                        "difference_3", "difference_4"};
    for (int i = 1; i < count; i++) {
        columns[1 + 2 * i] = (struct table_column){names[i], names[i], NULL, 0};
        columns[2 + 2 * i] = (struct table_column){differences[i - 1], "less now", NULL, 0};
    }
    struct table table = table_start(columns, 1 + 2 * (size_t)count);
    for (size_t f = 0; f < list.count; f++) {
        table_word(&table, figure_label(list.rows[f], &verdicts[0]));
        table_word(&table, list.rows[f]->unit);
        table_figure(&table, list.rows[f], &verdicts[0]);
        for (int i = 1; i < count; i++) {
            add_difference(&table, list.rows[f], &verdicts[0], &verdicts[i]);
        }
    }
    enum status status = table_write(&table, format, out);
    table_free(&table);
    return status;
}

/* ---- For people: a table for each other profile, so narrow that it fits the terminal. ---- */

#define WORD_COLUMNS 12 /* longer words are told below the table */

static bool is_long(const struct figure *figure, const struct verdict *verdict)
{
    const char *word = figure->kind == FIGURE_WORD ? figure_word(figure, verdict) : NULL;
    return word && text_columns(word) > WORD_COLUMNS;
}

static void write_long(const struct figure *figure, const struct verdict *now,
                       const struct verdict *then, enum format format, struct text *out)
{
    const char *a = figure_word(figure, now), *b = figure_word(figure, then);
    struct text line = {0};
    bool same = a && b && strcmp(a, b) == 0;
    text_printf(&line, "%s, %s: %s.", figure_label(figure, now), same ? "both" : "now",
                a ? a : "unknown");
    if (!same) {
        text_printf(&line, " Then: %s.", b ? b : "unknown");
    }
    note_append(out, format, text_string(&line));
    out->failed |= line.failed;
    text_free(&line);
}

static enum status write_pair(const struct verdict *now, const struct verdict *then,
                              const char *name, enum format format, struct text *out)
{
    static const struct table_column columns[] = {{"quantity", "Quantity", NULL, 0},
                                                  {"unit", "Unit", NULL, 0},
                                                  {"now", "Now", NULL, 0},
                                                  {"then", "Then", NULL, 0},
                                                  {"difference", "less now", NULL, 0}};
    struct figure_list list = figures_named(&generation_figures, now->reception.system->figures);
    struct table table = table_start(columns, sizeof columns / sizeof columns[0]);
    char heading[512];
    text_format(heading, sizeof heading, "Now beside %s", name);
    note_heading(out, format, heading);
    for (size_t f = 0; f < list.count; f++) {
        const struct figure *figure = list.rows[f];
        if (!is_long(figure, now) && !is_long(figure, then)) {
            table_word(&table, figure_label(figure, now));
            table_word(&table, figure->unit);
            table_figure(&table, figure, now);
            add_difference(&table, figure, now, then);
        }
    }
    enum status status = table_write(&table, format, out);
    table_free(&table);
    text_append(out, "\n");
    for (size_t f = 0; f < list.count; f++) {
        if (is_long(list.rows[f], now) || is_long(list.rows[f], then)) {
            write_long(list.rows[f], now, then, format, out);
        }
    }
    return status;
}

static enum status write_beside(const struct verdict *verdicts, const char *const *names, int count,
                                enum format format, struct text *out)
{
    enum status status = STATUS_OK;
    if (format == FORMAT_JSON || format == FORMAT_CSV) {
        return write_all(verdicts, names, count, format, out);
    }
    for (int i = 1; i < count && status == STATUS_OK; i++) {
        status = write_pair(&verdicts[0], &verdicts[i], names[i], format, out);
    }
    return status;
}

/* The other profiles' verdicts after the profile's own. */
static enum exit_status make_beside(const struct invocation *invocation, struct verdict *verdicts,
                                    const char **names, int *count)
{
    struct fault fault = {0};
    if (verdict_make(&invocation->profile.scenario, GENERATION_SECOND, &verdicts[0], &fault) !=
        STATUS_OK) {
        return invocation_fault(invocation, &fault);
    }
    for (int i = 0; i < invocation->option_count; i++) {
        const struct option_given *given = &invocation->options[i];
        if (strcmp(given->row->name, "--beside") != 0) {
            continue;
        }
        if (*count > BESIDE_MAX) {
            return invocation_refuse(invocation, "--beside", "at most 4", "too many profiles");
        }
        struct profile profile;
        enum status status = profile_read_file(given->value, &profile, &fault);
        if (status == STATUS_OK) {
            status = verdict_make(&profile.scenario, GENERATION_SECOND, &verdicts[*count], &fault);
            profile_free(&profile);
        }
        if (status != STATUS_OK) {
            return invocation_fault_in(invocation, given->value, &fault);
        }
        names[(*count)++] = given->value;
    }
    return EXIT_DONE;
}

enum exit_status weigh_beside(struct invocation *invocation)
{
    struct verdict *verdicts = malloc((1 + BESIDE_MAX) * sizeof *verdicts);
    const char *names[1 + BESIDE_MAX] = {"now"};
    int count = 1;
    struct fault fault = {0};
    if (verdicts == NULL) {
        fault_of_status(&fault, STATUS_NO_MEMORY);
        return invocation_fault(invocation, &fault);
    }
    enum exit_status result = make_beside(invocation, verdicts, names, &count);
    if (result == EXIT_DONE) {
        struct text out = {0};
        out.failed |= write_beside(verdicts, names, count, invocation->format, &out) != STATUS_OK;
        result = invocation_write(invocation, &out);
        text_free(&out);
    }
    free(verdicts);
    return result;
}
