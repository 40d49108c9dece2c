#ifndef EXPLORER_LESSON_H
#define EXPLORER_LESSON_H

#include "explorer/explorer.h"

/* A lesson being played: its text stands above the keys, Space goes on, Backspace goes back,
 * Escape ends it. In between everything can be used; the next stop sets the scene again. */

/* Takes the lesson over and shows its first stop; a fault where it cannot be played. */
enum status lesson_begin(struct explorer *explorer, struct lesson *lesson, struct fault *fault);

/* The keys of a lesson; they come before those of the view. `state` is the explorer. */
extern const struct key lesson_keys[];

#endif
