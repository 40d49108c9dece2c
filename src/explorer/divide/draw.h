#ifndef EXPLORER_DIVIDE_DRAW_H
#define EXPLORER_DIVIDE_DRAW_H

#include "explorer/divide/state.h"

void divide_draw(const struct desk *desk, const void *state, struct grid *grid, struct rect area);
void divide_words(const struct desk *desk, const void *state, struct text *out);
void divide_explain(const struct desk *desk, const void *state, struct text *out);

/* How many columns the tables can be moved sideways until all have been seen. */
int divide_sideways_most(const struct divide_state *state, const struct divide_layout *layout);

#endif
