#ifndef EXPLORER_READ_DRAW_H
#define EXPLORER_READ_DRAW_H

#include "explorer/read/state.h"

void read_draw(const struct desk *desk, const void *state, struct grid *grid, struct rect area);
void read_words(const struct desk *desk, const void *state, struct text *out);
void read_explain(const struct desk *desk, const void *state, struct text *out);

#endif
