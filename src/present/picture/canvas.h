#ifndef PRESENT_PICTURE_CANVAS_H
#define PRESENT_PICTURE_CANVAS_H

#include "present/picture/grid.h"

/* Dots inside cells: a rectangle of the grid seen as 2 x 4 dots a cell, drawn as braille patterns
 * (U+2800 plus one bit a dot). Dots add up in a cell; the last role drawn stays. Dot (0, 0) is
 * the top left one. Everything outside the rectangle is clipped. */

struct canvas {
    struct grid *grid;
    struct rect area;
};

enum line_pattern { LINE_SOLID, LINE_DASHED, LINE_DOTTED };

int canvas_width(const struct canvas *canvas);  /* in dots */
int canvas_height(const struct canvas *canvas); /* in dots */

void canvas_dot(struct canvas *canvas, int x, int y, enum role role);

/* What draws a line. `phase` carries the pattern on from one piece of a curve to the next: it
 * starts at 0. */
struct canvas_pen {
    enum role role;
    enum line_pattern pattern;
    int phase;
};

/* A straight line, both ends included. */
void canvas_line(struct canvas *canvas, struct canvas_pen *pen, double x0, double y0, double x1,
                 double y1);

/* On an ASCII grid: replaces the dots by the characters that come nearest. Call it last. */
void canvas_finish(struct canvas *canvas);

#endif
