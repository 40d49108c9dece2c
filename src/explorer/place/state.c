#include "explorer/place/state.h"

#include "explorer/desk/same.h"
#include "present/picture/pictures_place.h"

#define PICTURE_ROWS 6 /* with the rule above it */

struct place_layout place_layout(struct rect area)
{
    struct place_layout layout = {.table = area};
    int most = PLACE_ROW_COUNT + 1;
    layout.table.rows = area.rows - PICTURE_ROWS < most ? area.rows - PICTURE_ROWS : most;
    if (layout.table.rows < 6) { /* no room for a picture */
        layout.table.rows = area.rows < most ? area.rows : most;
    }
    int left = area.rows - layout.table.rows;
    layout.rule = (struct rect){area.row + layout.table.rows, area.column, left > 0, area.columns};
    layout.picture =
        (struct rect){layout.rule.row + 1, area.column, left > 0 ? left - 1 : 0, area.columns};
    return layout;
}

/* Where only stations have changed, those that have not are kept. */
static void study_again(struct place_state *state, const struct scenario *scenario)
{
    struct place_study before = state->study;
    state->fault = (struct fault){0};
    state->of.station_count = scenario->station_count;
    for (int i = 0; i < STATIONS_MAX; i++) {
        state->of.stations[i] = scenario->stations[i];
    }
    bool only_stations = state->known && scenarios_are_same(scenario, &state->of);
    enum status status =
        only_stations ? place_study_make_again(scenario, &before, &state->study, &state->fault)
                      : place_study_make(scenario, &state->study, &state->fault);
    state->known = status == STATUS_OK;
    state->of = *scenario;
}

static void make_picture(const struct desk *desk, struct place_state *state)
{
    const struct scenario *scenario = &desk->profile.scenario;
    if (state->gallery.at == PICTURE_MARGIN) {
        picture_place_margin(scenario, &state->study, &state->picture);
    } else if (state->gallery.at == PICTURE_FIELD) {
        picture_place_field(scenario, &state->study, &state->picture);
    } else { /* reflectors on the channel of the selected station */
        struct report report = desk->report;
        report.rf.center_mhz = state->study.stations[state->stations.at].link.center_mhz;
        struct picture_case shown = {.scenario = scenario, .report = &report};
        picture_kind_make(picture_kind_find("motion"), &shown, &state->picture);
    }
}

static void keep_picture(const struct desk *desk, struct place_state *state)
{
    if (state->made && state->made_of == state->gallery.at &&
        state->made_for == state->stations.at) {
        return;
    }
    picture_free(&state->picture);
    if (state->known && desk->report_known) {
        make_picture(desk, state);
    }
    state->made = true;
    state->made_of = state->gallery.at;
    state->made_for = state->stations.at;
}

void place_update(struct desk *desk, void *opaque, struct rect area)
{
    struct place_state *state = opaque;
    const struct scenario *scenario = &desk->profile.scenario;
    struct place_layout layout = place_layout(area);
    int room = (area.columns - PLACE_LABEL_COLUMNS) / PLACE_STATION_COLUMNS;
    cursor_fit(&state->rows, PLACE_ROW_COUNT, layout.table.rows - 1);
    cursor_fit(&state->stations, scenario->station_count, room);
    if (state->revision != desk->revision) {
        study_again(state, scenario);
        state->made = false;
        state->revision = desk->revision;
    }
    keep_picture(desk, state);
}
