#ifndef PROFILE_PROFILE_H
#define PROFILE_PROFILE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"
#include "scenario/scenario.h"
#include "scenario/section.h"

/* INI profiles: the written form of a scenario. Read by iniparser after a strict look at the text
 * (which remembers where each key stands), saved so that comments, order and unknown spacing of
 * what was read stay, and so that an interrupted save leaves the old file. */

struct profile {
    struct scenario scenario;
    struct text original; /* the text as read; empty for a new profile */
    int rested; /* by the last saving: sections of another pair that it left as comments */
};

void profile_free(struct profile *profile);

/* A fault's place is "SECTION.KEY" or "line N". Files that a profile names are read with
 * its own; a text alone names files of which nothing is known. */
enum status profile_read_file(const char *path, struct profile *profile, struct fault *fault);
enum status profile_read_text(const char *text, size_t length, struct profile *profile,
                              struct fault *fault);

/* The profile as INI text: the original with changed values replaced and new keys added; only what
 * differs from the defaults, or stood there before, is written. */
enum status profile_write_text(const struct profile *profile, struct text *out,
                               struct fault *fault);

/* Writes a new file beside the old one, syncs it and renames it over. */
enum status profile_save(struct profile *profile, const char *path, struct fault *fault);

/* The same only where the file still holds what was read or saved last; else STATUS_CHANGED. */
enum status profile_save_unchanged(struct profile *profile, const char *path, struct fault *fault);

#endif
