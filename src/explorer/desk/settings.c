/* Which settings the main view offers, and under which headings. */
#include "explorer/desk/settings.h"

#include "base/text.h"
#include "system/system.h"

/* A group goes from its first field on until another group begins. Those of one generation tell
 * its system. */
static const struct {
    const char *first, *heading;
    bool of_system;
    enum generation generation;
} groups[] = {
    {"mode.fft", "Second generation", true, GENERATION_SECOND},
    {"site.rf_channel", "Channel", false, 0},
    {"receiver.snr_db", "Receiver", false, 0},
    {"place.receive_height_m", "Place", false, 0},
    {"first.threshold_db", "First-generation receiver", true, GENERATION_FIRST},
    {"mode.interleaver", "Frame and signalling", false, 0},
};

int setting_count(void)
{
    size_t count = 0;
    while (count < field_count() && section_find(field_at(count)->section)->most == 0) {
        count++;
    }
    return (int)count;
}

struct value setting_value(int i)
{
    return value_of(field_at((size_t)i));
}

static size_t group_at(int i)
{
    for (; i > 0; i--) {
        for (size_t g = 0; g < sizeof groups / sizeof groups[0]; g++) {
            if (field_at((size_t)i) == field_named(groups[g].first)) {
                return g;
            }
        }
    }
    return 0;
}

const char *setting_group(int i)
{
    return groups[group_at(i)].heading;
}

void setting_heading(int i, const struct scenario *scenario, char *buffer, size_t size)
{
    size_t g = group_at(i);
    bool first = g == 0 && !transmission_is_plain(&scenario->transmission);
    if (groups[g].of_system) {
        text_format(buffer, size, "%s (%s)%s", groups[g].heading,
                    system_of(scenario, groups[g].generation)->name,
                    first ? ", first subframe and PLP" : "");
    } else {
        text_format(buffer, size, "%s", groups[g].heading);
    }
}
