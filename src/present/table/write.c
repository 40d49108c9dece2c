/* A table as aligned text, CSV and Markdown; json.c has JSON. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "present/table/json.h"
#include "present/table/table.h"
#include "study/figure.h"

static const char *unit_of(const struct table_column *column)
{
    return column->unit ? column->unit : "";
}

/* What people read; "" for null, which each form marks its own way. */
static void cell_text(const struct table_column *column, const struct table_cell *cell,
                      struct text *out)
{
    text_clear(out);
    if (cell->word != NULL) {
        text_append(out, cell->word);
        return;
    }
    switch (cell->type) {
    case CELL_NULL:
    case CELL_WORD:
    case CELL_ROWS:
        break;
    case CELL_NUMBER: {
        char number[64];
        figure_number_text(cell->number, NULL,
                           cell->decimals >= 0 ? cell->decimals : column->decimals, number,
                           sizeof number);
        text_append(out, number);
        break;
    }
    case CELL_WHOLE:
        text_printf(out, "%ld", cell->whole);
        break;
    case CELL_BOOL:
        text_append(out, cell->yes ? "yes" : "no");
        break;
    }
}

/* A column of numbers is aligned at its right, and words that stand for one there with them. */
static bool is_numeric(const struct table *table, size_t column)
{
    bool numeric = false;
    for (size_t i = column; i < table->cell_count; i += table->column_count) {
        enum cell_type type = table->cells[i].type;
        if (type == CELL_WORD || type == CELL_BOOL) {
            return false;
        }
        numeric = numeric || type != CELL_NULL;
    }
    return numeric;
}

static void append_aligned(struct text *line, const char *string, size_t width, bool right)
{
    size_t columns = text_columns(string);
    size_t space = width > columns ? width - columns : 0;
    if (right) {
        text_append_repeated(line, ' ', space);
        text_append(line, string);
    } else {
        text_append(line, string);
        text_append_repeated(line, ' ', space);
    }
}

static void end_line(struct text *line, struct text *out)
{
    const char *string = text_string(line);
    size_t length = line->length;
    while (length > 0 && string[length - 1] == ' ') {
        length--;
    }
    text_append_bytes(out, string, length);
    text_append(out, "\n");
    out->failed = out->failed || line->failed;
    text_clear(line);
}

struct text_layout {
    size_t *widths;
    bool *numeric;
    struct text cell, line;
};

static void measure(const struct table *table, struct text_layout *layout)
{
    for (size_t c = 0; c < table->column_count; c++) {
        const struct table_column *column = &table->columns[c];
        size_t label = text_columns(column->label), unit = text_columns(unit_of(column));
        size_t width = label > unit ? label : unit;
        for (size_t i = c; i < table->cell_count; i += table->column_count) {
            cell_text(column, &table->cells[i], &layout->cell);
            size_t columns = text_columns(text_string(&layout->cell));
            width = columns > width ? columns : width;
        }
        layout->widths[c] = width;
        layout->numeric[c] = is_numeric(table, c);
    }
}

static void write_heading(const struct table *table, struct text_layout *layout, struct text *out)
{
    bool any_unit = false;
    for (size_t c = 0; c < table->column_count; c++) {
        append_aligned(&layout->line, c ? "  " : "", 0, false);
        append_aligned(&layout->line, table->columns[c].label, layout->widths[c],
                       layout->numeric[c]);
        any_unit = any_unit || unit_of(&table->columns[c])[0] != '\0';
    }
    end_line(&layout->line, out);
    if (!any_unit) {
        return;
    }
    for (size_t c = 0; c < table->column_count; c++) {
        append_aligned(&layout->line, c ? "  " : "", 0, false);
        append_aligned(&layout->line, unit_of(&table->columns[c]), layout->widths[c],
                       layout->numeric[c]);
    }
    end_line(&layout->line, out);
}

static const struct table_cell *cell_at(const struct table *table, size_t row, size_t column)
{
    return &table->cells[row * table->column_count + column];
}

static bool is_empty(const struct table_cell *cell)
{
    return cell->type == CELL_NULL && cell->word == NULL;
}

static void write_row(const struct table *table, size_t row, struct text_layout *layout,
                      struct text *out)
{
    for (size_t c = 0; c < table->column_count; c++) {
        const struct table_cell *cell = cell_at(table, row, c);
        cell_text(&table->columns[c], cell, &layout->cell);
        append_aligned(&layout->line, c ? "  " : "", 0, false);
        append_aligned(&layout->line, is_empty(cell) ? "-" : text_string(&layout->cell),
                       layout->widths[c], layout->numeric[c]);
    }
    end_line(&layout->line, out);
}

