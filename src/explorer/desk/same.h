#ifndef EXPLORER_DESK_SAME_H
#define EXPLORER_DESK_SAME_H

#include "scenario/scenario.h"

/* True when a profile of either scenario would say the same. */
bool scenarios_are_same(const struct scenario *a, const struct scenario *b);

#endif
