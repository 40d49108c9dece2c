/* Figures as columns and cells of tables: the one place that turns a row of study/figure.h into
 * what text, CSV, JSON and Markdown show. */
#include "present/table/figures.h"

#include <assert.h>
#include <math.h>
#include <string.h>

void table_figure(struct table *table, const struct figure *figure, const void *result)
{
    double number = figure_number(figure, result);
    if (figure->kind == FIGURE_WORD) {
        table_word(table, figure_word(figure, result));
    } else if (figure->kind == FIGURE_YES_NO && !isnan(number)) {
        table_bool(table, number != 0.0);
    } else if (figure->kind == FIGURE_WHOLE && isfinite(number)) {
        table_whole(table, (long)number);
    } else {
        table_number_to(table, number, figure->decimals);
    }
    bool none = number == -INFINITY;
    if (figure->text != NULL || none || (figure->kind == FIGURE_RATE && isfinite(number))) {
        char words[96];
        figure_text(figure, result, words, sizeof words);
        table_read_as(table, words);
    }
}

void table_figures(struct table *table, const struct figure_list *list, const void *result)
{
    for (size_t i = 0; i < list->count; i++) {
        table_figure(table, list->rows[i], result);
    }
}

#define MORE_MAX 8

struct table figures_across(const struct figure_list *list, const struct table_column *more,
                            size_t more_count)
{
    struct table_column columns[FIGURES_MAX + MORE_MAX];
    assert(more_count <= MORE_MAX);
    for (size_t i = 0; i < list->count; i++) {
        const struct figure *figure = list->rows[i];
        columns[i] =
            (struct table_column){figure->name, figure->label, figure->unit, figure->decimals};
    }
    for (size_t i = 0; i < more_count; i++) {
        columns[list->count + i] = more[i];
    }
    return table_start(columns, list->count + more_count);
}

struct table figures_of(const struct figure_list *list, const void *result)
{
    struct table table = figures_across(list, NULL, 0);
    table_figures(&table, list, result);
    return table;
}

static bool tells(const struct figure *figure, const void *result)
{
    char text[96];
    figure_text(figure, result, text, sizeof text);
    return strcmp(text, "-") != 0;
}

static bool any_tells(const struct figure *figure, const struct figures_column *columns,
                      size_t count)
{
    bool any = false;
    for (size_t i = 0; i < count; i++) {
        any = any || tells(figure, columns[i].result);
    }
    return any;
}

struct table figures_beside(const struct figure_list *list, const struct figures_column *columns,
                            size_t count)
{
    struct table_column heads[FIGURES_COLUMNS_MAX + 2] = {{"quantity", "Quantity", NULL, 0}};
    for (size_t i = 0; i < count; i++) {
        heads[1 + i] = (struct table_column){columns[i].head, columns[i].head, NULL, 0};
    }
    heads[1 + count] = (struct table_column){"unit", "Unit", NULL, 0};
    struct table table = table_start(heads, count + 2);
    for (size_t row = 0; row < list->count; row++) {
        if (!any_tells(list->rows[row], columns, count)) {
            continue;
        }
        table_word(&table, figure_label(list->rows[row], columns[0].result));
        for (size_t i = 0; i < count; i++) {
            table_figure(&table, list->rows[row], columns[i].result);
            if (columns[i].unknown != NULL && !tells(list->rows[row], columns[i].result)) {
                table_read_as(&table, columns[i].unknown);
            }
        }
        table_word(&table, list->rows[row]->unit);
    }
    return table;
}

struct table figures_in_parts(void)
{
    static const struct table_column columns[] = {
        {"part", "Part", NULL, 0},
        {"name", "Name", NULL, 0},
        {"value", "Value", NULL, 0},
        {"unit", "Unit", NULL, 0},
    };
    return table_start(columns, 4);
}

void figures_add_part(struct table *table, const char *part, const struct figure_list *list,
                      const void *result)
{
    for (size_t i = 0; i < list->count; i++) {
        table_word(table, part);
        table_word(table, list->rows[i]->name);
        table_figure(table, list->rows[i], result);
        table_word(table, list->rows[i]->unit);
    }
}
