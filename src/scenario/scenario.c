/* A scenario: its defaults, what hangs together in it, and whether it is sound. */
#include "scenario/scenario.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "physics/air/fcc.h"
#include "physics/air/p1546.h"
#include "scenario/section.h"
#include "scenario/use.h"
#include "standard/atsc3/frame.h"
#include "standard/rf.h"

#define NAMES(function, type, count, ...)                      \
    const char *function(enum type value)                      \
    {                                                          \
        static const char *const names[count] = {__VA_ARGS__}; \
        return (unsigned)value < (count) ? names[value] : "?"; \
    }
NAMES(pair_name, pair, PAIR_COUNT, [PAIR_ATSC] = "ATSC", [PAIR_DVB] = "DVB")
NAMES(generation_name, generation,
      GENERATION_COUNT, [GENERATION_FIRST] = "first", [GENERATION_SECOND] = "second")
NAMES(building_name, building, BUILDING_COUNT, [BUILDING_NONE] = "none",
      [BUILDING_TRADITIONAL] = "traditional", [BUILDING_EFFICIENT] = "efficient")
NAMES(field_method_name, field_method, METHOD_COUNT, [METHOD_AUTO] = "auto",
      [METHOD_P1546] = "p1546", [METHOD_FCC] = "fcc", [METHOD_FREE_SPACE] = "free-space",
      [METHOD_SMOOTH_EARTH] = "smooth-earth", [METHOD_HATA] = "hata")
NAMES(man_made_noise_name, man_made_noise, MAN_MADE_COUNT, [MAN_MADE_NONE] = "none",
      [MAN_MADE_RURAL] = "rural", [MAN_MADE_RESIDENTIAL] = "residential", [MAN_MADE_CITY] = "city")
NAMES(use_name, use, USE_COUNT, [USE_NONE] = "none", [USE_ROOFTOP] = "rooftop",
      [USE_PORTABLE_OUTDOOR] = "portable-outdoor", [USE_PORTABLE_INDOOR] = "portable-indoor",
      [USE_HANDHELD] = "handheld", [USE_MOBILE] = "mobile")
NAMES(surroundings_name, surroundings,
      SURROUNDINGS_COUNT, [SURROUNDINGS_OPEN] = "open", [SURROUNDINGS_SUBURBAN] = "suburban",
      [SURROUNDINGS_URBAN] = "urban", [SURROUNDINGS_DENSE] = "dense")

NAMES(service_channel_name, service_channel,
      SERVICE_CHANNEL_COUNT, [SERVICE_IN_NOISE] = "noise", [SERVICE_IN_RAYLEIGH] = "rayleigh")

/* What a pair brings, and how what is sent in it is made legal and checked. */
static enum status check_atsc(const struct scenario *scenario, struct fault *fault);
static enum status check_dvb(const struct scenario *scenario, struct fault *fault);
static void repair_atsc(struct scenario *scenario);
static void repair_dvb(struct scenario *scenario);
static const struct {
    enum channel_plan plan;
    int rf_channel;
    enum status (*check)(const struct scenario *scenario, struct fault *fault);
    void (*repair)(struct scenario *scenario);
} pairs[PAIR_COUNT] = {
    [PAIR_ATSC] = {PLAN_US, 10, check_atsc, repair_atsc},
    [PAIR_DVB] = {PLAN_REGION_1, 30, check_dvb, repair_dvb},
};

/* A pair that there is none of is refused when the scenario is checked. */
static bool is_pair(enum pair pair)
{
    return (unsigned)pair < PAIR_COUNT;
}

enum channel_plan pair_plan(enum pair pair)
{
    return pairs[is_pair(pair) ? pair : PAIR_ATSC].plan;
}

struct scenario scenario_default(void)
{
    struct scenario scenario = {0};
    section_clear(section_find("subframe"), &scenario.transmission.subframes[0]);
    section_clear(section_find("plp"), &scenario.transmission.plps[0]);
    for (size_t i = 0; i < section_count(); i++) {
        if (section_at(i)->most == 0) {
            section_clear(section_at(i), &scenario);
        }
    }
    return scenario;
}