static void write_text(const struct table *table, struct text *out)
{
    size_t count = table->column_count ? table->column_count : 1;
    struct text_layout layout = {.widths = calloc(count, sizeof *layout.widths),
                                 .numeric = calloc(count, sizeof *layout.numeric)};
    if (!layout.widths || !layout.numeric) {
        out->failed = true;
    } else {
        measure(table, &layout);
        write_heading(table, &layout, out);
        for (size_t row = 0; row < table_row_count(table); row++) {
            write_row(table, row, &layout, out);
        }
        out->failed = out->failed || layout.cell.failed || layout.line.failed;
    }
    free(layout.widths);
    free(layout.numeric);
    text_free(&layout.cell);
    text_free(&layout.line);
}

static void append_csv_word(struct text *out, const char *word)
{
    if (strpbrk(word, ",\"\r\n") == NULL) {
        text_append(out, word);
        return;
    }
    text_append(out, "\"");
    for (; *word; word++) {
        text_append_bytes(out, word, 1);
        if (*word == '"') {
            text_append(out, "\"");
        }
    }
    text_append(out, "\"");
}

static void append_csv_cell(struct text *out, const struct table_cell *cell)
{
    switch (cell->type) {
    case CELL_NULL:
    case CELL_ROWS:
        break;
    case CELL_NUMBER:
        text_printf(out, "%.*g", JSON_DIGITS, cell->number);
        break;
    case CELL_WHOLE:
        text_printf(out, "%ld", cell->whole);
        break;
    case CELL_WORD:
        append_csv_word(out, cell->word);
        break;
    case CELL_BOOL:
        text_append(out, cell->yes ? "true" : "false");
        break;
    }
}

/* RFC 4180: a header, lines that end in CR LF, quotes where needed. Numbers keep the digits that
 * JSON gives them. */
static void write_csv(const struct table *table, struct text *out)
{
    for (size_t c = 0; c < table->column_count; c++) {
        text_append(out, c ? "," : "");
        append_csv_word(out, table->columns[c].name);
    }
    text_append(out, "\r\n");
    for (size_t row = 0; row < table_row_count(table); row++) {
        for (size_t c = 0; c < table->column_count; c++) {
            text_append(out, c ? "," : "");
            append_csv_cell(out, cell_at(table, row, c));
        }
        text_append(out, "\r\n");
    }
}

static void append_markdown(struct text *out, const char *string)
{
    for (; *string; string++) {
        if (strchr("|\\`*_<>[]", *string)) {
            text_append(out, "\\");
        }
        text_append_bytes(out, string, 1);
    }
}

static void write_markdown(const struct table *table, struct text *out)
{
    struct text cell = {0};
    for (size_t c = 0; c < table->column_count; c++) {
        const struct table_column *column = &table->columns[c];
        text_append(out, c ? " | " : "| ");
        append_markdown(out, column->label);
        if (unit_of(column)[0]) {
            text_append(out, column->label[0] ? " (" : "(");
            append_markdown(out, unit_of(column));
            text_append(out, ")");
        }
    }
    text_append(out, " |\n");
    for (size_t c = 0; c < table->column_count; c++) {
        text_append(out, c ? " | " : "| ");
        text_append(out, is_numeric(table, c) ? "---:" : "---");
    }
    text_append(out, " |\n");
    for (size_t row = 0; row < table_row_count(table); row++) {
        for (size_t c = 0; c < table->column_count; c++) {
            cell_text(&table->columns[c], cell_at(table, row, c), &cell);
            text_append(out, c ? " | " : "| ");
            append_markdown(out, is_empty(cell_at(table, row, c)) ? "-" : text_string(&cell));
        }
        text_append(out, " |\n");
    }
    out->failed = out->failed || cell.failed;
    text_free(&cell);
}

static void write_json(const struct table *table, struct text *out)
{
    if (table_append_json(table, out) != STATUS_OK) {
        out->failed = true;
    }
}

enum status table_write(const struct table *table, enum format format, struct text *out)
{
    static void (*const writers[FORMAT_COUNT])(const struct table *, struct text *) = {
        [FORMAT_TEXT] = write_text,
        [FORMAT_JSON] = write_json,
        [FORMAT_CSV] = write_csv,
        [FORMAT_MARKDOWN] = write_markdown};
    if (table->failed) {
        return STATUS_NO_MEMORY;
    }
    writers[format](table, out);
    return out->failed ? STATUS_NO_MEMORY : STATUS_OK;
}
