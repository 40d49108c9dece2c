#ifndef BASE_FILE_H
#define BASE_FILE_H

#include <stdio.h>

#include "base/status.h"
#include "base/text.h"

/* Whole files in and out. A fault's `wrong` gives the system's reason; its place is empty, for the
 * caller knows the file's name. */

/* Appends a file, or the rest of a stream, to `text`. STATUS_UNREADABLE where it cannot be read,
 * STATUS_MALFORMED where it has more than `most` bytes (an endless device stops there too). */
enum status file_read(const char *path, size_t most, struct text *text, struct fault *fault);
enum status file_read_stream(FILE *stream, size_t most, struct text *text, struct fault *fault);

/* Puts `bytes` in the place of what `path` holds, all or nothing: a new file beside the old one is
 * written, synced and renamed over it, so whoever interrupts this finds the old file or the new
 * one. Links are followed; owner and permissions stay; a file that its user may not write is left
 * alone. What is no regular file (a pipe, a device) is written directly. STATUS_UNWRITABLE. */
enum status file_replace(const char *path, const char *bytes, size_t count, struct fault *fault);

/* The same only where the file holds what is expected, or is not there: STATUS_CHANGED where
 * somebody else has written it. Of several programs that do so at once one writes and the others
 * see it, for they take turns. */
enum status file_replace_expected(const char *path, const struct text *expected, const char *bytes,
                                  size_t count, struct fault *fault);

#endif
