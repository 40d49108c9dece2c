#ifndef EXPLORER_FRAME_VALUES_H
#define EXPLORER_FRAME_VALUES_H

#include "explorer/desk/value/edit.h"
#include "explorer/frame/layout.h"

/* A value as a row of a panel: its label, what it is, and its scale: the choices that are legal now
 * with the present one among them, or where a number stands in its range. */

/* While a line to type in is open, the selected row shows it. */
void values_draw_row(const struct desk *desk, struct grid *grid, struct rect panel, int row,
                     const struct value *value, bool selected);

/* A click on the row at a column: on its scale it sets the value. */
void values_click(struct desk *desk, struct rect panel, int column, const struct value *value);

/* How many rows stand above and below those shown, in the panel's head. */
void values_draw_more(struct grid *grid, struct rect panel, int above, int below);

#endif
