#ifndef PROFILE_PREFERENCES_H
#define PROFILE_PREFERENCES_H

#include <stdbool.h>

#include "base/status.h"
#include "base/text.h"

/* What a user likes of the explorer, kept in a file of the configuration folder and never in a
 * profile: INI text like a profile's, a section [explorer] with these keys. */
struct preferences {
    char picture[NAME_MAX_BYTES]; /* that the main view shows first; "": its own first one */
    bool ascii;                   /* characters = ascii; else "terminal": all that it has */
    bool mouse;                   /* mouse = yes|no */
};

struct preferences preferences_default(void);

/* A fault's place is "explorer.KEY" or "line N"; the preferences are then the defaults. A file that
 * is not there is none: all is as by default. */
enum status preferences_read_text(const char *text, size_t length, struct preferences *preferences,
                                  struct fault *fault);
enum status preferences_read_file(const char *path, struct preferences *preferences,
                                  struct fault *fault);

/* Replaces the file, all or nothing. */
enum status preferences_save(const struct preferences *preferences, const char *path,
                             struct fault *fault);

#endif
