#ifndef EXPLORER_DESK_TYPING_H
#define EXPLORER_DESK_TYPING_H

#include <stdbool.h>

#include "explorer/event.h"

/* One line of text being typed: a path, a number, a name; UTF-8. */

#define TYPING_BYTES 512

struct typing {
    char text[TYPING_BYTES];
    int length, cursor; /* in bytes; the cursor stands at the beginning of a character */
};

void typing_set(struct typing *typing, const char *text);

/* True when the key belongs to editing (characters, Left, Right, Home, End, Backspace, Delete);
 * Enter, Escape and the rest are the caller's. */
bool typing_key(struct typing *typing, uint32_t key);

/* Where the character that begins at `at` ends; the end of the text stays. */
int typing_after(const struct typing *typing, int at);

#endif
