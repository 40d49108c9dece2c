#ifndef EXPLORER_EXPLORE_H
#define EXPLORER_EXPLORE_H

#include "command/command.h"
#include "present/lesson/lesson.h"

/* The terminal explorer, as main.c and tests see it. */

/* Runs on an opened invocation of `explore`; takes its profile over. */
enum exit_status explorer_main(struct invocation *invocation);

/* What the explorer shows after a script of keys (event.h), without a terminal. Effects happen: a
 * script that saves writes a file. */
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
