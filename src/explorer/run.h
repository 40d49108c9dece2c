#ifndef EXPLORER_RUN_H
#define EXPLORER_RUN_H

#include "explorer/step.h"
#include "present/lesson/lesson.h"

/* One event with all that it asks of the outside; `drawn` is the grid that screens are drawn into.
 * True when the program is to end. */
bool explorer_run_event(struct explorer *explorer, const struct event *event, struct grid *drawn);

/* A whole script of events (event.h); stops, and returns true, where the program would end. */
bool explorer_run_script(struct explorer *explorer, const char *keys);

/* What the explorer shows after a script of keys, without a terminal. Effects happen: a script that
 * saves writes a file. */
struct explorer_dump {
    struct lesson *lesson; /* NULL: none; else taken over */
    const char *keys;      /* NULL: none */
    int rows, columns;
    bool ascii;
    bool roles; /* roles instead of characters */
};
enum status explorer_dump(struct profile *profile, const char *path,
                          const struct explorer_dump *dump, struct text *out, struct fault *fault);

#endif
