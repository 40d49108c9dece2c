/* The rows of the place view as one table; adding, removing and stepping stations. */
#include "explorer/place/edit.h"

#include <math.h>
#include <string.h>

#include "scenario/section.h"

static const struct {
    const char *label, *name;
} figures[] = {
    [PLACE_ROW_FIELD] = {"field, dBuV/m", "place.field_dbuvm"},
    [PLACE_ROW_LEVEL] = {"level, dBm", "place.level_dbm"},
    [PLACE_ROW_NOISE] = {"noise, dBm", "place.noise_dbm"},
    [PLACE_ROW_CN] = {"C/N, dB", "place.cn_db"},
    [PLACE_ROW_NEEDED] = {"needed SNR, dB", "place.needed_snr_db"},
    [PLACE_ROW_MARGIN] = {"margin, dB", "place.margin_db"},
    [PLACE_ROW_REACH] = {"reach", "place.reach_km"},
    [PLACE_ROW_DOPPLER] = {"Doppler limit, Hz", NULL},
};

static const struct section *stations(void)
{
    return section_find("station");
}

const struct field *place_row_field(int row)
{
    return row < PLACE_SETTINGS ? section_field_at(stations(), row) : NULL;
}

void place_row_label(int row, char *buffer, size_t size)
{
    const struct field *field = place_row_field(row);
    text_format(buffer, size, "%s%s%s", field ? field_label(field) : figures[row].label,
                field && field->unit[0] ? ", " : "", field ? field->unit : "");
}

bool place_row_name(int row, char *buffer, size_t size)
{
    const struct field *field = place_row_field(row);
    if (field) {
        field_name(field, buffer, size);
    } else if (figures[row].name) {
        text_format(buffer, size, "%s", figures[row].name);
    }
    return field || figures[row].name;
}

void place_row_text(int row, const struct place_station *station, char *buffer, size_t size)
{
    const struct field *field = place_row_field(row);
    const double numbers[PLACE_ROW_COUNT] = {
        [PLACE_ROW_FIELD] = station->link.field_dbuvm,
        [PLACE_ROW_LEVEL] = station->link.level_dbm,
        [PLACE_ROW_NOISE] = station->link.noise_dbm,
        [PLACE_ROW_CN] = station->link.cn_db,
        [PLACE_ROW_NEEDED] = station->needed_snr_db,
        [PLACE_ROW_MARGIN] = station->verdict.margin_db,
        [PLACE_ROW_DOPPLER] = station->verdict.facts.doppler_hz,
    };
    if (field && field->choice) {
        field_format(field, &station->link.tower, buffer, size);
    } else if (field) { /* short enough for a column */
        text_format(buffer, size, "%.4g", field_number(field, &station->link.tower));
    } else if (row == PLACE_ROW_REACH) {
        place_words_reach(station, buffer, size);
    } else if (isfinite(numbers[row])) {
        text_format(buffer, size, "%.1f", numbers[row]);
    } else {
        text_format(buffer, size, "none");
    }
}

void place_edit_step(struct scenario *scenario, int which, int row, int direction)
{
    const struct field *field = place_row_field(row);
    void *station = section_item_of(stations(), scenario, which);
    double number = field_number(field, station);
    if (field->choice) { /* round and round */
        int count = (int)field->high + 1;
        number = ((int)number + direction + count) % count;
    } else {
        number = field_stepped(field, number, direction, false);
    }
    field_put(field, station, number);
}

bool place_edit_add(struct scenario *scenario, int like)
{
    char name[NAME_MAX_BYTES];
    int number = 1;
    do {
        text_format(name, sizeof name, "Station %d", number++);
    } while (section_item_find(stations(), scenario, name) >= 0);
    bool first = scenario->station_count == 0;
    struct station *added = section_add(stations(), scenario, name);
    if (!added) {
        return false;
    }
    if (first) {
        added->rf_channel = 10;
        added->erp_kw = 10.0;
        added->height_m = 150.0;
        added->distance_km = 30.0;
    } else {
        *added = scenario->stations[like];
        memset(added->name, 0, sizeof added->name);
        text_format(added->name, sizeof added->name, "%s", name);
    }
    return true;
}

void place_edit_remove(struct scenario *scenario, int which)
{
    section_remove(stations(), scenario, which);
}
