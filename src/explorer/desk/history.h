#ifndef EXPLORER_DESK_HISTORY_H
#define EXPLORER_DESK_HISTORY_H

#include <stdbool.h>

#include "scenario/scenario.h"

/* Scenarios to go back to and forward to again. Holds at most HISTORY_MAX; the oldest is forgotten
 * first. */
#define HISTORY_MAX 200

struct history {
    struct scenario *past[HISTORY_MAX]; /* owned */
    int past_count;
    struct scenario *future[HISTORY_MAX]; /* owned */
    int future_count;
};

/* Remembers what was before a change; forgets what was undone. False when memory runs out: then
 * the change cannot be undone, and nothing else is lost. */
bool history_remember(struct history *history, const struct scenario *before);

/* Exchanges `scenario` with the one before or after it; false when there is none. */
bool history_undo(struct history *history, struct scenario *scenario);
bool history_redo(struct history *history, struct scenario *scenario);

void history_clear(struct history *history);

#endif
