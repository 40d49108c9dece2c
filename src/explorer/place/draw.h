#ifndef EXPLORER_PLACE_DRAW_H
#define EXPLORER_PLACE_DRAW_H

#include "explorer/place/state.h"

/* Selects what is shown on a line of the table. */
void place_click_row(struct place_state *state, const struct place_layout *layout, int line);

void place_draw(const struct desk *desk, const void *state, struct grid *grid, struct rect area);
void place_words(const struct desk *desk, const void *state, struct text *out);
void place_explain(const struct desk *desk, const void *state, struct text *out);

#endif
