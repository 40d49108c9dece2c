/* The main view: settings at the left, what follows from them at the right, a picture below. */
#include <math.h>
#include <string.h>

#include "explorer/desk/quantities.h"
#include "explorer/desk/settings.h"
#include "explorer/frame/view.h"
#include "explorer/main/draw.h"
#include "study/explain/explain.h"

static void open_main(const struct desk *desk, void *opaque)
{
    (void)desk;
    struct main_state *state = opaque;
    gallery_add_of_view(&state->gallery, "main");
}

static void close_main(void *state)
{
    main_forget_pictures(state);
}

/* ---- Changes. ---- */

static int selected_setting(const struct main_state *state)
{
    return state->cursors[FOCUS_SETTINGS].at;
}

static void take_change(struct desk *desk, int setting, const struct scenario *next)
{
    char moved[192];
    setting_moved(setting, &desk->profile.scenario, next, moved, sizeof moved);
    if (desk_change(desk, next) && moved[0]) {
        desk_say(desk, TONE_WARN, "Also moved: %s (to stay legal).", moved);
    }
}

static void step_setting(struct desk *desk, const struct main_state *state, int direction)
{
    struct scenario next;
    int setting = selected_setting(state);
    if (setting_step(setting, &desk->profile.scenario, direction, &next)) {
        take_change(desk, setting, &next);
    } else {
        char label[32];
        setting_label(setting, label, sizeof label);
        desk_say(desk, TONE_QUIET, "%s: this is the %s legal value.", label,
                 direction > 0 ? "last" : "first");
    }
}

static void set_value(struct desk *desk, const struct main_state *state, const char *text)
{
    struct scenario next;
    struct fault fault;
    int setting = selected_setting(state);
    if (setting_set(setting, &desk->profile.scenario, text, &next, &fault) == STATUS_OK) {
        take_change(desk, setting, &next);
    } else {
        desk_say_fault(desk, &fault);
    }
}

static void take_typed(const struct call *call)
{
    set_value(call->desk, call->owner, call->text);
}

static void begin_typing(struct desk *desk, struct main_state *state, const char *text)
{
    int setting = selected_setting(state);
    if (!setting_is_number(setting)) {
        desk_say(desk, TONE_QUIET, "Choose with the left and right arrows.");
        return;
    }
    char allowed[128];
    field_allowed(setting_field(setting), allowed, sizeof allowed);
    desk_ask(desk, NULL, text, take_typed, state);
    desk_say(desk, TONE_PLAIN, "Type %s, then Enter; Escape leaves it as it was.", allowed);
}

/* ---- Keys. ---- */

static void change(const struct call *call)
{
    struct main_state *state = call->owner;
    if (state->focus != FOCUS_SETTINGS) {
        return;
    }
    if (call->key == '-' && setting_field(selected_setting(state))->low < 0.0) {
        begin_typing(call->desk, state, "-");
    } else {
        step_setting(call->desk, state, call->key == PRESS_LEFT || call->key == '-' ? -1 : 1);
    }
}

static void type_value(const struct call *call)
{
    struct main_state *state = call->owner;
    char text[FIELD_TEXT_BYTES] = {call->key == PRESS_ENTER ? '\0' : (char)call->key, '\0'};
    if (state->focus != FOCUS_SETTINGS) {
        return;
    }
    const struct field *field = setting_field(selected_setting(state));
    if (call->key == PRESS_ENTER && !isnan(field_number(field, &call->desk->profile.scenario))) {
        field_format(field, &call->desk->profile.scenario, text, sizeof text);
    }
    begin_typing(call->desk, state, text);
}

static void forget_value(const struct call *call)
{
    struct main_state *state = call->owner;
    const char *word = setting_field(selected_setting(state))->word;
    if (state->focus == FOCUS_SETTINGS && word) {
        set_value(call->desk, state, word);
    }
}

static void turn_side(const struct call *call)
{
    struct main_state *state = call->owner;
    state->focus = state->focus == FOCUS_SETTINGS ? FOCUS_QUANTITIES : FOCUS_SETTINGS;
}

static void select_row(const struct call *call)
{
    struct main_state *state = call->owner;
    cursor_key(&state->cursors[state->focus], call->key);
}

static void pin(const struct call *call)
{
    if (call->desk->pinned) {
        desk_unpin(call->desk);
        desk_say(call->desk, TONE_QUIET, "Nothing is pinned any more.");
    } else {
        desk_say(call->desk, TONE_GOOD,
                 "Pinned: change settings and compare. p takes the pin off.");
        desk_pin(call->desk, &call->desk->profile.scenario);
    }
}

