#include "support/scenarios.h"

#include "base/text.h"
#include "scenario/section.h"

struct station station_unset(const char *name)
{
    struct station station = {0};
    section_clear(section_find("station"), &station);
    text_format(station.name, sizeof station.name, "%s", name);
    return station;
}

struct echo echo_unset(void)
{
    struct echo echo = {0};
    section_clear(section_find("echo"), &echo);
    return echo;
}
