/* Services come and go; a division becomes the transmission. */
#include "explorer/divide/edit.h"

#include <math.h>
#include <string.h>

#include "base/text.h"

static const struct section *services(void)
{
    return section_find("service");
}

void divide_add_first(struct scenario *scenario)
{
    static const struct service sensible[] = {
        {"phone", 1.5, 7.0, 60.0, 40.0, SERVICE_IN_RAYLEIGH},
        {"room", 5.0, 14.0, 3.0, 40.0, SERVICE_IN_RAYLEIGH},
        {"roof", NAN, 22.0, 0.0, 100.0, SERVICE_IN_NOISE},
    };
    for (size_t i = 0; i < sizeof sensible / sizeof sensible[0]; i++) {
        struct service *added = section_add(services(), scenario, sensible[i].name);
        if (added) {
            *added = sensible[i];
        }
    }
}

#define ADDED_MBPS 1.0 /* beside one that has the rest: only one can */

int divide_add(struct scenario *scenario, int like)
{
    char name[NAME_MAX_BYTES];
    section_free_name(services(), scenario, name, sizeof name);
    struct service *added = section_add(services(), scenario, name);
    if (!added) {
        return -1;
    }
    struct service copy = scenario->services[like];
    memcpy(copy.name, added->name, sizeof copy.name);
    copy.rate_mbps = isnan(copy.rate_mbps) ? ADDED_MBPS : copy.rate_mbps;
    *added = copy;
    return scenario->service_count - 1;
}

void divide_remove(struct scenario *scenario, int service)
{
    section_remove(services(), scenario, service);
}

void divide_take(struct scenario *scenario, const struct division *division)
{
    division_put(division, scenario);
}
