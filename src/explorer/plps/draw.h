#ifndef EXPLORER_PLPS_DRAW_H
#define EXPLORER_PLPS_DRAW_H

#include "explorer/plps/state.h"

void plps_draw(const struct desk *desk, const void *state, struct grid *grid, struct rect area);
void plps_words(const struct desk *desk, const void *state, struct text *out);
void plps_explain(const struct desk *desk, const void *state, struct text *out);

#endif
