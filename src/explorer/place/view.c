/* Stations at a place, side by side: settings of each, what follows, and why they differ. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "explorer/desk/same.h"
#include "explorer/desk/words.h"
#include "explorer/frame/screen.h"
#include "explorer/place/edit.h"
#include "present/picture/pictures_place.h"

enum place_picture { PICTURE_MARGIN, PICTURE_FIELD, PICTURE_MOTION, PLACE_PICTURES };

struct place_state {
    int selected; /* station */
    enum place_row row;
    enum place_picture picture;
    unsigned revision; /* of what follows */
    bool known;        /* else `fault` says why not */
    struct place_study study;
    struct scenario of; /* the scenario of the study */
    struct fault fault;
};

#define LABEL_COLUMNS 17
#define STATION_COLUMNS 12
#define PICTURE_ROWS 7 /* with the rule above it */

static void *open_place(struct explorer *explorer)
{
    struct place_state *state = calloc(1, sizeof *state);
    if (state) {
        state->row = PLACE_ROW_ERP;
        state->revision = explorer->revision - 1;
    }
    return state;
}

static void update_place(struct explorer *explorer, void *opaque)
{
    struct place_state *state = opaque;
    const struct scenario *scenario = &explorer->profile.scenario;
    if (state->selected >= scenario->station_count) {
        state->selected = scenario->station_count > 0 ? scenario->station_count - 1 : 0;
    }
    if (state->revision != explorer->revision) {
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
        state->revision = explorer->revision;
    }
}

/* ---- Where things stand: derived from the area alone, for drawing and for the mouse. ---- */

struct place_layout {
    struct rect table, rule, picture;
    int rows, first_row;         /* of the table below its head */
    int stations, first_station; /* shown */
};

static struct place_layout layout_of(const struct place_state *state, int count, struct rect area)
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
    layout.rows = layout.table.rows - 1;
    layout.first_row = screen_scroll(0, (int)state->row, PLACE_ROW_COUNT, layout.rows);
    int room = (area.columns - LABEL_COLUMNS) / STATION_COLUMNS;
    layout.stations = room < 1 ? 1 : room < count ? room : count;
    layout.first_station = screen_scroll(0, state->selected, count, layout.stations);
    return layout;
}

static enum role margin_role(const struct place_station *station)
{
    return station->margin_db >= 0.0 ? ROLE_GOOD : ROLE_BAD;
}

static void draw_table(const struct place_state *state, struct grid *grid,
                       const struct place_layout *layout)
{
    struct rect table = layout->table;
    for (int i = 0; i < layout->stations; i++) {
        int which = layout->first_station + i;
        const struct place_station *station = &state->study.stations[which];
        enum role own = station->station.generation == GENERATION_FIRST ? ROLE_FIRST : ROLE_SECOND;
        int column = table.column + LABEL_COLUMNS + i * STATION_COLUMNS;
        bool here = which == state->selected;
        screen_fit(grid, table.row, column + 1, STATION_COLUMNS - 1, here ? ROLE_SELECTED : own,
                   station->station.name);
        for (int r = 0; r < layout->rows && layout->first_row + r < PLACE_ROW_COUNT; r++) {
            enum place_row row = (enum place_row)(layout->first_row + r);
            char text[48];
            place_row_text(row, station, text, sizeof text);
            screen_right(grid, table.row + 1 + r, column + 1, STATION_COLUMNS - 1,
                         here && row == state->row   ? ROLE_SELECTED
                         : row == PLACE_ROW_MARGIN   ? margin_role(station)
                         : (int)row < PLACE_SETTINGS ? ROLE_TITLE
                                                     : own,
                         text);
        }
    }
    for (int r = 0; r < layout->rows && layout->first_row + r < PLACE_ROW_COUNT; r++) {
        enum place_row row = (enum place_row)(layout->first_row + r);
        grid_put(grid, table.row + 1 + r, table.column, row == state->row ? 0x25B8 : ' ',
                 ROLE_SELECTED);
        screen_fit(grid, table.row + 1 + r, table.column + 1, LABEL_COLUMNS - 1, ROLE_PLAIN,
                   place_row_label(row));
    }
    if (layout->stations < state->study.count) {
        grid_printf(grid, table.row, table.column + 1, LABEL_COLUMNS - 1, ROLE_DIM, "%d-%d of %d",
                    layout->first_station + 1, layout->first_station + layout->stations,
                    state->study.count);
    }
}

