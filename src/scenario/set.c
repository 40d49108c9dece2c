/* A setting as a user writes it on the command line, in a lesson or in the explorer. */
#include <assert.h>
#include <string.h>

#include "base/text.h"
#include "scenario/section.h"

enum status scenario_set(struct scenario *scenario, const char *key, const char *value,
                         struct fault *fault)
{
    /* The last point parts section and key: names of echoes may have points, keys have none. */
    const char *point = strrchr(key, '.');
    char written[128];
    if (!point || point == key || point[1] == '\0') {
        return fault_set(fault, STATUS_MALFORMED, key, "SECTION.KEY=VALUE, e.g. mode.fft=16K",
                         "is not a section and a key");
    }
    if ((size_t)(point - key) >= sizeof written) {
        return fault_set(fault, STATUS_MALFORMED, "", NULL, "a section's name is too long");
    }
    text_format(written, sizeof written, "%.*s", (int)(point - key), key);
    struct scenario before = *scenario; /* what fails leaves it so: no half-made echo */
    const struct section *section;
    const struct field *field;
    void *base;
    enum status status = section_open(scenario, written, key, &section, &base, fault);
    if (status == STATUS_OK) {
        status = section_field(section, point + 1, key, &field, fault);
    }
    if (status == STATUS_OK) {
        status = section_refuse_beside(&before, section, field, key, fault);
    }
    if (status == STATUS_OK) {
        status = field_take(field, base, key, value, fault);
    }
    if (status != STATUS_OK) {
        *scenario = before;
    }
    return status;
}

/* What a user may write instead: such keys in sections that only some pairs have, or those
 * sections.
 */
static void list_pair(enum pair pair, const char *key, char *allowed, size_t size)
{
    char name[64];
    for (int whole = 0; whole < 2 && allowed[0] == '\0'; whole++) {
        for (size_t i = 0; i < section_count(); i++) {
            const struct section *section = section_at(i);
            bool has = whole || section_field_of(section, key) != NULL;
            if (section->pairs != 0 && section_counts_in(section, pair) && has) {
                text_format(name, sizeof name, "%s%s%s%s", section->name,
                            section->most > 0 ? " NAME" : "", whole ? "" : ".", whole ? "" : key);
                text_join(allowed, size, name);
            }
        }
    }
}

enum status scenario_counts(const struct scenario *scenario, const char *key, struct fault *fault)
{
    enum pair pair = scenario->site.pair;
    const char *point = strrchr(key, '.'), *name;
    char written[128], allowed[256] = "";
    assert(point != NULL);
    text_format(written, sizeof written, "%.*s", (int)(point - key), key);
    const struct section *section = section_of(written, pair, &name);
    assert(section != NULL); /* the key was taken */
    if (section_counts_in(section, pair)) {
        return STATUS_OK;
    }
    list_pair(pair, point + 1, allowed, sizeof allowed);
    return fault_set(fault, STATUS_ILLEGAL, key, allowed, "pair %s has no section [%s]",
                     pair_name(pair), section->name);
}
