#ifndef BASE_PROGRAM_H
#define BASE_PROGRAM_H

#include <stdbool.h>

#include "base/status.h"
#include "base/text.h"

/* Asked some ten times a second whether it shall go on; NULL for one that goes on to its end. */
struct program_watch {
    bool (*keep_on)(void *owner);
    void *owner;
};

/* Runs another program to its end: `input` is its standard input, what it writes is appended to
 * `out`, its complaints are not shown. `arguments` ends with NULL and begins with the program's
 * name, which is looked for as a shell does; no shell is asked. Faults: STATUS_UNREADABLE where it
 * is not there ("is not installed"), failed, or wrote more than `most` bytes; STATUS_STOPPED where
 * the watch said no: it is then killed. */
enum status program_run(const char *const *arguments, const char *input, size_t length, size_t most,
                        const struct program_watch *watch, struct text *out, struct fault *fault);

#endif