/* ---- Pictures. ---- */

static bool make_picture(const struct explorer *explorer, const struct place_state *state,
                         struct picture *out)
{
    const struct scenario *scenario = &explorer->profile.scenario;
    *out = (struct picture){0};
    if (!state->known || !explorer->report_known) {
        return false;
    }
    if (state->picture == PICTURE_MARGIN) {
        return picture_place_margin(scenario, &state->study, out);
    }
    if (state->picture == PICTURE_FIELD) {
        return picture_place_field(scenario, &state->study, out);
    }
    /* Reflectors on the channel of the selected station. */
    struct report report = explorer->report;
    report.rf.center_mhz = state->study.stations[state->selected].center_mhz;
    struct picture_case shown = {.scenario = scenario, .report = &report};
    return picture_kind_make(picture_kind_find("motion"), &shown, out);
}

static void draw_place(const struct explorer *explorer, const void *opaque, struct grid *grid,
                       struct rect area)
{
    static const char *const names[PLACE_PICTURES] = {"margin by distance", "field by distance",
                                                      "Doppler of reflectors"};
    const struct place_state *state = opaque;
    if (!state->known) {
        struct rect inner = {area.row + 1, area.column + 1, area.rows - 1, area.columns - 2};
        screen_text(grid, inner, ROLE_PLAIN,
                    explorer->profile.scenario.station_count == 0
                        ? "No stations: a adds one. Two to eight stand side by side."
                        : state->fault.wrong,
                    0);
        return;
    }
    struct place_layout layout = layout_of(state, state->study.count, area);
    draw_table(state, grid, &layout);
    if (layout.rule.rows > 0) {
        char words[64];
        text_format(words, sizeof words, "%s  %d of %d", names[state->picture],
                    (int)state->picture + 1, (int)PLACE_PICTURES);
        screen_rule(grid, layout.rule, words);
    }
    struct picture picture;
    if (layout.picture.rows > 3 && make_picture(explorer, state, &picture)) {
        picture_draw_grid(&picture, grid, layout.picture);
        picture_free(&picture);
    }
}

static bool picture_place(const struct explorer *explorer, const void *opaque, struct picture *out)
{
    return make_picture(explorer, opaque, out);
}

/* ---- Words. ---- */

static void words_place(const struct explorer *explorer, const void *opaque, struct text *out)
{
    (void)explorer;
    const struct place_state *state = opaque;
    if (!state->known) {
        text_printf(out, "%s (%s)", state->fault.wrong, state->fault.allowed);
    } else if (state->selected > 0) {
        place_words_difference(&state->study.stations[0], &state->study.stations[state->selected],
                               out);
    } else {
        place_words_station(&state->study.stations[0], out);
    }
}

static void explain_place(const struct explorer *explorer, const void *opaque, struct text *out)
{
    const struct place_state *state = opaque;
    const struct scenario *scenario = &explorer->profile.scenario;
    if (!state->known) {
        words_place(explorer, opaque, out);
        return;
    }
    const struct place_station *station = &state->study.stations[state->selected];
    place_words_station(station, out);
    if (state->selected > 0) {
        text_append(out, "\n\n");
        place_words_difference(&state->study.stations[0], station, out);
    }
    text_append(out, "\n\n");
    place_words_motion(station, out);
    struct place_station bands[BAND_COUNT];
    if (place_bands_make(scenario, &station->station, bands, NULL) == STATUS_OK) {
        text_append(out, "\n\nThis antenna, were the station on");
        for (int band = 0; band < BAND_COUNT; band++) {
            char margin[32];
            place_row_text(PLACE_ROW_MARGIN, &bands[band], margin, sizeof margin);
            text_printf(out, "%s channel %d (%s): C/N %.1f dB, margin %s dB", band ? ";" : "",
                        place_band_channels[band], band_name(bands[band].band), bands[band].cn_db,
                        margin);
        }
        text_append(out, ".");
    }
    text_printf(out,
                "\n\nMedians over even ground for %g %% of the locations, no terrain, no houses: "
                "expect errors of 10 dB and more. A planning aid, not a measurement.\n\n%s\n",
                scenario->place.location_percent, place_words_caution());
    if (place_row_name(state->row)) {
        text_append(out, "\n");
        words_long(explorer, place_row_name(state->row), out);
    }
}

