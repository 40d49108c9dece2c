#ifndef PROFILE_INI_H
#define PROFILE_INI_H

#include "base/status.h"
#include "base/text.h"

/* The values of a text that scan.h has found plain, by iniparser. Internal to src/profile. */
struct ini {
    void *values; /* owned; NULL: none */
};

/* `items` is how many sections and keys it has. STATUS_NO_MEMORY, STATUS_UNREADABLE. */
enum status ini_load(const char *text, size_t length, size_t items, struct ini *ini,
                     struct fault *fault);

/* NULL: there is no such key. */
const char *ini_value(const struct ini *ini, const char *section, const char *key);

void ini_free(struct ini *ini);

#endif
