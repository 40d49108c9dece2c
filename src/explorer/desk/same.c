/* Scenarios are compared as they would be written: by the table of keys. */
#include "explorer/desk/same.h"

#include <string.h>

#include "scenario/section.h"

static bool same_item(const struct section *section, int item, const struct scenario *a,
                      const struct scenario *b)
{
    bool same =
        strcmp(section_item_name(section, a, item), section_item_name(section, b, item)) == 0;
    const struct field *field = NULL;
    while (same && (field = section_field_after(section, field)) != NULL) {
        same = field_is_same(field, section_item(section, a, item), section_item(section, b, item));
    }
    return same;
}

bool scenarios_are_same(const struct scenario *a, const struct scenario *b)
{
    bool same = true;
    for (size_t i = 0; i < section_count() && same; i++) {
        const struct section *section = section_at(i);
        same = section_items(section, a) == section_items(section, b);
        for (int item = 0; same && item < section_items(section, a); item++) {
            same = same_item(section, item, a, b);
        }
    }
    return same;
}
