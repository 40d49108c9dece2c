/* A setting as a user writes it on the command line, in a lesson or in the explorer. */
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