/* ---- Changes. ---- */

static void step(struct explorer *explorer, struct place_state *state, int direction)
{
    if (explorer->profile.scenario.station_count == 0 || (int)state->row >= PLACE_SETTINGS) {
        explorer_say(explorer, ROLE_DIM, "This follows from the settings above it.");
        return;
    }
    struct scenario next = explorer->profile.scenario;
    place_edit_step(&next.stations[state->selected], state->row, direction);
    explorer_change(explorer, &next);
}

static void add(struct explorer *explorer, struct place_state *state)
{
    struct scenario next = explorer->profile.scenario;
    if (!place_edit_add(&next, state->selected)) {
        explorer_say(explorer, ROLE_WARN, "There is no room for more than %d stations.",
                     STATIONS_MAX);
    } else if (explorer_change(explorer, &next)) {
        state->selected = next.station_count - 1;
    }
}

static void remove_selected(struct explorer *explorer, struct place_state *state)
{
    struct scenario next = explorer->profile.scenario;
    if (next.station_count > 0) {
        place_edit_remove(&next, state->selected);
        explorer_change(explorer, &next);
    }
}

static struct effect take_typed(struct explorer *explorer, const char *text)
{
    const struct place_state *state = explorer->view_state[explorer->view];
    struct scenario next = explorer->profile.scenario;
    struct fault fault = {0};
    char key[NAME_MAX_BYTES + 32];
    text_format(key, sizeof key, "station %s.%s", next.stations[state->selected].name,
                place_row_key(state->row));
    if (profile_set(&next, key, text, &fault) == STATUS_OK) {
        explorer_change(explorer, &next);
    } else {
        explorer_say_fault(explorer, &fault);
    }
    return effect_none();
}

static void ask(struct explorer *explorer, const struct place_state *state)
{
    if (explorer->profile.scenario.station_count > 0 && (int)state->row < PLACE_SETTINGS) {
        explorer_ask(explorer, place_row_label(state->row), "", take_typed);
    }
}

static void turn_picture(struct place_state *state, int by)
{
    state->picture =
        (enum place_picture)(((int)state->picture + by + PLACE_PICTURES) % PLACE_PICTURES);
}

static void turn_station(const struct explorer *explorer, struct place_state *state, int by)
{
    int count = explorer->profile.scenario.station_count;
    state->selected = count > 0 ? (state->selected + by + count) % count : 0;
}

static enum handled press(struct explorer *explorer, struct place_state *state, uint32_t pressed)
{
    switch (pressed) {
    case PRESS_UP:
    case PRESS_DOWN: {
        int to = (int)state->row + (pressed == PRESS_DOWN ? 1 : -1);
        state->row = (enum place_row)(to < 0                  ? 0
                                      : to >= PLACE_ROW_COUNT ? PLACE_ROW_COUNT - 1
                                                              : to);
        return HANDLED;
    }
    case PRESS_LEFT:
    case PRESS_RIGHT:
        step(explorer, state, pressed == PRESS_RIGHT ? 1 : -1);
        return HANDLED;
    case PRESS_TAB:
    case PRESS_BACK_TAB:
        turn_station(explorer, state, pressed == PRESS_TAB ? 1 : -1);
        return HANDLED;
    case 'a':
        add(explorer, state);
        return HANDLED;
    case PRESS_DELETE:
    case 'd':
        remove_selected(explorer, state);
        return HANDLED;
    case 'n':
    case 'N':
        turn_picture(state, pressed == 'n' ? 1 : -1);
        return HANDLED;
    case PRESS_ENTER:
        ask(explorer, state);
        return HANDLED;
    default:
        return NOT_HANDLED;
    }
}