struct scenario scenario_default_of(enum pair pair)
{
    struct scenario scenario = scenario_default();
    scenario_set_pair(&scenario, pair);
    return scenario;
}

struct transmission transmission_default(void)
{
    return scenario_default().transmission;
}

void scenario_keep_mode(struct scenario *scenario)
{
    for (size_t i = 0; i < section_count(); i++) {
        const struct section *section = section_at(i);
        while (section->leave != NULL && section_items(section, scenario) > 0) {
            section_remove(section, scenario, section_items(section, scenario) - 1);
        }
    }
}

void scenario_take_signal(struct scenario *scenario, const struct scenario *from)
{
    scenario->transmission = from->transmission;
    scenario->dvbt2 = from->dvbt2;
}

void scenario_set_pair(struct scenario *scenario, enum pair pair)
{
    if (scenario->site.pair == pair) {
        return;
    }
    struct use_at before = use_at(scenario);
    scenario->site.pair = pair;
    use_change(scenario, before, use_at(scenario));
    for (int i = 0; i < scenario->station_count && is_pair(pair); i++) {
        scenario->stations[i].plan = pairs[pair].plan;
    }
    if (is_pair(pair)) {
        scenario_set_channel(scenario, pairs[pair].rf_channel);
        scenario_set_bandwidth(scenario, rf_width_mhz(pairs[pair].plan, pairs[pair].rf_channel));
    }
}

/* What a use fills in hangs on the frequency. */
static void move_to(struct scenario *scenario, double center_mhz)
{
    struct use_at before = use_at(scenario);
    scenario->site.center_mhz = center_mhz;
    use_change(scenario, before, use_at(scenario));
}

/* A width that was the old channel's follows to the new one, where the plan has several. */
void scenario_set_channel(struct scenario *scenario, int rf_channel)
{
    struct site *site = &scenario->site;
    enum channel_plan plan = pair_plan(site->pair);
    int old_mhz = rf_width_mhz(plan, site->rf_channel), new_mhz = rf_width_mhz(plan, rf_channel);
    if (old_mhz > 0 && new_mhz > 0 && old_mhz != new_mhz && site->bandwidth_mhz == old_mhz) {
        scenario_set_bandwidth(scenario, new_mhz);
    }
    site->rf_channel = rf_channel;
    move_to(scenario, rf_center_mhz(plan, rf_channel));
}

void scenario_set_center(struct scenario *scenario, double center_mhz)
{
    scenario->site.rf_channel = 0;
    move_to(scenario, center_mhz);
}

void scenario_set_bandwidth(struct scenario *scenario, int bandwidth_mhz)
{
    scenario->site.bandwidth_mhz = bandwidth_mhz;
    for (int i = 0; i < transmission_subframes(&scenario->transmission); i++) {
        scenario->transmission.subframes[i].waveform.bandwidth_mhz = bandwidth_mhz;
    }
}

