/* Stations at a place, side by side: settings of each, what follows, and why they differ. */

#include "explorer/frame/view.h"
#include "explorer/place/draw.h"
#include "profile/terrain.h"

static void open_place(const struct desk *desk, void *opaque)
{
    (void)desk;
    struct place_state *state = opaque;
    static const char *const pictures[] = {"reach", "field", "motion"};
    gallery_add(&state->gallery, pictures, 3);
    state->rows.at = PLACE_ROW_ERP;
    place_open(state);
}

static void close_place(void *opaque)
{
    struct place_state *state = opaque;
    errand_free(&state->errand);
}

/* ---- Changes. ---- */

static bool is_setting(const struct desk *desk, const struct place_state *state)
{
    return desk->profile.scenario.station_count > 0 && state->rows.at < PLACE_SETTINGS;
}

static void step(struct desk *desk, const struct place_state *state, int direction)
{
    if (!is_setting(desk, state)) {
        desk_say(desk, TONE_QUIET, "This follows from the settings above it.");
        return;
    }
    struct scenario next = desk->profile.scenario;
    place_edit_step(&next, state->stations.at, state->rows.at, direction);
    desk_change(desk, &next);
}

static void change(const struct call *call)
{
    step(call->desk, call->owner, call->key == PRESS_RIGHT ? 1 : -1);
}

static void add(const struct call *call)
{
    struct place_state *state = call->owner;
    struct scenario next = call->desk->profile.scenario;
    if (!place_edit_add(&next, state->stations.at)) {
        desk_say(call->desk, TONE_WARN, "There is no room for more than %d stations.",
                 STATIONS_MAX);
    } else if (desk_change(call->desk, &next)) {
        state->stations.at = next.station_count - 1;
    }
}

static void take_away(const struct call *call)
{
    const struct place_state *state = call->owner;
    struct scenario next = call->desk->profile.scenario;
    if (next.station_count > 0) {
        place_edit_remove(&next, state->stations.at);
        desk_change(call->desk, &next);
    }
}

static void take_typed(const struct call *call)
{
    const struct place_state *state = call->owner;
    struct scenario next = call->desk->profile.scenario;
    struct fault fault = {0};
    char key[NAME_MAX_BYTES + 32];
    text_format(key, sizeof key, "station %s.%s", next.stations[state->stations.at].name,
                place_row_field(state->rows.at)->name);
    if (scenario_set(&next, key, call->text, &fault) == STATUS_OK &&
        terrain_fetch(&next, call->desk->path, &fault) == STATUS_OK) {
        desk_change(call->desk, &next);
    } else {
        desk_say_fault(call->desk, &fault);
    }
}

static void type_value(const struct call *call)
{
    struct place_state *state = call->owner;
    if (is_setting(call->desk, state)) {
        char label[48];
        place_row_label(state->rows.at, label, sizeof label);
        bool is_file = place_row_field(state->rows.at)->type == FIELD_PATH;
        (is_file ? desk_ask_outside : desk_ask)(call->desk, label, "", take_typed, state);
    }
}

/* ---- What is selected and shown. ---- */

static void turn_station(const struct call *call)
{
    struct place_state *state = call->owner;
    int count = call->desk->profile.scenario.station_count,
        by = call->key == PRESS_TAB ? 1 : count - 1;
    state->stations.at = count > 0 ? (state->stations.at + by) % count : 0;
}

static void select_row(const struct call *call)
{
    struct place_state *state = call->owner;
    cursor_key(&state->rows, call->key);
}

static void turn_picture(const struct call *call)
{
    struct place_state *state = call->owner;
    gallery_turn(&state->gallery, call->key == 'n' ? 1 : -1);
}

static const struct key keys[] = {
    {"←→", "change", "change the selected setting by a step", "Right Left", change},
    {"Tab", "station", "the next station", "Tab BackTab", turn_station},
    {"↑↓", "row", "select a setting or a figure", KEYS_OF_A_LIST, select_row},
    {"a", "add", "add a station like the selected one", "a", add},
    {"d", "remove", "remove the selected station", "d Delete", take_away},
    {"n", "picture", "the next picture; N: the one before", "nN", turn_picture},
    {"Enter", NULL, "type the value", "Enter", type_value},
    {"mouse", NULL, "a click selects, the wheel changes", "", NULL},
    {0},
};

static void mouse(struct desk *desk, void *opaque, const struct event *event, struct rect area)
{
    struct place_state *state = opaque;
    struct place_layout layout = place_layout(area);
    int wheel = event_wheel(event);
    if (rect_holds(layout.rule, event->row, event->column) ||
        rect_holds(layout.picture, event->row, event->column)) {
        gallery_turn(&state->gallery, wheel < 0 ? -1 : 1);
    } else if (rect_holds(layout.table, event->row, event->column)) {
        int column = event->column - layout.table.column - PLACE_LABEL_COLUMNS;
        cursor_click(&state->rows, event->row - layout.table.row - 1);
        if (column >= 0) {
            cursor_click(&state->stations, column / PLACE_STATION_COLUMNS);
        }
        if (wheel != 0) {
            step(desk, state, -wheel);
        }
    }
}

/* ---- For lessons and export. ---- */

static bool busy_place(const void *opaque)
{
    const struct place_state *state = opaque;
    return state->errand.pending;
}

static bool picture_place(const struct desk *desk, const void *opaque, struct picture *out)
{
    (void)desk;
    const struct place_answer *answer = place_answer(opaque);
    return answer && answer->drawn.series_count > 0 && picture_copy(&answer->drawn, out);
}

static bool show_place(void *opaque, const char *picture)
{
    struct place_state *state = opaque;
    return gallery_show(&state->gallery, picture);
}

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
    .keys = keys,
    .state_size = sizeof(struct place_state),
    .open = open_place,
    .close = close_place,
    .update = place_update,
    .draw = place_draw,
    .mouse = mouse,
    .busy = busy_place,
    .words = place_words,
    .explain = place_explain,
    .picture = picture_place,
    .show = show_place,
};
