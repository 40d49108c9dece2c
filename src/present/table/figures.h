#ifndef PRESENT_TABLE_FIGURES_H
#define PRESENT_TABLE_FIGURES_H

#include "present/table/table.h"
#include "study/figure.h"

/* Tables of figures, for every study: a row a result, a line a figure, or one beside another. */

/* The next cell: a number, a whole number, a word or yes and no; null where unknown. */
void table_figure(struct table *table, const struct figure *figure, const void *result);

/* The next cells: all of the list. */
void table_figures(struct table *table, const struct figure_list *list, const void *result);

/* A column for each figure, under its name and label, and further ones. */
struct table figures_across(const struct figure_list *list, const struct table_column *more,
                            size_t more_count);

/* The object of one result: a table of figures_across with that one row. */
struct table figures_of(const struct figure_list *list, const void *result);

/* ---- A line a figure: what it is, its value for each result, its unit. What none of them tells
 * is left out; `unknown` stands for what another one tells and this one does not (NULL: "-"). */

struct figures_column {
    const char *head;
    const void *result;
    const char *unknown;
};
#define FIGURES_COLUMNS_MAX 10
struct table figures_beside(const struct figure_list *list, const struct figures_column *columns,
                            size_t count);

/* ---- CSV of results of several kinds: lines of part, name, value, unit. */
struct table figures_in_parts(void);
void figures_add_part(struct table *table, const char *part, const struct figure_list *list,
                      const void *result);

#endif
