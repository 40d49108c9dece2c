/* The main view: settings at the left, what follows from them at the right, a picture below. */
#include <stdlib.h>
#include <string.h>

#include "explorer/desk/quantities.h"
#include "explorer/desk/settings.h"
#include "explorer/frame/screen.h"
#include "explorer/main/pictures.h"
#include "explorer/main/state.h"
#include "present/picture/pictures.h"

/* ---- Opening, closing, updating. ---- */

static void *open_main(struct explorer *explorer)
{
    (void)explorer;
    return calloc(1, sizeof(struct main_state));
}

static void forget_pictures(struct main_state *state)
{
    for (int i = 0; i < MAIN_PICTURES_MAX; i++) {
        picture_free(&state->pictures[i]);
        state->pictures_made[i] = false;
    }
}

static void close_main(void *opaque)
{
    struct main_state *state = opaque;
    forget_pictures(state);
    free(state);
}

static void make_picture(struct explorer *explorer, struct main_state *state, int which)
{
    if (!state->pictures_made[which]) {
        state->pictures_made[which] = true;
        main_picture_make(which, explorer, &state->pictures[which]);
    }
}

static void update_main(struct explorer *explorer, void *opaque)
{
    struct main_state *state = opaque;
    struct layout screen = explorer_layout(explorer);
    struct main_layout layout = layout_main(screen.body);
    for (int focus = 0; focus < 2; focus++) {
        int height = main_panel(&layout, (enum focus)focus).rows - 1;
        state->first[focus] = screen_scroll(state->first[focus], state->selected[focus],
                                            main_row_count((enum focus)focus), height);
    }
    if (state->revision != explorer->revision) {
        forget_pictures(state);
        state->revision = explorer->revision;
    }
    if (layout.picture.rows > 0) {
        make_picture(explorer, state, state->picture);
    }
    if (layout.second_picture.columns > 0) {
        make_picture(explorer, state, main_second_picture(state->picture));
    }
}

/* ---- Keys. ---- */

static void take_change(struct explorer *explorer, int setting, const struct scenario *next)
{
    char moved[192];
    setting_moved(setting, &explorer->profile.scenario, next, moved, sizeof moved);
    if (explorer_change(explorer, next) && moved[0]) {
        explorer_say(explorer, ROLE_WARN, "Also moved: %s (to stay legal).", moved);
    }
}

static void step_setting(struct explorer *explorer, struct main_state *state, int direction)
{
    struct scenario next;
    int setting = state->selected[FOCUS_SETTINGS];
    if (setting_step(setting, &explorer->profile.scenario, direction, &next)) {
        take_change(explorer, setting, &next);
    } else {
        explorer_say(explorer, ROLE_DIM, "%s: this is the %s legal value.",
                     setting_row(setting)->label, direction > 0 ? "last" : "first");
    }
}

static void begin_edit(struct explorer *explorer, struct main_state *state, const char *text)
{
    int setting = state->selected[FOCUS_SETTINGS];
    if (!setting_is_number(setting)) {
        explorer_say(explorer, ROLE_DIM, "Choose with the left and right arrows.");
        return;
    }
    char allowed[128];
    key_allowed(setting_key(setting), allowed, sizeof allowed);
    field_set(&state->field, text);
    state->editing = true;
    explorer_say(explorer, ROLE_PLAIN, "Type %s, then Enter; Escape leaves it as it was.", allowed);
}

static void set_value(struct explorer *explorer, int setting, const char *text)
{
    struct scenario next;
    struct fault fault;
    if (setting_set(setting, &explorer->profile.scenario, text, &next, &fault) == STATUS_OK) {
        take_change(explorer, setting, &next);
    } else {
        explorer_say_fault(explorer, &fault);
    }
}

static enum handled edit_key(struct explorer *explorer, struct main_state *state, uint32_t key)
{
    switch (key) {
    case PRESS_ESCAPE:
        state->editing = false;
        explorer_say(explorer, ROLE_DIM, "Left as it was.");
        return HANDLED;
    case PRESS_ENTER:
    case PRESS_TAB:
    case PRESS_UP:
    case PRESS_DOWN:
        state->editing = false;
        explorer->message[0] = '\0';
        set_value(explorer, state->selected[FOCUS_SETTINGS], state->field.text);
        return HANDLED;
    default:
        field_key(&state->field, key);
        return HANDLED;
    }
}

