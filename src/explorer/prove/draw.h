#ifndef EXPLORER_PROVE_DRAW_H
#define EXPLORER_PROVE_DRAW_H

#include "explorer/prove/state.h"

void prove_draw(const struct desk *desk, const void *state, struct grid *grid, struct rect area);
void prove_words(const struct desk *desk, const void *state, struct text *out);
void prove_explain(const struct desk *desk, const void *state, struct text *out);

#endif
