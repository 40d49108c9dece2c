/* Two stacks of scenarios: those before, and those that were undone. */
#include "explorer/desk/history.h"

#include <stdlib.h>
#include <string.h>

static void forget(struct scenario **list, int *count)
{
    for (int i = 0; i < *count; i++) {
        free(list[i]);
    }
    *count = 0;
}

/* The newest of the list; the oldest goes where it is full. */
static void append(struct scenario **list, int *count, struct scenario *owned)
{
    if (*count == HISTORY_MAX) {
        free(list[0]);
        memmove(list, list + 1, sizeof(struct scenario *) * (HISTORY_MAX - 1));
        (*count)--;
    }
    list[(*count)++] = owned;
}

bool history_remember(struct history *history, const struct scenario *before)
{
    forget(history->future, &history->future_count);
    struct scenario *copy = malloc(sizeof *copy);
    if (copy) {
        *copy = *before;
        append(history->past, &history->past_count, copy);
    }
    return copy != NULL;
}

/* Trades the newest of `from` for the scenario, which becomes the newest of `to`. */
static bool exchange(struct scenario **from, int *from_count, struct scenario **to, int *to_count,
                     struct scenario *scenario)
{
    if (*from_count == 0) {
        return false;
    }
    struct scenario *traded = from[--*from_count];
    struct scenario wanted = *traded;
    *traded = *scenario;
    *scenario = wanted;
    append(to, to_count, traded);
    return true;
}

bool history_undo(struct history *history, struct scenario *scenario)
{
    return exchange(history->past, &history->past_count, history->future, &history->future_count,
                    scenario);
}

bool history_redo(struct history *history, struct scenario *scenario)
{
    return exchange(history->future, &history->future_count, history->past, &history->past_count,
                    scenario);
}

void history_clear(struct history *history)
{
    forget(history->past, &history->past_count);
    forget(history->future, &history->future_count);
}
