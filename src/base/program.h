#ifndef BASE_PROGRAM_H
#define BASE_PROGRAM_H

#include "base/status.h"
#include "base/text.h"

/* Runs another program to its end: `input` is its standard input, what it writes is appended to
 * `out`, its complaints are not shown. `arguments` ends with NULL and begins with the program's
 * name, which is looked for as a shell does; no shell is asked. Faults: STATUS_UNREADABLE where it
 * is not there ("is not installed"), failed, or wrote more than `most` bytes. */
enum status program_run(const char *const *arguments, const char *input, size_t length, size_t most,
                        struct text *out, struct fault *fault);

#endif
