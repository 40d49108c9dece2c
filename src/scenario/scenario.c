#include "scenario/scenario.h"

#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/text.h"
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

/* The 8-VSB threshold is ATSC A/54A's; the equaliser is that of "An 8-VSB DTV receiver for indoor
 * and distributed transmission environments" (IEEE, abstract); 10 Hz of tracking is common
 * practice. */
struct scenario scenario_default(void)
{
    struct scenario scenario = {
        .transmission = transmission_default(),
        .first = {.threshold_db = 14.9,
                  .equaliser_before_us = 29.5,
                  .equaliser_after_us = 38.5,
                  .tracking_hz = 10.0,
                  .feedback = FEEDBACK_TRELLIS},
        .receiver = {.noise_figure_db = 7.0, .snr_db = NAN, .level_dbm = NAN},
        .place = {.receive_height_m = 10.0, .entry_loss_db = NAN, .location_percent = 50.0},
    };
    scenario_set_channel(&scenario, 10);
    scenario_set_bandwidth(&scenario, scenario.transmission.subframes[0].waveform.bandwidth_mhz);
    return scenario;
}

struct station station_unset(const char *name)
{
    struct station station = {
        .generation = GENERATION_SECOND, .erp_kw = NAN, .height_m = NAN, .distance_km = NAN};
    text_format(station.name, sizeof station.name, "%s", name);
    return station;
}

