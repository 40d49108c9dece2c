#ifndef PROFILE_SCAN_H
#define PROFILE_SCAN_H

#include "base/status.h"
#include "base/text.h"
#include "scenario/scenario.h"

/* The strict look at a profile's text: what iniparser would read in silence but a user did not
 * mean, is refused with its line, and where each section and value stands is kept for saving.
 * Internal to src/profile. */

#define PROFILE_BYTES_MAX 262144
#define PROFILE_LINE_BYTES_MAX 500
#define SECTION_BYTES_MAX 64
#define KEY_BYTES_MAX 40

enum item_kind { ITEM_SECTION, ITEM_KEY };

struct item {
    enum item_kind kind;
    int line;                     /* from 1 */
    size_t line_at, line_end;     /* bytes of the line, its line feed included */
    size_t at, end;               /* bytes of the section's name or of the value, quotes included */
    char name[SECTION_BYTES_MAX]; /* as written */
};

struct scan {
    struct item *items;
    size_t count, capacity;
};

/* The caller frees the scan, also after a fault. */
enum status scan_text(const char *text, size_t length, struct scan *scan, struct fault *fault);
void scan_free(struct scan *scan);

#endif
