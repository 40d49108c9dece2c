/* The main view: settings at the left, what follows from them at the right, a picture below. */
#include <string.h>

#include "explorer/desk/likes.h"
#include "explorer/desk/quantities.h"
#include "explorer/desk/settings.h"
#include "explorer/frame/values.h"
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

static struct value selected_value(const struct main_state *state)
{
    return setting_value(state->cursors[FOCUS_SETTINGS].at, state->pair);
}

static void take_typed(const struct call *call)
{
    struct value value = selected_value(call->owner);
    edit_set(call->desk, &value, call->text);
}

/* ---- Keys. ---- */

static void change(const struct call *call)
{
    const struct main_state *state = call->owner;
    struct value value = selected_value(state);
    if (state->focus != FOCUS_SETTINGS) {
        return;
    }
    if (call->key == '-' && value.field->low < 0.0) {
        edit_type(call->desk, &value, call->key, take_typed, call->owner);
    } else {
        edit_step(call->desk, &value, call->key == PRESS_LEFT || call->key == '-' ? -1 : 1);
    }
}

static void type_value(const struct call *call)
{
    const struct main_state *state = call->owner;
    struct value value = selected_value(state);
    if (state->focus == FOCUS_SETTINGS) {
        edit_type(call->desk, &value, call->key, take_typed, call->owner);
    }
}

static void forget_value(const struct call *call)
{
    const struct main_state *state = call->owner;
    struct value value = selected_value(state);
    if (state->focus == FOCUS_SETTINGS) {
        edit_forget(call->desk, &value);
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

static void zoom_picture(const struct call *call)
{
    struct main_state *state = call->owner;
    gallery_zoom(&state->gallery, call->key == 'z' ? 1 : -1);
}

static void like_picture(const struct call *call)
{
    const struct main_state *state = call->owner;
    const struct picture_kind *kind = state->gallery.kinds[state->gallery.at];
    char words[96];
    text_format(call->desk->likes.picture, sizeof call->desk->likes.picture, "%s", kind->name);
    text_format(words, sizeof words, "The picture \"%s\" is shown first.", kind->title);
    likes_keep(call->desk, words);
}

static const struct key keys[] = {
    {"←→", "change", "change the selected setting; + and - do the same", "Right Left + = -",
     change},
    {"Tab", "side", "go to the figures and back", "Tab BackTab", turn_side},
    {"↑↓", "row", "select a row", KEYS_OF_A_LIST, select_row},
    {"p", "pin", "keep this mode beside the next ones to compare; again: take the pin off", "p",
     pin},
    {"n", "picture", "the next picture; N: the one before", "nN", turn_picture},
    {"z", NULL, "look at the picture from nearer; Z: from farther off", "zZ", zoom_picture},
    {"P", NULL, "show this picture first from now on; remembered", "P", like_picture},
    {"0-9 Enter", NULL, "type the value of a numeric setting", "0123456789. Enter", type_value},
    {"Delete", NULL, "a measured value is not known any more", "Delete Backspace", forget_value},
    {"mouse", NULL,
     "a click selects a row or, on its scale, a value; the wheel steps a setting; a click on a key "
     "at the bottom presses it",
     "", NULL},
    {0},
};

/* ---- The mouse. ---- */

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
    int count = main_lines(state, focus, panel.rows - 1, lines);
    int i = event->row - panel.row - 1;
    if (!rect_holds(panel, event->row, event->column) || i < 0 || i >= count || lines[i].row < 0) {
        return;
    }
    state->focus = focus;
    cursor_move(&state->cursors[focus], lines[i].row - state->cursors[focus].at);
    struct value value = selected_value(state);
    if (focus == FOCUS_SETTINGS && wheel == 0) {
        values_click(desk, panel, event->column, &value);
    } else if (focus == FOCUS_SETTINGS) {
        edit_step(desk, &value, -wheel);
    }
}

/* ---- For lessons and export. ---- */

static bool show_main(void *opaque, const char *picture)
{
    struct main_state *state = opaque;
    return gallery_show(&state->gallery, picture);
}

static bool select_main(const struct desk *desk, void *opaque, const char *name)
{
    struct main_state *state = opaque;
    state->plps = main_plps(desk);
    for (int focus = 0; focus < 2; focus++) {
        for (int row = focus == FOCUS_QUANTITIES ? state->plps : 0;
             row < main_row_count(state, (enum focus)focus); row++) {
            char here[64];
            main_row_name(state, (enum focus)focus, row, here, sizeof here);
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

/* A setting by its label and key, a figure by its label and name. */
static void names_main(const struct desk *desk, struct offer *out)
{
    const struct main_state none = {.pair = desk->profile.scenario.site.pair};
    const struct main_state *state = &none; /* PLPs are another view's */
    for (int focus = 0; focus < 2; focus++) {
        for (int row = 0; row < main_row_count(state, (enum focus)focus); row++) {
            char key[64], label[48], name[128];
            main_row_name(state, (enum focus)focus, row, key, sizeof key);
            if (focus == FOCUS_SETTINGS) {
                struct value value = setting_value(row, state->pair);
                value_label(&value, label, sizeof label);
            } else {
                text_format(label, sizeof label, "%s", figure_brief(quantity_row(row)));
            }
            const struct explanation *entry = explain_find_in(state->pair, key);
            text_format(name, sizeof name, "%s, %s", label, key);
            offer_add(out, name, entry ? entry->sentence : "", key);
        }
    }
}

static bool picture_main(const struct desk *desk, const void *opaque, struct picture *out)
{
    const struct main_state *state = opaque;
    const struct gallery *gallery = &state->gallery;
    bool made = main_picture_make(gallery->kinds[gallery->at], desk, out);
    picture_zoom(out, gallery->zooms[gallery->at]);
    return made;
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
    .names = names_main,
};
