#ifndef EXPLORER_DESK_FIELD_H
#define EXPLORER_DESK_FIELD_H

#include <stdbool.h>

#include "explorer/event.h"

/* One line of text being typed: a path, a number, a name; UTF-8. */

#define FIELD_BYTES 512

struct field {
    char text[FIELD_BYTES];
    int length, cursor; /* in bytes; the cursor stands at the beginning of a character */
};

void field_set(struct field *field, const char *text);

/* True when the key belongs to editing (characters, Left, Right, Home, End, Backspace, Delete);
 * Enter, Escape and the rest are the caller's. */
bool field_key(struct field *field, uint32_t key);

/* Where the character that begins at `at` ends; the end of the text stays. */
int field_after(const struct field *field, int at);

#endif
