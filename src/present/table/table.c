/* Collects the cells of a table, row after row; write.c and json.c give it a form. */
#include "present/table/table.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"

struct table table_start(const struct table_column *columns, size_t column_count)
{
    struct table table = {.columns = malloc((column_count + 1) * sizeof *columns),
                          .column_count = column_count};
    table.failed = table.columns == NULL;
    if (!table.failed && column_count > 0) {
        memcpy(table.columns, columns, column_count * sizeof *columns);
    }
    return table;
}

void table_free(struct table *table)
{
    for (size_t i = 0; i < table->cell_count; i++) {
        free(table->cells[i].word);
        if (table->cells[i].rows != NULL) {
            table_free(table->cells[i].rows);
            free(table->cells[i].rows);
        }
    }
    free(table->cells);
    free(table->columns);
    *table = (struct table){0};
}

size_t table_row_count(const struct table *table)
{
    return table->column_count ? table->cell_count / table->column_count : 0;
}

static bool append(struct table *table, struct table_cell cell)
{
    if (table->cell_count == table->capacity) {
        size_t capacity = table->capacity ? 2 * table->capacity : 64;
        struct table_cell *cells = realloc(table->cells, capacity * sizeof *cells);
        if (!cells) {
            table->failed = true;
            return false;
        }
        table->cells = cells;
        table->capacity = capacity;
    }
    table->cells[table->cell_count++] = cell;
    return true;
}

void table_null(struct table *table)
{
    append(table, (struct table_cell){.type = CELL_NULL});
}

void table_number_to(struct table *table, double number, int decimals)
{
    if (!isfinite(number)) {
        table_null(table);
        return;
    }
    append(table, (struct table_cell){.type = CELL_NUMBER, .decimals = decimals, .number = number});
}

void table_number(struct table *table, double number)
{
    table_number_to(table, number, -1);
}

void table_whole(struct table *table, long whole)
{
    append(table, (struct table_cell){.type = CELL_WHOLE, .whole = whole});
}

void table_bool(struct table *table, bool yes)
{
    append(table, (struct table_cell){.type = CELL_BOOL, .yes = yes});
}

/* A copy that no terminal, parser or page stumbles over. */
static char *clean_copy(const char *word)
{
    size_t count = strlen(word), used = 0;
    char *copy = malloc(count + 1);
    if (!copy) {
        return NULL;
    }
    for (size_t at = 0; at < count;) {
        size_t valid = utf8_valid_prefix(word + at, count - at);
        for (size_t end = at + valid; at < end;) {
            size_t length;
            if (utf8_is_control(word + at, &length)) {
                copy[used++] = '?';
            } else {
                memcpy(copy + used, word + at, length);
                used += length;
            }
            at += length;
        }
        if (at < count) {
            copy[used++] = '?';
            at++;
        }
    }
    copy[used] = '\0';
    return copy;
}

static void set_word(struct table *table, const char *word)
{
    struct table_cell *cell = &table->cells[table->cell_count - 1];
    free(cell->word);
    cell->word = clean_copy(word);
    if (!cell->word) {
        table->cell_count--;
        table->failed = true;
    }
}

void table_word(struct table *table, const char *word)
{
    if (!word) {
        table_null(table);
    } else if (append(table, (struct table_cell){.type = CELL_WORD})) {
        set_word(table, word);
    }
}

void table_read_as(struct table *table, const char *words)
{
    if (!table->failed && table->cell_count > 0) {
        set_word(table, words);
    }
}

void table_rows(struct table *table, struct table *rows)
{
    struct table *kept = malloc(sizeof *kept);
    if (kept == NULL || rows->failed || !append(table, (struct table_cell){.type = CELL_ROWS})) {
        table->failed = true;
        free(kept);
        table_free(rows);
        return;
    }
    *kept = *rows;
    table->cells[table->cell_count - 1].rows = kept;
    *rows = (struct table){0};
}
