/* Stations at a place, side by side: settings of each, what follows, and why they differ. */
#include <stdlib.h>
#include <string.h>

#include "explorer/desk/value/edit.h"
#include "explorer/frame/view.h"
#include "explorer/place/draw.h"
#include "profile/terrain.h"
#include "scenario/section.h"
#include "study/explain/explain.h"

static void open_place(const struct desk *desk, void *opaque)
{
    (void)desk;
    struct place_state *state = opaque;
    static const char *const pictures[] = {"reach",         "field",         "plan",  "network",
                                           "reach-methods", "field-methods", "motion"};
    gallery_add(&state->gallery, pictures, sizeof pictures / sizeof pictures[0]);
    state->rows.at = PLACE_ROW_ERP;
    place_open(state);
}

static void close_place(void *opaque)
{
    struct place_state *state = opaque;
    errand_free(&state->errand);
}

/* ---- Changes. ---- */

/* The selected setting; false: there is none. */
static bool selected(const struct desk *desk, const struct place_state *state, struct value *value)
{
    return desk->profile.scenario.station_count > 0 &&
           place_row_value(state->rows.at, state->stations.at, value);
}

static void step(struct desk *desk, const struct place_state *state, int direction)
{
    struct value value;
    if (selected(desk, state, &value)) {
        edit_step(desk, &value, direction);
    } else {
        desk_say(desk, TONE_QUIET, "This follows from the settings above and below it.");
    }
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
    struct value value;
    if (selected(call->desk, call->owner, &value)) {
        edit_set(call->desk, &value, call->text);
    }
}

/* A file's name: the file is read before anything follows from it. */
static void take_file(const struct call *call)
{
    struct value value;
    struct fault fault = {0};
    struct scenario *next = malloc(sizeof *next);
    if (next && selected(call->desk, call->owner, &value)) {
        if (value_set(&value, &call->desk->profile.scenario, call->text, next, &fault) ==
                STATUS_OK &&
            terrain_fetch(next, call->desk->path, &fault) == STATUS_OK) {
            desk_change(call->desk, next);
        } else {
            desk_say_fault(call->desk, &fault);
        }
    }
    free(next);
}

static void type_value(const struct call *call)
{
    struct value value;
    if (!selected(call->desk, call->owner, &value)) {
        return;
    }
    if (value_kind(&value) == VALUE_CHOSEN) {
        desk_say(call->desk, TONE_QUIET, "Choose with the left and right arrows.");
        return;
    }
    char label[48], allowed[384], now[FIELD_TEXT_BYTES];
    value_label(&value, label, sizeof label);
    value_allowed(&value, allowed, sizeof allowed);
    value_typed(&value, &call->desk->profile.scenario, now, sizeof now);
    if (value.field->type == FIELD_PATH) {
        desk_ask_outside(call->desk, label, now, take_file, call->owner);
    } else {
        desk_ask(call->desk, label, "", take_typed, call->owner);
    }
    desk_say(call->desk, TONE_PLAIN, "Type %s, then Enter; Escape leaves it as it was.", allowed);
}

static void forget_value(const struct call *call)
{
    struct value value;
    if (selected(call->desk, call->owner, &value)) {
        edit_forget(call->desk, &value);
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
    {"Backspace", NULL, "nothing is said any more of the selected setting", "Backspace",
     forget_value},
    {"mouse", NULL, "a click selects, the wheel changes", "", NULL},
    {0},
};

static void mouse(struct desk *desk, void *opaque, const struct event *event, struct rect area)
{
    struct place_state *state = opaque;
    struct place_layout layout = place_layout(&desk->profile.scenario, area);
    int wheel = event_wheel(event);
    if (rect_holds(layout.rule, event->row, event->column) ||
        rect_holds(layout.picture, event->row, event->column)) {
        gallery_turn(&state->gallery, wheel < 0 ? -1 : 1);
    } else if (rect_holds(layout.table, event->row, event->column)) {
        int column = event->column - layout.table.column - PLACE_LABEL_COLUMNS;
        place_click_row(state, &layout, event->row - layout.table.row);
        if (column >= 0) {
            cursor_click(&state->stations, column / state->station_columns);
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

/* A station ("station Ridge"), or a row. */
static bool select_place(const struct desk *desk, void *opaque, const char *name)
{
    struct place_state *state = opaque;
    const char *item_name;
    const struct section *section = section_of(name, desk->profile.scenario.site.pair, &item_name);
    int item = section ? section_item_find(section, &desk->profile.scenario, item_name) : -1;
    if (item >= 0) {
        state->stations.at = item;
        return true;
    }
    char here[FIELD_TEXT_BYTES];
    for (int row = 0; row < place_row_count(&desk->profile.scenario); row++) {
        place_row_name(row, here, sizeof here);
        if (strcmp(here, name) == 0) {
            state->rows.at = row;
            return true;
        }
    }
    return false;
}

static void names_place(const struct desk *desk, struct offer *out)
{
    for (int row = 0; row < place_row_count(&desk->profile.scenario); row++) {
        char key[FIELD_TEXT_BYTES], label[64], name[FIELD_TEXT_BYTES + 64];
        place_row_name(row, key, sizeof key);
        place_row_label(row, label, sizeof label);
        text_format(name, sizeof name, "Place: %s, %s", label, key);
        const struct explanation *entry = explain_find_in(desk->profile.scenario.site.pair, key);
        offer_add(out, name, entry ? entry->sentence : "", key);
    }
}

static bool show_place(void *opaque, const char *picture)
{
    struct place_state *state = opaque;
    return gallery_show(&state->gallery, picture);
}

/* The stations' channels: the site's is none of theirs. */
static void header_place(const struct desk *desk, char *buffer, size_t size)
{
    const struct scenario *scenario = &desk->profile.scenario;
    size_t used = text_format(buffer, size, "RF");
    for (int i = 0; i < scenario->station_count; i++) {
        used += text_format(buffer + used, size - used, "%s %d", i > 0 ? "," : "",
                            scenario->stations[i].rf_channel);
    }
    text_format(buffer + used, size - used, " ");
    if (scenario->station_count == 0) {
        buffer[0] = '\0';
    }
}

const struct view view_place = {
    .name = "place",
    .title = "Stations at a place, as predicted",
    .key = 'l',
    .about = "Each column is a station: what it sends, and below it the field strength, level, "
             "noise and margin at the place in lines that add up (each is rounded by itself, so "
             "0.1 dB may be off), the reach at which the margin is "
             "gone, and the settings of place and receiver, which all share. Words say what a "
             "station differs in from the first one. Houses are not known, terrain where a station "
             "has a file of it. "
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
    .select = select_place,
    .header = header_place,
    .names = names_place,
    .sections = "station",
};