struct echo echo_unset(void)
{
    return (struct echo){.delay_us = NAN, .level_db = NAN};
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

struct range_row {
    const char *place;
    double value, low, high;
    const char *unit;
    bool optional; /* NAN is "not known" */
};

/* `prefix` names the section: "receiver", "echo hill". */
static enum status check_ranges(const struct range_row *rows, size_t count, const char *prefix,
                                struct fault *fault)
{
    for (size_t i = 0; i < count; i++) {
        const struct range_row *row = &rows[i];
        if ((row->optional && isnan(row->value)) ||
            (row->value >= row->low && row->value <= row->high)) {
            continue;
        }
        char place[128], allowed[96];
        text_format(place, sizeof place, "%s.%s", prefix, row->place);
        text_format(allowed, sizeof allowed, "%g to %g%s%s", row->low, row->high,
                    row->unit[0] ? " " : "", row->unit);
        if (isnan(row->value)) {
            return fault_set(fault, STATUS_OUT_OF_RANGE, place, allowed, "is missing");
        }
        return fault_set(fault, STATUS_OUT_OF_RANGE, place, allowed, "%g%s%s is out of range",
                         row->value, row->unit[0] ? " " : "", row->unit);
    }
    return STATUS_OK;
}

#define COUNT(rows) (sizeof(rows) / sizeof(rows)[0])

static enum status check_site(const struct scenario *scenario, struct fault *fault)
{
    const struct site *site = &scenario->site;
    if (site->rf_channel != 0 && !rf_channel_exists(site->rf_channel)) {
        return fault_set(fault, STATUS_OUT_OF_RANGE, "site.rf_channel", "2 to 36",
                         "there is no channel %d", site->rf_channel);
    }
    const struct range_row rows[] = {
        {"center_mhz", site->center_mhz, CENTER_MIN_MHZ, CENTER_MAX_MHZ, "MHz", false},
        {"bandwidth_mhz", site->bandwidth_mhz, 6.0, 8.0, "MHz", false},
    };
    enum status status = check_ranges(rows, COUNT(rows), "site", fault);
    if (status == STATUS_OK &&
        site->bandwidth_mhz != scenario->transmission.subframes[0].waveform.bandwidth_mhz) {
        return fault_set(fault, STATUS_ILLEGAL, "site.bandwidth_mhz", NULL,
                         "%d MHz differs from the mode's %d MHz", site->bandwidth_mhz,
                         scenario->transmission.subframes[0].waveform.bandwidth_mhz);
    }
    return status;
}

static enum status check_receivers(const struct scenario *scenario, struct fault *fault)
{
    const struct first_receiver *first = &scenario->first;
    const struct range_row first_rows[] = {
        {"threshold_db", first->threshold_db, THRESHOLD_MIN_DB, THRESHOLD_MAX_DB, "dB", false},
        {"equaliser_before_us", first->equaliser_before_us, 0, EQUALISER_MAX_US, "us", false},
        {"equaliser_after_us", first->equaliser_after_us, 0, EQUALISER_MAX_US, "us", false},
        {"tracking_hz", first->tracking_hz, 0, TRACKING_MAX_HZ, "Hz", false},
        {"adaptation_step", first->adaptation_step, 0, ADAPTATION_STEP_MAX, "", false},
        {"implementation_loss_db", first->implementation_loss_db, 0, IMPLEMENTATION_LOSS_MAX_DB,
         "dB", false},
    };
    const struct receiver *receiver = &scenario->receiver;
    const struct range_row rows[] = {
        {"noise_figure_db", receiver->noise_figure_db, 0, NOISE_FIGURE_MAX_DB, "dB", false},
        {"antenna_dbd", receiver->antenna_dbd, ANTENNA_MIN_DBD, ANTENNA_MAX_DBD, "dBd", false},
        {"line_loss_db", receiver->line_loss_db, 0, LINE_LOSS_MAX_DB, "dB", false},
        {"snr_db", receiver->snr_db, SNR_MIN_DB, SNR_MAX_DB, "dB", true},
        {"level_dbm", receiver->level_dbm, LEVEL_MIN_DBM, LEVEL_MAX_DBM, "dBm", true},
        {"speed_kmh", receiver->speed_kmh, 0, SPEED_MAX_KMH, "km/h", false},
    };
    enum status status = check_ranges(first_rows, COUNT(first_rows), "first", fault);
    return status != STATUS_OK ? status : check_ranges(rows, COUNT(rows), "receiver", fault);
}

static enum status check_place(const struct place *place, struct fault *fault)
{
    const struct range_row rows[] = {
        {"receive_height_m", place->receive_height_m, HEIGHT_MIN_M, RECEIVE_HEIGHT_MAX_M, "m",
         false},
        {"entry_loss_db", place->entry_loss_db, 0, ENTRY_LOSS_MAX_DB, "dB", true},
        {"location_percent", place->location_percent, LOCATION_MIN_PERCENT, LOCATION_MAX_PERCENT,
         "%", false},
    };
    return check_ranges(rows, COUNT(rows), "place", fault);
}

static enum status check_station(const struct station *station, struct fault *fault)
{
    char prefix[NAME_MAX_BYTES + 16], place[NAME_MAX_BYTES + 32];
    text_format(prefix, sizeof prefix, "station %s", station->name);
    if (!rf_channel_exists(station->rf_channel)) {
        text_format(place, sizeof place, "%s.rf_channel", prefix);
        if (station->rf_channel == 0) {
            return fault_set(fault, STATUS_OUT_OF_RANGE, place, "2 to 36", "is missing");
        }
        return fault_set(fault, STATUS_OUT_OF_RANGE, place, "2 to 36", "there is no channel %d",
                         station->rf_channel);
    }
    const struct range_row rows[] = {
        {"erp_kw", station->erp_kw, ERP_MIN_KW, ERP_MAX_KW, "kW", false},
        {"erp_vertical_kw", station->erp_vertical_kw, 0, ERP_MAX_KW, "kW", false},
        {"height_m", station->height_m, HEIGHT_MIN_M, HEIGHT_MAX_M, "m", false},
        {"distance_km", station->distance_km, DISTANCE_MIN_KM, DISTANCE_MAX_KM, "km", false},
    };
    return check_ranges(rows, COUNT(rows), prefix, fault);
}

static enum status check_echo(const struct echo *echo, const char *name, struct fault *fault)
{
    char prefix[NAME_MAX_BYTES + 16];
    text_format(prefix, sizeof prefix, "echo %s", name);
    const struct range_row rows[] = {
        {"delay_us", echo->delay_us, -ECHO_DELAY_MAX_US, ECHO_DELAY_MAX_US, "us", false},
        {"level_db", echo->level_db, ECHO_LEVEL_MIN_DB, ECHO_LEVEL_MAX_DB, "dB", false},
        {"phase_deg", echo->phase_deg, -PHASE_MAX_DEG, PHASE_MAX_DEG, "deg", false},
        {"doppler_hz", echo->doppler_hz, -ECHO_DOPPLER_MAX_HZ, ECHO_DOPPLER_MAX_HZ, "Hz", false},
    };
    return check_ranges(rows, COUNT(rows), prefix, fault);
}

enum status scenario_check(const struct scenario *scenario, struct fault *fault)
{
    enum status status = check_site(scenario, fault);
    if (status == STATUS_OK) {
        status = transmission_check(&scenario->transmission, fault);
    }
    if (status == STATUS_OK) {
        status = check_receivers(scenario, fault);
    }
    if (status == STATUS_OK) {
        status = check_place(&scenario->place, fault);
    }
    for (int i = 0; i < scenario->station_count && status == STATUS_OK; i++) {
        status = check_station(&scenario->stations[i], fault);
    }
    for (int i = 0; i < scenario->echo_count && status == STATUS_OK; i++) {
        status = check_echo(&scenario->echoes[i], scenario->echo_names[i], fault);
    }
    return status;
}
