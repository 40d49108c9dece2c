#ifndef EXPLORER_FRAME_LAYOUT_H
#define EXPLORER_FRAME_LAYOUT_H

#include "present/picture/grid.h"

/* Where things stand. The rectangles of a layout tile its area: no cell belongs to two, none to
 * none. What does not fit has no rows or columns. */

/* The smallest screen on which there is more than a request for a larger one. */
#define LAYOUT_ROWS_MIN 10
#define LAYOUT_COLUMNS_MIN 40

/* The whole screen. */
struct layout {
    bool too_small;
    struct rect title;   /* one row; none on the smallest screens */
    struct rect verdict; /* one row, two on a narrow screen */
    struct rect body;    /* for the view */
    struct rect words;   /* message and plain words */
    struct rect keys;    /* keys to press, views */
};
struct layout layout_screen(int rows, int columns);

/* The same with a number of rows for words and for the verdict. */
struct layout layout_screen_with(int rows, int columns, int words, int verdict);

/* Without being asked: two rows for words, one on low screens; one for the verdict, two on narrow
 * ones. */
int layout_words(int rows);
int layout_verdict(int columns);

/* The main view inside its body. */
struct main_layout {
    bool one_panel; /* settings and quantities share one place: the focus chooses */
    struct rect settings;
    struct rect divider; /* a column between them */
    struct rect quantities;
    struct rect explain_divider, explain; /* the longer explanation, on wide screens */
    struct rect rule;                     /* a row above the pictures */
    struct rect picture;
    struct rect picture_gap, second_picture; /* beside the first one, on wide screens */
};
struct main_layout layout_main(struct rect area);

/* On the rule above the pictures, or on one of them. */
bool layout_on_pictures(const struct main_layout *layout, int row, int column);

bool rect_holds(struct rect rect, int row, int column);

#endif
