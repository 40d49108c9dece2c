#ifndef PROFILE_SECTION_H
#define PROFILE_SECTION_H

#include "profile/profile.h"

/* Where a section's values stand in a scenario. Internal to src/profile. */

struct section {
    const char *kind; /* "mode", "station", "echo", ... */
    void *base;       /* what the rows' offsets count in */
};

/* Finds the section as a user writes it ("mode", "echo hill", any case); a station or echo of an
 * unknown name is added. `place` is what a fault names. */
enum status section_open(struct scenario *scenario, const char *written, const char *place,
                         struct section *section, struct fault *fault);

/* The row of a key, or a fault that lists the section's keys. */
enum status section_key(const struct section *section, const char *key, const char *place,
                        const struct key_row **row, struct fault *fault);

/* True for a station's or echo's name that a profile can carry. */
bool section_name_is_usable(const char *name);

#endif
