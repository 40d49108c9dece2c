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
    {"dvbt2.fft", "Second generation", true, GENERATION_SECOND},
    {"site.rf_channel", "Channel", false, 0},
    {"receiver.snr_db", "Receiver", false, 0},
    {"place.receive_height_m", "Place", false, 0},
    {"dvbt.fft", "First generation", true, GENERATION_FIRST},
    {"first.threshold_db", "First-generation receiver", true, GENERATION_FIRST},
    {"mode.interleaver", "Frame and signalling", false, 0},
    {"site.pair", "Generations", false, 0},
};

/* The place in the table of setting i, or how many there are where that is beyond the last. */
static size_t field_of(int i, enum pair pair, int *count)
{
    size_t at = 0;
    int seen = 0;
    for (; at < field_count(); at++) {
        const struct section *section = section_find(field_at(at)->section);
        if (section->most > 0) {
            break;
        }
        if (section_counts_in(section, pair) && seen++ == i) {
            break;
        }
    }
    *count = seen;
    return at;
}

int setting_count(enum pair pair)
{
    int count;
    (void)field_of(-1, pair, &count);
    return count;
}

struct value setting_value(int i, enum pair pair)
{
    int count;
    return value_of(field_at(field_of(i, pair, &count)));
}

static size_t group_at(int i, enum pair pair)
{
    int count;
    for (size_t at = field_of(i, pair, &count); at > 0; at--) {
        for (size_t g = 0; g < sizeof groups / sizeof groups[0]; g++) {
            if (field_at(at) == field_named(groups[g].first)) {
                return g;
            }
        }
    }
    return 0;
}

const char *setting_group(int i, enum pair pair)
{
    return groups[group_at(i, pair)].heading;
}

void setting_heading(int i, const struct scenario *scenario, char *buffer, size_t size)
{
    size_t g = group_at(i, scenario->site.pair);
    bool first = g == 0 && !transmission_is_plain(&scenario->transmission);
    if (groups[g].of_system) {
        text_format(buffer, size, "%s (%s)%s", groups[g].heading,
                    system_of(scenario, groups[g].generation)->name,
                    first ? ", first subframe and PLP" : "");
    } else {
        text_format(buffer, size, "%s", groups[g].heading);
    }
}
