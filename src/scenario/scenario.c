/* A scenario: its defaults, what hangs together in it, and whether it is sound. */
#include "scenario/scenario.h"

#include <string.h>

#include "base/text.h"
#include "scenario/section.h"
#include "standard/rf.h"

#define NAMES(function, type, count, ...)                      \
    const char *function(enum type value)                      \
    {                                                          \
        static const char *const names[count] = {__VA_ARGS__}; \
        return (unsigned)value < (count) ? names[value] : "?"; \
    }
NAMES(generation_name, generation,
      GENERATION_COUNT, [GENERATION_FIRST] = "first", [GENERATION_SECOND] = "second")
NAMES(building_name, building, BUILDING_COUNT, [BUILDING_NONE] = "none",
      [BUILDING_TRADITIONAL] = "traditional", [BUILDING_EFFICIENT] = "efficient")
NAMES(field_method_name, field_method,
      METHOD_COUNT, [METHOD_AUTO] = "auto", [METHOD_FREE_SPACE] = "free-space",
      [METHOD_SMOOTH_EARTH] = "smooth-earth", [METHOD_HATA] = "hata")
NAMES(man_made_noise_name, man_made_noise, MAN_MADE_COUNT, [MAN_MADE_NONE] = "none",
      [MAN_MADE_RURAL] = "rural", [MAN_MADE_RESIDENTIAL] = "residential", [MAN_MADE_CITY] = "city")

struct scenario scenario_default(void)
{
    struct scenario scenario = {.transmission = {.subframe_count = 1, .plp_count = 1}};
    for (size_t i = 0; i < section_count(); i++) {
        if (section_at(i)->most == 0) {
            section_clear(section_at(i), &scenario);
        }
    }
    return scenario;
}

struct transmission transmission_default(void)
{
    return scenario_default().transmission;
}

void scenario_set_channel(struct scenario *scenario, int rf_channel)
{
    scenario->site.rf_channel = rf_channel;
    scenario->site.center_mhz = rf_center_mhz(rf_channel);
}

void scenario_set_center(struct scenario *scenario, double center_mhz)
{
    scenario->site.rf_channel = 0;
    scenario->site.center_mhz = center_mhz;
}

void scenario_set_bandwidth(struct scenario *scenario, int bandwidth_mhz)
{
    scenario->site.bandwidth_mhz = bandwidth_mhz;
    scenario->transmission.subframes[0].waveform.bandwidth_mhz = bandwidth_mhz;
}

/* Every field of one item of a section. */
static enum status check_item(const struct scenario *scenario, const struct section *section,
                              int item, struct fault *fault)
{
    char title[NAME_MAX_BYTES + 16], place[NAME_MAX_BYTES + 64];
    section_item_title(section, scenario, item, title, sizeof title);
    const struct field *field;
    enum status status = STATUS_OK;
    for (int i = 0; status == STATUS_OK && (field = section_field_at(section, i)) != NULL; i++) {
        text_format(place, sizeof place, "%s.%s", title, field->name);
        status = field_check(field, section_item(section, scenario, item), place, fault);
    }
    return status;
}

static enum status check_bandwidth(const struct scenario *scenario, struct fault *fault)
{
    int site_mhz = scenario->site.bandwidth_mhz;
    int mode_mhz = scenario->transmission.subframes[0].waveform.bandwidth_mhz;
    return site_mhz == mode_mhz
               ? STATUS_OK
               : fault_set(fault, STATUS_ILLEGAL, "site.bandwidth_mhz", NULL,
                           "%d MHz differs from the mode's %d MHz", site_mhz, mode_mhz);
}

enum status scenario_check(const struct scenario *scenario, struct fault *fault)
{
    enum status status = STATUS_OK;
    for (size_t i = 0; i < section_count(); i++) {
        const struct section *section = section_at(i);
        for (int item = 0; item < section_items(section, scenario) && status == STATUS_OK; item++) {
            status = check_item(scenario, section, item, fault);
        }
    }
    if (status == STATUS_OK) {
        status = check_bandwidth(scenario, fault);
    }
    return status == STATUS_OK ? transmission_check(&scenario->transmission, fault) : status;
}
