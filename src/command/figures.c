#include "command/figures.h"

#include <math.h>

size_t figures_columns(enum figure_part part, struct table_column columns[PART_FIGURES_MAX])
{
    size_t count = 0;
    for (size_t i = 0; i < figure_count(); i++) {
        const struct figure_row *row = figure_row(i);
        if (row->part == part && count < PART_FIGURES_MAX) {
            columns[count++] =
                (struct table_column){row->name, row->label, row->unit, row->decimals};
        }
    }
    return count;
}

void figures_add(struct table *table, const struct figure_row *row, const struct report *report)
{
    double value = figure_value(row, report);
    if (row->type == FIGURE_WORD) {
        table_word(table, row->word(report));
    } else if (row->type == FIGURE_DOUBLE || isnan(value)) {
        table_number(table, value);
    } else {
        table_whole(table, (long)value);
    }
}

void figures_add_all(struct table *table, enum figure_part part, const struct report *report)
{
    for (size_t i = 0; i < figure_count(); i++) {
        if (figure_row(i)->part == part) {
            figures_add(table, figure_row(i), report);
        }
    }
}
