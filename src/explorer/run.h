#ifndef EXPLORER_RUN_H
#define EXPLORER_RUN_H

#include "explorer/explorer.h"

/* One event with all that it asks of the outside. True when the program is to end. */
bool explorer_run_event(struct explorer *explorer, const struct event *event);

/* A whole script of events (event.h); stops, and returns true, where the program would end. */
bool explorer_run_script(struct explorer *explorer, const char *keys);

#endif
