#ifndef COMMAND_FIGURES_H
#define COMMAND_FIGURES_H

#include "present/table/table.h"
#include "study/report/report.h"

/* Figures of reports as columns and cells of tables, for several commands. */

#define PART_FIGURES_MAX 64

/* Fills columns with the part's figures, by their JSON names; returns how many. */
size_t figures_columns(enum figure_part part, struct table_column columns[PART_FIGURES_MAX]);

/* The next cell: a word, a whole number or a number, null where unknown. */
void figures_add(struct table *table, const struct figure_row *row, const struct report *report);

/* The next cells: all figures of the part, in the order of figures_columns. */
void figures_add_all(struct table *table, enum figure_part part, const struct report *report);

#endif
