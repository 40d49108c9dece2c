/* Finding the row of a key: what a row answers to is written as a script. */
#include "explorer/frame/keys.h"

static bool answers(const struct key *row, uint32_t key)
{
    struct script script = {.at = row->on};
    struct event event;
    while (script_next(&script, &event)) {
        if (event.key == key) {
            return true;
        }
    }
    return false;
}

const struct key *keys_find(const struct key *rows, uint32_t key)
{
    for (; rows->keys; rows++) {
        if (answers(rows, key)) {
            return rows;
        }
    }
    return NULL;
}

uint32_t key_click(const struct key *row)
{
    struct script script = {.at = row->on};
    struct event event;
    return script_next(&script, &event) ? event.key : 0;
}

bool keys_press(const struct key *rows, struct desk *desk, void *owner, uint32_t key)
{
    const struct key *row = keys_find(rows, key);
    if (row) {
        row->press(&(struct call){desk, owner, key, NULL, NULL});
    }
    return row != NULL;
}
