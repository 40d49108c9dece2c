#ifndef EXPLORER_WEIGH_DRAW_H
#define EXPLORER_WEIGH_DRAW_H

#include "explorer/weigh/state.h"

void weigh_draw(const struct desk *desk, const void *state, struct grid *grid, struct rect area);
void weigh_words(const struct desk *desk, const void *state, struct text *out);
void weigh_explain(const struct desk *desk, const void *state, struct text *out);

#endif