static void turn_picture(const struct call *call)
{
    struct main_state *state = call->owner;
    gallery_turn(&state->gallery, call->key == 'n' ? 1 : -1);
}

static const struct key keys[] = {
    {"←→", "change", "change the selected setting; + and - do the same", "Right Left + = -",
     change},
    {"Tab", "side", "go to the figures and back", "Tab BackTab", turn_side},
    {"↑↓", "row", "select a row", KEYS_OF_A_LIST, select_row},
    {"p", "pin", "keep this mode beside the next ones to compare; again: take the pin off", "p",
     pin},
    {"n", "picture", "the next picture; N: the one before", "nN", turn_picture},
    {"0-9 Enter", NULL, "type the value of a numeric setting", "0123456789. Enter", type_value},
    {"Delete", NULL, "a measured value is not known any more", "Delete Backspace", forget_value},
    {"mouse", NULL,
     "a click selects a row or, on its scale, a value; the wheel steps a setting; a click on a key "
     "at the bottom presses it",
     "", NULL},
    {0},
};

/* ---- The mouse. ---- */

static void click_track(struct desk *desk, const struct main_state *state, struct rect panel,
                        int column)
{
    int setting = selected_setting(state), at = column - main_track(panel).column;
    int width = main_track_width(panel);
    const struct scenario *now = &desk->profile.scenario;
    struct scenario next;
    if (at < 0 || at >= width) {
        return;
    }
    if (setting_is_number(setting)
            ? setting_set_share(setting, now, (double)at / (width - 1), &next)
            : setting_set_choice(setting, now, at, &next)) {
        take_change(desk, setting, &next);
    }
}

static void mouse(struct desk *desk, void *opaque, const struct event *event, struct rect area)
{
    struct main_state *state = opaque;
    struct main_layout layout = layout_main(area);
    int wheel = event_wheel(event);
    if (layout_on_pictures(&layout, event->row, event->column)) {
        gallery_turn(&state->gallery, wheel < 0 ? -1 : 1);
        return;
    }
    enum focus focus = layout.one_panel                                           ? state->focus
                       : rect_holds(layout.quantities, event->row, event->column) ? FOCUS_QUANTITIES
                                                                                  : FOCUS_SETTINGS;
    struct rect panel = main_panel(&layout, focus);
    struct line lines[LINES_MAX];
    int count = main_lines(focus, panel.rows - 1, state->cursors[focus].first, lines);
    int i = event->row - panel.row - 1;
    if (!rect_holds(panel, event->row, event->column) || i < 0 || i >= count || lines[i].row < 0) {
        return;
    }
    state->focus = focus;
    cursor_move(&state->cursors[focus], lines[i].row - state->cursors[focus].at);
    if (focus == FOCUS_SETTINGS && wheel == 0) {
        click_track(desk, state, panel, event->column);
    } else if (focus == FOCUS_SETTINGS) {
        step_setting(desk, state, -wheel);
    }
}

/* ---- For lessons and export. ---- */

static bool show_main(void *opaque, const char *picture)
{
    struct main_state *state = opaque;
    return gallery_show(&state->gallery, picture);
}

static bool select_main(void *opaque, const char *name)
{
    struct main_state *state = opaque;
    for (int focus = 0; focus < 2; focus++) {
        for (int row = 0; row < main_row_count((enum focus)focus); row++) {
            char here[64];
            main_row_name((enum focus)focus, row, here, sizeof here);
            bool alike = focus == FOCUS_QUANTITIES && explain_find(here) == explain_find(name);
            if (alike || strcmp(here, name) == 0) {
                state->focus = (enum focus)focus;
                state->cursors[focus].at = row;
                return true;
            }
        }
    }
    return false;
}

static bool picture_main(const struct desk *desk, const void *opaque, struct picture *out)
{
    const struct main_state *state = opaque;
    return main_picture_make(state->gallery.kinds[state->gallery.at], desk, out);
}

const struct view view_main = {
    .name = "main",
    .title = "",
    .key = 'm',
    .about = "Settings stand at the left, with the choices that are legal now (○) and the present "
             "one (●), or where a number stands in its range. At the right is what follows from "
             "them, for both generations and for a pinned mode. Every change shows at once.",
    .keys = keys,
    .state_size = sizeof(struct main_state),
    .open = open_main,
    .close = close_main,
    .update = main_update,
    .draw = main_draw,
    .mouse = mouse,
    .words = main_words,
    .explain = main_explain,
    .picture = picture_main,
    .show = show_main,
    .select = select_main,
};
