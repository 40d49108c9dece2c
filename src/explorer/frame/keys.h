#ifndef EXPLORER_FRAME_KEYS_H
#define EXPLORER_FRAME_KEYS_H

#include "explorer/desk/desk.h"
#include "explorer/event.h"

/* A key, told once: the line of keys at the bottom, the help and what happens when it is pressed
 * all read this row. A table of them ends with a row of zeros. */
struct key {
    const char *keys; /* as shown: "←→" */
    const char *what; /* "change": for the bottom line; NULL: only in the help */
    const char *help; /* a sentence for the help */
    const char *on;   /* the keys that it answers to, as a script (event.h); a click presses the
                       * first; "": told only (the mouse) */
    void (*press)(const struct call *call);
};

#define KEYS_OF_A_LIST "Down Up PageDown PageUp End Home"

/* The row that answers to a key; NULL: none. */
const struct key *keys_find(const struct key *rows, uint32_t key);

/* What a click on the row presses; 0: nothing. */
uint32_t key_click(const struct key *row);

/* Presses a key of who owns the rows: false where none answers to it. */
bool keys_press(const struct key *rows, struct desk *desk, void *owner, uint32_t key);

#endif