static void move(struct main_state *state, int by)
{
    int selected = state->selected[state->focus] + by, last = main_row_count(state->focus) - 1;
    state->selected[state->focus] = selected < 0 ? 0 : selected > last ? last : selected;
}

static enum handled setting_key_press(struct explorer *explorer, struct main_state *state,
                                      uint32_t key)
{
    int setting = state->selected[FOCUS_SETTINGS];
    const struct key_row *row = setting_key(setting);
    char text[64];
    if ((key >= '0' && key <= '9') || key == '.' || (key == '-' && row->low < 0.0)) {
        text_format(text, sizeof text, "%c", (int)key);
        begin_edit(explorer, state, text);
        return HANDLED;
    }
    switch (key) {
    case PRESS_LEFT:
    case '-':
        step_setting(explorer, state, -1);
        return HANDLED;
    case PRESS_RIGHT:
    case '+':
    case '=':
        step_setting(explorer, state, 1);
        return HANDLED;
    case PRESS_ENTER:
        key_format(row, &explorer->profile.scenario, text, sizeof text);
        begin_edit(explorer, state, strcmp(text, "none") == 0 ? "" : text);
        return HANDLED;
    case PRESS_DELETE:
    case PRESS_BACKSPACE:
        if (row->type == KEY_OPTIONAL_DOUBLE) {
            set_value(explorer, setting, "none");
        }
        return HANDLED;
    default:
        return NOT_HANDLED;
    }
}

static void next_picture(struct main_state *state, int by)
{
    int count = main_picture_count();
    state->picture = (state->picture + by + count) % count;
}

static void pin_or_unpin(struct explorer *explorer)
{
    if (explorer->pinned) {
        explorer_unpin(explorer);
        explorer->revision++;
        explorer_say(explorer, ROLE_DIM, "Nothing is pinned any more.");
    } else {
        explorer_pin(explorer);
        explorer_say(explorer, ROLE_GOOD,
                     "Pinned: change settings and compare. p takes the pin off.");
    }
}

static enum handled main_key(struct explorer *explorer, struct main_state *state, uint32_t key)
{
    struct main_layout layout = layout_main(explorer_layout(explorer).body);
    int page = main_panel(&layout, state->focus).rows - 2;
    if (state->editing) {
        return edit_key(explorer, state, key);
    }
    if (state->focus == FOCUS_SETTINGS && setting_key_press(explorer, state, key) == HANDLED) {
        return HANDLED;
    }
    switch (key) {
    case PRESS_UP:
        move(state, -1);
        return HANDLED;
    case PRESS_DOWN:
        move(state, 1);
        return HANDLED;
    case PRESS_PAGE_UP:
        move(state, -page);
        return HANDLED;
    case PRESS_PAGE_DOWN:
        move(state, page);
        return HANDLED;
    case PRESS_HOME:
        move(state, -LINES_MAX);
        return HANDLED;
    case PRESS_END:
        move(state, LINES_MAX);
        return HANDLED;
    case PRESS_TAB:
    case PRESS_BACK_TAB:
        state->focus = state->focus == FOCUS_SETTINGS ? FOCUS_QUANTITIES : FOCUS_SETTINGS;
        return HANDLED;
    case 'p':
        pin_or_unpin(explorer);
        return HANDLED;
    case 'n':
        next_picture(state, 1);
        return HANDLED;
    case 'N':
        next_picture(state, -1);
        return HANDLED;
    default:
        return NOT_HANDLED;
    }
}

/* ---- For lessons. ---- */

static bool show_main(void *opaque, const char *picture)
{
    struct main_state *state = opaque;
    for (int i = 0; i < main_picture_count(); i++) {
        if (strcmp(picture_kind_row((size_t)i)->name, picture) == 0) {
            state->picture = i;
            return true;
        }
    }
    return false;
}

void main_select(struct explorer *explorer, const char *name)
{
    struct main_state *state = explorer->view_state[0];
    char row[64];
    for (int i = 0; i < setting_count(); i++) {
        setting_name(i, row, sizeof row);
        if (strcmp(row, name) == 0) {
            state->focus = FOCUS_SETTINGS;
            state->selected[FOCUS_SETTINGS] = i;
        }
    }
    for (int i = 0; i < quantity_count(); i++) {
        const struct quantity *q = quantity_row(i);
        text_format(row, sizeof row, "%s.%s", q->second ? "second" : "first",
                    q->second ? q->second : q->first);
        if (strcmp(row, name) == 0) {
            state->focus = FOCUS_QUANTITIES;
            state->selected[FOCUS_QUANTITIES] = i;
        }
    }
}

