#ifndef EXPLORER_FRAME_CURSOR_H
#define EXPLORER_FRAME_CURSOR_H

#include <stdbool.h>
#include <stdint.h>

/* The one cursor of all lists: which of `count` rows is selected, and which is the first of the
 * `rows` that are seen. A zeroed one stands at the beginning. */
struct cursor {
    int at, first;
    int count, rows;
};

/* The list now has so many rows, of which so many are seen: the selected one among them. */
void cursor_fit(struct cursor *cursor, int count, int rows);

void cursor_move(struct cursor *cursor, int by);

/* Up, Down, Page up, Page down, Home, End. */
void cursor_key(struct cursor *cursor, uint32_t key);

/* Selects the n-th row of those seen; false where there is none. */
bool cursor_click(struct cursor *cursor, int row);

#endif
