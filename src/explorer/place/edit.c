/* The rows of the place view as one table; adding, removing and stepping stations. */
#include "explorer/place/edit.h"

#include <math.h>
#include <string.h>

static const struct {
    const char *label, *name, *key;
} rows[PLACE_ROW_COUNT] = {
    [PLACE_ROW_GENERATION] = {"system", "station.generation", "generation"},
    [PLACE_ROW_CHANNEL] = {"RF channel", "station.rf_channel", "rf_channel"},
    [PLACE_ROW_ERP] = {"ERP, kW", "station.erp_kw", "erp_kw"},
    [PLACE_ROW_HEIGHT] = {"height, m", "station.height_m", "height_m"},
    [PLACE_ROW_DISTANCE] = {"distance, km", "station.distance_km", "distance_km"},
    [PLACE_ROW_FIELD] = {"field, dBuV/m", "place.field_dbuvm", NULL},
    [PLACE_ROW_LEVEL] = {"level, dBm", "place.level_dbm", NULL},
    [PLACE_ROW_NOISE] = {"noise, dBm", "place.noise_dbm", NULL},
    [PLACE_ROW_CN] = {"C/N, dB", "place.cn_db", NULL},
    [PLACE_ROW_NEEDED] = {"needed SNR, dB", "place.needed_snr_db", NULL},
    [PLACE_ROW_MARGIN] = {"margin, dB", "place.margin_db", NULL},
    [PLACE_ROW_REACH] = {"reach", "place.reach_km", NULL},
    [PLACE_ROW_DOPPLER] = {"Doppler limit, Hz", NULL, NULL},
};

const char *place_row_label(enum place_row row)
{
    return rows[row].label;
}

const char *place_row_name(enum place_row row)
{
    return rows[row].name;
}

const char *place_row_key(enum place_row row)
{
    return rows[row].key;
}

void place_row_text(enum place_row row, const struct place_station *station, char *buffer,
                    size_t size)
{
    const struct station *set = &station->link.tower;
    const double numbers[PLACE_ROW_COUNT] = {
        [PLACE_ROW_FIELD] = station->link.field_dbuvm,
        [PLACE_ROW_LEVEL] = station->link.level_dbm,
        [PLACE_ROW_NOISE] = station->link.noise_dbm,
        [PLACE_ROW_CN] = station->link.cn_db,
        [PLACE_ROW_NEEDED] = station->needed_snr_db,
        [PLACE_ROW_MARGIN] = station->verdict.margin_db,
        [PLACE_ROW_DOPPLER] = station->doppler_limit_hz,
    };
    switch (row) {
    case PLACE_ROW_GENERATION:
        text_format(buffer, size, "%s", set->generation == GENERATION_FIRST ? "8-VSB" : "OFDM");
        break;
    case PLACE_ROW_CHANNEL:
        text_format(buffer, size, "%d", set->rf_channel);
        break;
    case PLACE_ROW_ERP:
        text_format(buffer, size, "%.4g", set->erp_kw);
        break;
    case PLACE_ROW_HEIGHT:
        text_format(buffer, size, "%.0f", set->height_m);
        break;
    case PLACE_ROW_DISTANCE:
        text_format(buffer, size, "%.1f", set->distance_km);
        break;
    case PLACE_ROW_REACH:
        place_words_reach(station, buffer, size);
        break;
    default:
        if (isfinite(numbers[row])) {
            text_format(buffer, size, "%.1f", numbers[row]);
        } else {
            text_format(buffer, size, "none");
        }
    }
}

static double within(double value, double low, double high)
{
    return fmin(fmax(value, low), high);
}

void place_edit_step(struct station *station, enum place_row row, int direction)
{
    double tenth = direction > 0 ? 1.1 : 1.0 / 1.1;
    switch (row) {
    case PLACE_ROW_GENERATION:
        station->generation =
            station->generation == GENERATION_FIRST ? GENERATION_SECOND : GENERATION_FIRST;
        break;
    case PLACE_ROW_CHANNEL:
        station->rf_channel =
            (int)within(station->rf_channel + direction, RF_CHANNEL_MIN, RF_CHANNEL_MAX);
        break;
    case PLACE_ROW_ERP:
        station->erp_kw =
            within(station->erp_kw * pow(10.0, 0.1 * direction), ERP_MIN_KW, ERP_MAX_KW);
        break;
    case PLACE_ROW_HEIGHT:
        station->height_m = within(station->height_m * tenth, HEIGHT_MIN_M, HEIGHT_MAX_M);
        break;
    case PLACE_ROW_DISTANCE:
        station->distance_km =
            within(station->distance_km * tenth, DISTANCE_MIN_KM, DISTANCE_MAX_KM);
        break;
    default:
        break;
    }
}

static bool has_name(const struct scenario *scenario, const char *name)
{
    for (int i = 0; i < scenario->station_count; i++) {
        if (strcmp(scenario->stations[i].name, name) == 0) {
            return true;
        }
    }
    return false;
}

bool place_edit_add(struct scenario *scenario, int like)
{
    if (scenario->station_count >= STATIONS_MAX) {
        return false;
    }
    struct station added = {.generation = GENERATION_SECOND,
                            .rf_channel = 10,
                            .erp_kw = 10.0,
                            .height_m = 150.0,
                            .distance_km = 30.0};
    if (scenario->station_count > 0) {
        added = scenario->stations[like];
    }
    int number = 1;
    do {
        text_format(added.name, sizeof added.name, "Station %d", number++);
    } while (has_name(scenario, added.name));
    scenario->stations[scenario->station_count++] = added;
    return true;
}

void place_edit_remove(struct scenario *scenario, int which)
{
    scenario->station_count--;
    for (int i = which; i < scenario->station_count; i++) {
        scenario->stations[i] = scenario->stations[i + 1];
    }
    memset(&scenario->stations[scenario->station_count], 0, sizeof scenario->stations[0]);
}
