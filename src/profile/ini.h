#ifndef PROFILE_INI_H
#define PROFILE_INI_H

#include "base/status.h"
#include "base/text.h"
#include "profile/scan.h"

/* The values of a text that scan.h has found plain, by iniparser. Internal to src/profile. */
struct ini {
    void *values;     /* owned; NULL: none */
    const char *text; /* not owned */
};

/* `items` is how many sections and keys it has. The text stays while the values are asked for.
 * STATUS_NO_MEMORY, STATUS_UNREADABLE; STATUS_MALFORMED where the library refuses what the scanner
 * has let pass. */
enum status ini_load(const char *text, size_t length, size_t items, struct ini *ini,
                     struct fault *fault);

/* Of a key that the scanner has found in `section`. STATUS_NO_MEMORY where the library has lost it,
 * STATUS_MALFORMED where it reads there what the text does not say. */
enum status ini_value(const struct ini *ini, const char *section, const struct item *item,
                      const char *place, const char **value, struct fault *fault);

void ini_free(struct ini *ini);

#endif