/* Every field of one item of a section. */
static enum status check_item(const struct scenario *scenario, const struct section *section,
                              int item, struct fault *fault)
{
    const void *base = section_item(section, scenario, item);
    const struct field *field = NULL;
    do {
        field = section_field_after(section, field);
    } while (field != NULL && field_check(field, base, "", NULL) == STATUS_OK);
    if (field == NULL) {
        return STATUS_OK;
    }
    char title[NAME_MAX_BYTES + 16], place[NAME_MAX_BYTES + 64];
    section_item_title(section, scenario, item, title, sizeof title);
    text_format(place, sizeof place, "%s.%s", title, field->name);
    return field_check(field, base, place, fault);
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

/* Each method knows some shares of time; those of the median alone know one. */
static const struct {
    double low, high;
} known_times[METHOD_COUNT] = {
    [METHOD_AUTO] = {P1546_TIME_MIN_PERCENT, FCC_TIME_MAX_PERCENT},
    [METHOD_P1546] = {P1546_TIME_MIN_PERCENT, P1546_TIME_MAX_PERCENT},
    [METHOD_FCC] = {FCC_TIME_MIN_PERCENT, FCC_TIME_MAX_PERCENT},
    [METHOD_FREE_SPACE] = {50.0, 50.0},
    [METHOD_SMOOTH_EARTH] = {50.0, 50.0},
    [METHOD_HATA] = {50.0, 50.0},
};

void scenario_repair(struct scenario *scenario)
{
    struct place *place = &scenario->place;
    double low = known_times[place->method].low, high = known_times[place->method].high;
    place->time_percent = fmin(fmax(place->time_percent, low), high);
    for (int i = 0; i < scenario->station_count; i++) {
        struct station *station = &scenario->stations[i];
        if (station->rf_channel > 0 && !rf_channel_exists(station->plan, station->rf_channel)) {
            station->rf_channel = pairs[scenario->site.pair].rf_channel;
        }
    }
    pairs[scenario->site.pair].repair(scenario);
}

static enum status check_time(const struct scenario *scenario, struct fault *fault)
{
    const struct place *place = &scenario->place;
    double low = known_times[place->method].low, high = known_times[place->method].high;
    if (place->time_percent >= low && place->time_percent <= high) {
        return STATUS_OK;
    }
    char allowed[64];
    if (low < high) {
        text_format(allowed, sizeof allowed, "%g to %g %%", low, high);
    } else {
        text_format(allowed, sizeof allowed, "%g %%, or method auto, p1546 or fcc", low);
    }
    return fault_set(fault, STATUS_ILLEGAL, "place.time_percent", allowed,
                     "%g %% is not known to method %s", place->time_percent,
                     field_method_name(place->method));
}

/* A height profile that is named lies here too: whoever changes the name reads the file. */
static enum status check_terrain(const struct scenario *scenario, struct fault *fault)
{
    for (int i = 0; i < scenario->station_count; i++) {
        const struct station *station = &scenario->stations[i];
        if (strcmp(station->terrain_file, station->terrain_read) != 0) {
            char place[NAME_MAX_BYTES + 24];
            text_format(place, sizeof place, "station %s.terrain", station->name);
            return fault_set(fault, STATUS_UNREADABLE, place, NULL, "%s was not read",
                             station->terrain_file);
        }
    }
    return STATUS_OK;
}

/* All that has a section of its own finds room. */
static enum status check_room(const struct transmission *transmission, struct fault *fault)
{
    struct frame frame;
    return frame_build(transmission, &frame, fault);
}

static enum status check_atsc(const struct scenario *scenario, struct fault *fault)
{
    enum status status = transmission_check(&scenario->transmission, fault);
    return status == STATUS_OK && !transmission_is_plain(&scenario->transmission)
               ? check_room(&scenario->transmission, fault)
               : status;
}

static enum status check_dvb(const struct scenario *scenario, struct fault *fault)
{
    struct t2_frame frame;
    int bandwidth_mhz = scenario->site.bandwidth_mhz;
    enum status status = dvbt_check(&scenario->dvbt, bandwidth_mhz, fault);
    return status == STATUS_OK ? t2_frame_build(&scenario->dvbt2, bandwidth_mhz, &frame, fault)
                               : status;
}

static void repair_atsc(struct scenario *scenario)
{
    transmission_repair(&scenario->transmission);
}

static void repair_dvb(struct scenario *scenario)
{
    dvbt_repair(&scenario->dvbt);
    t2_repair(&scenario->dvbt2, scenario->site.bandwidth_mhz);
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
    if (status == STATUS_OK) {
        status = check_time(scenario, fault);
    }
    if (status == STATUS_OK) {
        status = check_terrain(scenario, fault);
    }
    return status == STATUS_OK ? pairs[scenario->site.pair].check(scenario, fault) : status;
}
