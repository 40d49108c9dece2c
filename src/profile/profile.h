#ifndef PROFILE_PROFILE_H
#define PROFILE_PROFILE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"
#include "study/scenario.h"

/* INI profiles: the written form of a scenario. Read by iniparser after a strict look at the text
 * (which remembers where each key stands), saved so that comments, order and unknown spacing of
 * what was read stay, and so that an interrupted save leaves the old file. */

struct profile {
    struct scenario scenario;
    struct text original; /* the text as read; empty for a new profile */
};

void profile_free(struct profile *profile);

/* A fault's place is "SECTION.KEY" or "line N". */
enum status profile_read_file(const char *path, struct profile *profile, struct fault *fault);
enum status profile_read_text(const char *text, size_t length, struct profile *profile,
                              struct fault *fault);

/* The profile as INI text: the original with changed values replaced and new keys added; only what
 * differs from the defaults, or stood there before, is written. */
enum status profile_write_text(const struct profile *profile, struct text *out,
                               struct fault *fault);

/* Writes a new file beside the old one, syncs it and renames it over. */
enum status profile_save(struct profile *profile, const char *path, struct fault *fault);

/* "SECTION.KEY" = value, as for --set. Does not check the whole scenario. */
enum status profile_set(struct scenario *scenario, const char *key, const char *value,
                        struct fault *fault);

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