static enum handled mouse(struct explorer *explorer, struct place_state *state,
                          const struct event *event, struct rect area)
{
    if (!state->known) {
        return NOT_HANDLED;
    }
    struct place_layout layout = layout_of(state, state->study.count, area);
    if (rect_holds(layout.rule, event->row, event->column) ||
        rect_holds(layout.picture, event->row, event->column)) {
        turn_picture(state, event->mouse == MOUSE_WHEEL_UP ? -1 : 1);
        return HANDLED;
    }
    if (!rect_holds(layout.table, event->row, event->column)) {
        return NOT_HANDLED;
    }
    int row = event->row - layout.table.row - 1 + layout.first_row;
    int column = event->column - layout.table.column - LABEL_COLUMNS;
    int station = layout.first_station + column / STATION_COLUMNS;
    if (column >= 0 && station < layout.first_station + layout.stations) {
        state->selected = station;
    }
    if (row >= layout.first_row && row < PLACE_ROW_COUNT) {
        state->row = (enum place_row)row;
    }
    if (event->mouse != MOUSE_CLICK) {
        step(explorer, state, event->mouse == MOUSE_WHEEL_UP ? 1 : -1);
    }
    return HANDLED;
}

static enum handled handle_place(struct explorer *explorer, void *opaque, const struct event *event,
                                 struct rect area, struct effect *effect)
{
    (void)effect;
    if (event->kind == EVENT_MOUSE) {
        return mouse(explorer, opaque, event, area);
    }
    return event->kind == EVENT_KEY ? press(explorer, opaque, event->key) : NOT_HANDLED;
}

static bool show_place(void *opaque, const char *picture)
{
    static const char *const names[PLACE_PICTURES] = {
        [PICTURE_MARGIN] = "reach", [PICTURE_FIELD] = "field", [PICTURE_MOTION] = "motion"};
    struct place_state *state = opaque;
    for (int i = 0; i < PLACE_PICTURES; i++) {
        if (strcmp(names[i], picture) == 0) {
            state->picture = (enum place_picture)i;
            return true;
        }
    }
    return false;
}

static const struct key_hint hints[] = {
    {"←→", "change", "change the selected setting by a step", 0},
    {"Tab", "station", "the next station", PRESS_TAB},
    {"↑↓", "row", "select a setting or a figure", 0},
    {"a", "add", "add a station like the selected one", 'a'},
    {"d", "remove", "remove the selected station", 'd'},
    {"n", "picture", "the next picture; N: the one before", 'n'},
    {"Enter", NULL, "type the value", PRESS_ENTER},
    {"mouse", NULL, "a click selects, the wheel changes", 0},
    {NULL, NULL, NULL, 0},
};

const struct view view_place = {
    .name = "place",
    .title = "Stations at a place, side by side",
    .key = 'l',
    .about = "Each column is a station: what it sends, and below it the field strength, level, "
             "noise and margin at the place, and the reach at which the margin is gone. Words say "
             "what a station differs in from the first one. No terrain and no houses are known. "
             "Caution: work on antennas and masts can kill. Keep far from power lines, stay down "
             "in storms, never climb alone or untrained, keep clear of antennas that radiate. "
             "Power and antennas are licensed: local rules and a licensed engineer decide.",
    .hints = hints,
    .open = open_place,
    .close = free,
    .update = update_place,
    .draw = draw_place,
    .handle = handle_place,
    .words = words_place,
    .explain = explain_place,
    .picture = picture_place,
    .show = show_place,
};
