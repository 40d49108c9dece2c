#ifndef EXPLORER_LESSON_H
#define EXPLORER_LESSON_H

#include "explorer/explorer.h"
#include "present/lesson/lesson.h"

/* A lesson being played: its text stands above the keys, Space goes on, Backspace goes back,
 * Escape ends it. In between everything can be used; the next stop sets the scene again. */
struct lesson_run {
    struct lesson lesson; /* owned */
    struct scenario begin;
    struct lesson_scene scene;
};

/* Takes the lesson over and shows its first stop; a fault where it cannot be played. */
enum status lesson_begin(struct explorer *explorer, struct lesson *lesson, struct fault *fault);
void lesson_end(struct explorer *explorer);

/* True when the key belongs to the lesson. */
bool lesson_key(struct explorer *explorer, uint32_t key);

/* The rows above the keys that a lesson takes. */
#define LESSON_ROWS 4
void lesson_draw(const struct explorer *explorer, struct grid *grid, struct rect area);

#endif
