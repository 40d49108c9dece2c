#ifndef COMMAND_PARTS_H
#define COMMAND_PARTS_H

#include "present/table/figures.h"
#include "study/report/report.h"

/* Results that are several objects of figures: {"rf": {...}, "first": {...}, "second": {...}}. */

enum part_tables {
    PART_PLAIN,
    PART_ALL /* the verdict's account with it, and the pipes where the system has them */
};

struct part {
    const char *name;
    struct figure_list list;
    const void *result;
    enum part_tables tables;   /* else than PART_PLAIN: the result is a struct verdict */
    const struct pipes *pipes; /* with PART_ALL */
};

extern const char *const generation_parts[GENERATION_COUNT]; /* "first", "second" */

/* One generation by its system's names. */
struct part part_of_generation(const char *name, const struct verdict *verdict,
                               const char *const *figures, enum part_tables tables);

/* The tables that hang on a verdict: a row a step of its account, a row a pipe. */
struct table part_account(const struct verdict *verdict);
struct table part_plps(const struct verdict *pipes, int count);

/* A section of a page: a row a pipe, with figures of these names, which end in NULL. Nothing where
 * there are fewer than `least`. */
struct part_plps {
    const char *heading;
    int least;
    const char *const *figures;
};
void part_write_plps(const struct pipes *pipes, const struct part_plps *section, enum format format,
                     struct text *out);

#define PARTS_MAX 8

/* JSON, or CSV: a line a figure, with its part, name, value and unit. */
enum status parts_write(const struct part *parts, size_t count, enum format format,
                        struct text *out);

#endif
