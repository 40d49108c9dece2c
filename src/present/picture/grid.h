#ifndef PRESENT_PICTURE_GRID_H
#define PRESENT_PICTURE_GRID_H

#include <stdbool.h>
#include <stdint.h>

#include "base/text.h"
#include "scenario/scenario.h"

/* A rectangle of cells: what the explorer shows, without any terminal. A cell is a code point and
 * a role, never a colour. Drawing clips; writing outside is not an error. */

enum role {
    ROLE_PLAIN,
    ROLE_TITLE,
    ROLE_DIM,
    ROLE_SELECTED,
    ROLE_GOOD,
    ROLE_WARN,
    ROLE_BAD,
    ROLE_FIRST,  /* the first generation's column, curve, mark */
    ROLE_SECOND, /* the second generation's */
    ROLE_PINNED,
    ROLE_FRAME,
    ROLE_KEY, /* a key to press */
    ROLE_COUNT
};

/* ROLE_FIRST or ROLE_SECOND. */
enum role role_of_generation(enum generation generation);

struct grid_cell {
    uint32_t glyph; /* Unicode code point */
    uint8_t role;
};

struct grid {
    int rows, columns;
    bool ascii; /* draw with ASCII only */
    struct grid_cell *cells;
    struct text
        *cuts; /* where texts are told that were not drawn to their end, a line each; NULL */
};

struct rect {
    int row, column, rows, columns;
};

/* False when memory runs out; then the grid is 0 x 0. */
bool grid_resize(struct grid *grid, int rows, int columns);
void grid_free(struct grid *grid);
void grid_clear(struct grid *grid);

void grid_put(struct grid *grid, int row, int column, uint32_t glyph, enum role role);

/* Tells of a text that is not drawn to its end. */
void grid_tell_cut(struct grid *grid, const char *text);

/* Writes UTF-8 text, at most `width` columns of it (-1: to the edge); returns the columns written.
 * Control characters and malformed bytes are drawn as '?'. */
int grid_write(struct grid *grid, int row, int column, int width, enum role role, const char *utf8);
int grid_printf(struct grid *grid, int row, int column, int width, enum role role,
                const char *format, ...) __attribute__((format(printf, 6, 7)));

/* Text wrapped at words into a rectangle; returns the rows that the whole text takes. */
int grid_write_wrapped(struct grid *grid, struct rect area, enum role role, const char *utf8);

/* Glyph dump (UTF-8, lines without trailing spaces) and role dump (a letter each), for tests and
 * export. */
void grid_dump(const struct grid *grid, struct text *out);
void grid_dump_roles(const struct grid *grid, struct text *out);

#endif
