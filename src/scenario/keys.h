#ifndef SCENARIO_KEYS_H
#define SCENARIO_KEYS_H

#include <stddef.h>

#include "base/status.h"

/* ---- One table of keys, for reading, writing, --set, the explorer and documentation. ---- */

enum key_type { KEY_DOUBLE, KEY_OPTIONAL_DOUBLE, KEY_INT, KEY_BOOL, KEY_CHOICE, KEY_RATE };

struct key_row {
    const char *section; /* "mode"; "station" and "echo" are repeated sections with a name */
    const char *key;
    const char *unit;
    const char *help; /* a short line */
    double low, high;
    size_t offset; /* in struct scenario, or in struct station or echo */
    const char *(*choice_name)(int choice);
    int choice_count;
    enum key_type type;
};

size_t key_count(void);
const struct key_row *key_row(size_t i);
const struct key_row *key_find(const char *section, const char *key);

/* The value as text, as it would stand in a profile; `base` is the struct that `offset` counts in.
 */
void key_format(const struct key_row *row, const void *base, char *buffer, size_t size);
enum status key_parse(const struct key_row *row, void *base, const char *place, const char *value,
                      struct fault *fault);

/* What a user may write there: "6|7|8", "0 to 30 dB". */
void key_allowed(const struct key_row *row, char *buffer, size_t size);

#endif
