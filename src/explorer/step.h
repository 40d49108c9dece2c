#ifndef EXPLORER_STEP_H
#define EXPLORER_STEP_H

#include "explorer/explorer.h"

/* What an event does to the explorer. Changes nothing outside: what is asked of it is returned. */
struct effect explorer_step(struct explorer *explorer, const struct event *event);

#endif
