/* The rows of the place view as one table; adding, removing and stepping stations. */
#include "explorer/place/edit.h"

#include <math.h>
#include <string.h>

#include "scenario/section.h"

/* What follows from the settings: rows of the one table of a place's figures. */
static const char *const figure_names[] = {
    [PLACE_ROW_MARGIN] = "margin_db",   [PLACE_ROW_REACH] = "reach_km",
    [PLACE_ROW_FIELD] = "field_dbuvm",  [PLACE_ROW_LEVEL] = "level_dbm",
    [PLACE_ROW_NOISE] = "noise_dbm",    [PLACE_ROW_INTERFERENCE] = "interference_dbm",
    [PLACE_ROW_CN] = "cn_db",           [PLACE_ROW_NEEDED] = "needed_snr_db",
    [PLACE_ROW_DOPPLER] = "doppler_hz",
};

static const struct figure *figure_of(int row)
{
    return figure_find(&place_figures, figure_names[row]);
}

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
    const char *label = field ? field_label(field) : figure_brief(figure_of(row));
    const char *unit = field ? field->unit : figure_of(row)->unit;
    text_format(buffer, size, "%s%s%s", label, unit[0] ? ", " : "", unit);
}

void place_row_name(int row, char *buffer, size_t size)
{
    const struct field *field = place_row_field(row);
    if (field) {
        field_name(field, buffer, size);
    } else {
        text_format(buffer, size, "place.%s", figure_names[row]);
    }
}

void place_row_text(int row, const struct place_station *station, char *buffer, size_t size)
{
    const struct field *field = place_row_field(row);
    if (!field) {
        figure_text(figure_of(row), station, buffer, size);
    } else if (field->choice || isnan(field_number(field, &station->link.tower))) {
        field_format(field, &station->link.tower, buffer, size);
    } else { /* short enough for a column */
        text_format(buffer, size, "%.4g", field_number(field, &station->link.tower));
    }
}

void place_edit_step(struct scenario *scenario, int which, int row, int direction)
{
    const struct field *field = place_row_field(row);
    void *station = section_item_of(stations(), scenario, which);
    double number = field_number(field, station);
    if (field_is_text(field)) {
        return; /* it is typed */
    }
    if (field->choice) { /* round and round */
        int count = (int)field->high + 1;
        number = ((int)number + direction + count) % count;
    } else {
        number = field_stepped(field, number, direction, false);
    }
    field_put(field, station, number);
}

/* The next channel that no station is on: on the same one it would do nothing but disturb. */
static int free_channel(const struct scenario *scenario, int after)
{
    int channel = after;
    for (int tried = RF_CHANNEL_MIN; tried <= RF_CHANNEL_MAX; tried++) {
        bool taken = false;
        channel = channel == RF_CHANNEL_MAX ? RF_CHANNEL_MIN : channel + 1;
        for (int i = 0; i < scenario->station_count; i++) {
            taken = taken || scenario->stations[i].rf_channel == channel;
        }
        if (!taken) {
            break;
        }
    }
    return channel;
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
        added->rf_channel = free_channel(scenario, added->rf_channel);
    }
    return true;
}

void place_edit_remove(struct scenario *scenario, int which)
{
    section_remove(stations(), scenario, which);
}