/* ---- The mouse. ---- */

static void click_track(struct explorer *explorer, struct main_state *state, struct rect panel,
                        int column)
{
    int setting = state->selected[FOCUS_SETTINGS], at = column - main_track(panel).column;
    int width = main_track_width(panel);
    struct scenario next;
    if (at < 0 || at >= width) {
        return;
    }
    bool changed = setting_is_number(setting)
                       ? setting_set_share(setting, &explorer->profile.scenario,
                                           (double)at / (width - 1), &next)
                       : setting_set_choice(setting, &explorer->profile.scenario, at, &next);
    if (changed) {
        take_change(explorer, setting, &next);
    }
}

static enum handled main_mouse(struct explorer *explorer, struct main_state *state,
                               const struct event *event, struct rect area)
{
    struct main_layout layout = layout_main(area);
    state->editing = false;
    if (rect_holds(layout.rule, event->row, event->column) ||
        rect_holds(layout.picture, event->row, event->column) ||
        rect_holds(layout.second_picture, event->row, event->column)) {
        next_picture(state, event->mouse == MOUSE_WHEEL_UP ? -1 : 1);
        return HANDLED;
    }
    enum focus focus = layout.one_panel                                           ? state->focus
                       : rect_holds(layout.quantities, event->row, event->column) ? FOCUS_QUANTITIES
                                                                                  : FOCUS_SETTINGS;
    struct rect panel = main_panel(&layout, focus);
    struct line lines[LINES_MAX];
    int count = main_lines(focus, panel.rows - 1, state->first[focus], lines);
    int i = event->row - panel.row - 1;
    if (!rect_holds(panel, event->row, event->column) || i < 0 || i >= count || lines[i].row < 0) {
        return NOT_HANDLED;
    }
    state->focus = focus;
    state->selected[focus] = lines[i].row;
    if (focus == FOCUS_SETTINGS && event->mouse == MOUSE_CLICK) {
        click_track(explorer, state, panel, event->column);
    } else if (focus == FOCUS_SETTINGS) {
        step_setting(explorer, state, event->mouse == MOUSE_WHEEL_UP ? 1 : -1);
    }
    return HANDLED;
}

static enum handled handle_main(struct explorer *explorer, void *opaque, const struct event *event,
                                struct rect area, struct effect *effect)
{
    (void)effect;
    struct main_state *state = opaque;
    switch (event->kind) {
    case EVENT_KEY:
        return main_key(explorer, state, event->key);
    case EVENT_MOUSE:
        return main_mouse(explorer, state, event, area);
    default:
        return NOT_HANDLED;
    }
}

static bool picture_main(const struct explorer *explorer, const void *opaque, struct picture *out)
{
    const struct main_state *state = opaque;
    return main_picture_make(state->picture, explorer, out);
}

static bool typing_main(const void *opaque)
{
    const struct main_state *state = opaque;
    return state->editing;
}

static const struct key_hint hints[] = {
    {"←→", "change", "change the selected setting; + and - do the same", 0},
    {"Tab", "side", "go to the figures and back", PRESS_TAB},
    {"↑↓", "row", "select a row", 0},
    {"p", "pin", "keep this mode beside the next ones to compare; again: take the pin off", 'p'},
    {"n", "picture", "the next picture; N: the one before", 'n'},
    {"0-9 Enter", NULL, "type the value of a numeric setting", 0},
    {"Delete", NULL, "a measured value is not known any more", 0},
    {"mouse", NULL,
     "a click selects a row or, on its scale, a value; the wheel steps a setting; a click on a key "
     "at the bottom presses it",
     0},
    {NULL, NULL, NULL, 0},
};

const struct view view_main = {
    .name = "main",
    .title = "",
    .key = 'm',
    .about = "Settings stand at the left, with the choices that are legal now (○) and the present "
             "one (●), or where a number stands in its range. At the right is what follows from "
             "them, for 8-VSB, for OFDM and for a pinned mode. Every change shows at once.",
    .hints = hints,
    .open = open_main,
    .close = close_main,
    .update = update_main,
    .draw = main_draw,
    .handle = handle_main,
    .words = main_words,
    .explain = main_explain,
    .picture = picture_main,
    .show = show_main,
    .typing = typing_main,
};
