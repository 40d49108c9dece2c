#ifndef EXPLORER_MAIN_DRAW_H
#define EXPLORER_MAIN_DRAW_H

#include "explorer/main/state.h"

/* struct view's functions that draw. */
void main_draw(const struct desk *desk, const void *state, struct grid *grid, struct rect area);
void main_words(const struct desk *desk, const void *state, struct text *out);
void main_explain(const struct desk *desk, const void *state, struct text *out);

#endif
