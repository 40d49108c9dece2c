#ifndef EXPLORER_ECHO_DRAW_H
#define EXPLORER_ECHO_DRAW_H

#include "explorer/echo/state.h"

/* The field of a row that stands at a column of the list's panel. */
enum echo_column echo_column_at(struct rect panel, int column);

void echo_draw(const struct desk *desk, const void *state, struct grid *grid, struct rect area);
void echo_words(const struct desk *desk, const void *state, struct text *out);
void echo_explain(const struct desk *desk, const void *state, struct text *out);

#endif
