#ifndef STANDARD_ATSC3_NAMES_H
#define STANDARD_ATSC3_NAMES_H

#include <strings.h>

/* A choice's name and back, from a table of rows: STEM_name and STEM_from_name. For the sources of
 * this folder. */
#define NAME_FUNCTIONS(stem, type, count, name_of)                         \
    const char *stem##_name(enum type value)                               \
    {                                                                      \
        return (unsigned)value < (count) ? name_of((unsigned)value) : "?"; \
    }                                                                      \
    int stem##_from_name(const char *name)                                 \
    {                                                                      \
        for (int i = 0; i < (count); i++) {                                \
            if (strcasecmp(name, name_of(i)) == 0) {                       \
                return i;                                                  \
            }                                                              \
        }                                                                  \
        return -1;                                                         \
    }

#endif
