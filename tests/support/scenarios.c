#include "support/scenarios.h"

#include "support/near.h"

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

int choice_named(const char *key, const char *name)
{
    double number = 0.0;
    assert_int_equal(field_read(field_named(key), name, &number), STATUS_OK);
    return (int)number;
}

void scenario_say(struct scenario *scenario, const char *key, const char *value)
{
    struct fault fault = {0};
    if (scenario_set(scenario, key, value, &fault) != STATUS_OK) {
        fail_msg("%s = %s: %s: %s (%s)", key, value, fault.place, fault.wrong, fault.allowed);
    }
}
