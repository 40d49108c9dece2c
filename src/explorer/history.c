#include "explorer/history.h"

#include <stdlib.h>
#include <string.h>

static void forget(struct scenario **list, int *count)
{
    for (int i = 0; i < *count; i++) {
        free(list[i]);
    }
    *count = 0;
}

static bool push(struct scenario **list, int *count, const struct scenario *scenario)
{
    struct scenario *copy = malloc(sizeof *copy);
    if (!copy) {
        return false;
    }
    *copy = *scenario;
    if (*count == HISTORY_MAX) {
        free(list[0]);
        memmove(list, list + 1, sizeof(struct scenario *) * (HISTORY_MAX - 1));
        (*count)--;
    }
    list[(*count)++] = copy;
    return true;
}

bool history_remember(struct history *history, const struct scenario *before)
{
    forget(history->future, &history->future_count);
    return push(history->past, &history->past_count, before);
}

static bool exchange(struct scenario **from, int *from_count, struct scenario **to, int *to_count,
                     struct scenario *scenario)
{
    if (*from_count == 0 || !push(to, to_count, scenario)) {
        return false;
    }
    struct scenario *wanted = from[--*from_count];
    *scenario = *wanted;
    free(wanted);
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
