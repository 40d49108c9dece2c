#ifndef PRESENT_PICTURE_LEGEND_H
#define PRESENT_PICTURE_LEGEND_H

#include "present/picture/canvas.h"
#include "present/picture/picture.h"

/* The legend of a picture drawn with characters: of each series a piece of its line, or its glyph,
 * and its label. */

struct legend {
    const struct picture *picture;
    int columns; /* that a row has */
    bool ascii;
    bool told; /* a series whose points have names tells these in their order, in rows of its own */
};

enum line_pattern legend_pattern(enum role role);

/* In one row, however long; 0: there is none. */
int legend_width(const struct legend *legend);

/* That it takes, what belongs together being whole in one. */
int legend_rows(const struct legend *legend);

/* Ends at the right where it fits into one row, else begins at the left and goes on below, in so
 * many rows at most: what is left then runs out of the last one. */
void legend_draw(const struct legend *legend, struct grid *grid, int row, int column, int rows);

#endif
