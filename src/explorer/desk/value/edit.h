#ifndef EXPLORER_DESK_VALUE_EDIT_H
#define EXPLORER_DESK_VALUE_EDIT_H

#include "explorer/desk/desk.h"
#include "explorer/desk/value/value.h"

/* Changes of one value on the desk, each of them undoable, and what is said of them: what else was
 * moved, why a number goes no further, which choice is the last. */

void edit_step(struct desk *desk, const struct value *value, int direction);
void edit_set(struct desk *desk, const struct value *value, const char *text);
void edit_set_share(struct desk *desk, const struct value *value, double share);
void edit_set_choice(struct desk *desk, const struct value *value, int choice);
void edit_forget(struct desk *desk, const struct value *value);

/* Opens a line to type the value in, begun with a key that was pressed, or, by Enter, with what
 * stands there. `done` gets the text and hands it to edit_set. */
void edit_type(struct desk *desk, const struct value *value, uint32_t key,
               void (*done)(const struct call *call), void *owner);

#endif
