/* The rows of the place view as one table; adding, removing and stepping stations. */
#include "explorer/place/edit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "scenario/section.h"

/* What follows from the settings: rows of the one table of a place's figures, and how each enters
 * the sum that ends in the margin. */
static const struct {
    const char *sign, *name;
} results[] = {
    {"  ", "field_dbuvm"}, {"- ", "entry_loss_db"},   {"- ", "discrimination_db"},
    {"+ ", "antenna_dbm"}, {"= ", "level_dbm"},       {"+ ", "network_db"},
    {"- ", "noise_dbm"},   {"- ", "interference_db"}, {"= ", "cn_db"},
    {"- ", "location_db"}, {"- ", "needed_noise_db"}, {"- ", "lost_db"},
    {"= ", "margin_db"},   {"  ", "reach_km"},        {"  ", "error_db"},
    {"  ", "headroom_db"}, {"  ", "doppler_hz"},
};
#define RESULTS ((int)(sizeof results / sizeof results[0]))

/* Told last, and where a station has a file of its terrain. */
static const char *const of_terrain[] = {"effective_height_m", "clearance_deg", "terrain_db"};
#define TERRAIN_ROWS ((int)(sizeof of_terrain / sizeof of_terrain[0]))

/* Of the receiver what bears on a prediction. */
static const char *const shared_of_receiver[] = {
    "use", "antenna_dbd", "line_loss_db", "noise_figure_db", "man_made", "intercept_dbm"};
#define RECEIVER_ROWS ((int)(sizeof shared_of_receiver / sizeof shared_of_receiver[0]))

static const struct section *stations(void)
{
    return section_find("station");
}

static int fields_of(const struct section *section)
{
    int count = 0;
    for (const struct field *field = NULL; (field = section_field_after(section, field)) != NULL;) {
        count++;
    }
    return count;
}

static int rows_without_terrain(void)
{
    return fields_of(stations()) + RESULTS + fields_of(section_find("place")) + RECEIVER_ROWS;
}

int place_row_count(const struct scenario *scenario)
{
    bool terrain = false;
    for (int i = 0; i < scenario->station_count; i++) {
        terrain = terrain || scenario->stations[i].terrain.count > 0;
    }
    return rows_without_terrain() + (terrain ? TERRAIN_ROWS : 0);
}

/* NULL: no row of what follows. */
static const struct figure *figure_of(int row)
{
    int result = row - fields_of(stations()), terrain = row - rows_without_terrain();
    const char *name = result >= 0 && result < RESULTS ? results[result].name
                       : terrain >= 0                  ? of_terrain[terrain]
                                                       : NULL;
    return name ? figure_find(&place_figures, name) : NULL;
}

bool place_row_is_shared(int row)
{
    return row >= fields_of(stations()) + RESULTS && row < rows_without_terrain();
}

int place_row_of_margin(void)
{
    int row = fields_of(stations());
    while (strcmp(figure_of(row)->name, "margin_db") != 0) {
        row++;
    }
    return row;
}

static const struct field *field_of(int row)
{
    if (figure_of(row)) {
        return NULL;
    }
    if (!place_row_is_shared(row)) {
        return section_field_at(stations(), row);
    }
    int shared = row - fields_of(stations()) - RESULTS;
    const struct field *field = section_field_at(section_find("place"), shared);
    return field ? field
                 : field_find("receiver",
                              shared_of_receiver[shared - fields_of(section_find("place"))]);
}

bool place_row_value(int row, int station, struct value *value)
{
    const struct field *field = field_of(row);
    if (field) {
        *value = (struct value){section_find(field->section), field,
                                place_row_is_shared(row) ? 0 : station};
    }
    return field != NULL;
}

void place_row_label(int row, char *buffer, size_t size)
{
    const struct field *field = field_of(row);
    const struct figure *figure = figure_of(row);
    const char *label = field ? field_label(field) : figure_brief(figure);
    const char *unit = field ? field->unit : figure->unit;
    int result = row - fields_of(stations());
    const char *sign = !figure ? "" : result < RESULTS ? results[result].sign : "  ";
    text_format(buffer, size, "%s%s%s%s", sign, label, unit[0] ? ", " : "", unit);
}

void place_row_name(int row, char *buffer, size_t size)
{
    const struct field *field = field_of(row);
    const struct figure *figure = field ? NULL : figure_of(row);
    if (field) {
        field_name(field, buffer, size);
    } else {
        text_format(buffer, size, "place.%s", figure ? figure->name : "");
    }
}

void place_row_text(int row, const struct scenario *scenario, int station,
                    const struct place_station *known, char *buffer, size_t size)
{
    struct value value;
    if (!place_row_value(row, station, &value)) {
        text_format(buffer, size, "...");
        if (known) {
            figure_text(figure_of(row), known, buffer, size);
        }
        return;
    }
    const void *base =
        place_row_is_shared(row) ? scenario : section_item(value.section, scenario, station);
    double number = field_number(value.field, base);
    if (value.field->choice || isnan(number)) {
        field_format(value.field, base, buffer, size);
        if (buffer[0] == '\0') {
            text_format(buffer, size, "none");
        }
    } else { /* short enough for a column */
        text_format(buffer, size, "%.4g", number);
    }
}

/* On a channel that a station has, or beside it, a new one would disturb; another band is another
 * antenna. */
static int how_good(const struct scenario *scenario, int channel, int after)
{
    bool taken = false, beside = false;
    for (int i = 0; i < scenario->station_count - 1; i++) { /* the last one is the new one */
        int apart = abs(scenario->stations[i].rf_channel - channel);
        taken = taken || apart == 0;
        beside = beside || apart == 1;
    }
    bool band = rf_band(rf_center_mhz(pair_plan(scenario->site.pair), channel)) ==
                rf_band(rf_center_mhz(pair_plan(scenario->site.pair), after));
    return taken ? 0 : 1 + 2 * !beside + band;
}

/* The next of the best channels. */
static int free_channel(const struct scenario *scenario, int after)
{
    int channel = after, best = after, good = -1;
    for (int tried = RF_CHANNEL_MIN; tried <= RF_CHANNEL_MAX; tried++) {
        do {
            channel = channel == RF_CHANNEL_MAX ? RF_CHANNEL_MIN : channel + 1;
        } while (!rf_channel_exists(pair_plan(scenario->site.pair), channel));
        if (how_good(scenario, channel, after) > good) {
            good = how_good(scenario, channel, after);
            best = channel;
        }
    }
    return best;
}

#define FIRST_MARGIN_DB 10.0

/* A first station on the channel in use, with the least usual power that leaves a margin there. */
static void make_first(const struct scenario *scenario, struct station *station)
{
    static const double powers_kw[] = {1.0, 3.0, 10.0, 30.0, 100.0, 300.0, 1000.0};
    station->rf_channel = scenario->site.rf_channel > 0
                              ? scenario->site.rf_channel
                              : scenario_default_of(scenario->site.pair).site.rf_channel;
    station->height_m = 150.0;
    station->distance_km = 30.0;
    struct place_station *made = malloc(sizeof *made);
    for (size_t i = 0; i < sizeof powers_kw / sizeof powers_kw[0]; i++) {
        station->erp_kw = powers_kw[i];
        if (!made || (place_station_make(scenario, station, made, NULL) == STATUS_OK &&
                      made->verdict.margin_db >= FIRST_MARGIN_DB)) {
            break;
        }
    }
    free(made);
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
        make_first(scenario, added);
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
