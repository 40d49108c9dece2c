/* The weighing view: limits, the modes within them, moves from the present mode, the frontier. */
#include <math.h>
#include <stdlib.h>

#include "explorer/frame/view.h"
#include "explorer/weigh/draw.h"

static void open_weigh(const struct desk *desk, void *opaque)
{
    (void)desk;
    struct weigh_state *state = opaque;
    state->wish = weigh_wish_none();
    state->wish.most = 0;
    state->snr_low_db = state->snr_high_db = NAN;
}

static void close_weigh(void *opaque)
{
    struct weigh_state *state = opaque;
    errand_free(&state->margins);
    weigh_space_free(&state->space);
    weigh_list_free(&state->list);
    picture_free(&state->picture);
}

/* ---- Limits. ---- */

static bool is_limit(const struct weigh_state *state)
{
    return state->focus == WEIGH_LIMITS && state->limits.at < LIMIT_COUNT;
}

static void step(const struct call *call)
{
    struct weigh_state *state = call->owner;
    if (state->focus == WEIGH_LIMITS) {
        weigh_step_limit(state, call->key == PRESS_RIGHT ? 1 : -1);
    }
}

static void take_typed(const struct call *call)
{
    struct weigh_state *state = call->owner;
    if (!weigh_type_limit(state, call->text)) {
        char range[64];
        weigh_limit_range(state, state->limits.at, range, sizeof range);
        desk_say(call->desk, TONE_WARN, "A number %s is wanted.", range);
    }
}

static void type_limit(const struct call *call)
{
    const char text[2] = {(char)call->key, '\0'};
    if (is_limit(call->owner)) {
        desk_ask(call->desk, NULL, text, take_typed, call->owner);
    }
}

static void turn_unit(const struct call *call)
{
    struct weigh_state *state = call->owner;
    state->echo_in_km = !state->echo_in_km;
}

static void take_off(const struct call *call)
{
    if (is_limit(call->owner)) {
        weigh_set_limit(call->owner, NAN);
    }
}

/* ---- Modes. ---- */

/* The selected mode as a scenario, which the caller frees; NULL: none is selected. */
static struct scenario *scenario_of_selected(const struct desk *desk,
                                             const struct weigh_state *state)
{
    long place = weigh_row_mode(state, state->modes.at);
    struct scenario *next = place >= 0 ? malloc(sizeof *next) : NULL;
    if (next) {
        *next = desk->profile.scenario;
        weigh_put(&state->space, (size_t)place, next);
    }
    return next;
}

static void take_over(const struct call *call)
{
    struct weigh_state *state = call->owner;
    if (state->focus == WEIGH_LIMITS) {
        if (is_limit(state)) {
            desk_ask(call->desk, NULL, "", take_typed, state);
        }
        return;
    }
    if (weigh_is_waiting(state)) {
        desk_say(call->desk, TONE_WARN, "The list is being made anew; there is none to take from.");
        return;
    }
    struct scenario *next = scenario_of_selected(call->desk, state);
    if (next && desk_change(call->desk, next)) {
        desk_say(call->desk, TONE_GOOD, "Taken over; u goes back.");
    }
    free(next);
}

static void pin(const struct call *call)
{
    struct scenario *next = scenario_of_selected(call->desk, call->owner);
    if (next) {
        desk_say(call->desk, TONE_GOOD, "Pinned: the main view compares with it.");
        desk_pin(call->desk, next);
    }
    free(next);
}

static void turn_list(const struct call *call)
{
    struct weigh_state *state = call->owner;
    state->show_moves = !state->show_moves;
    state->modes.at = 0;
}

#define UNFOLDED_MOST 2000 /* of 243 000 */

static void fold(const struct call *call)
{
    struct weigh_state *state = call->owner;
    state->wish.unfolded = !state->wish.unfolded;
    state->wish.most = state->wish.unfolded ? UNFOLDED_MOST : 0;
    state->listed = false;
}

/* ---- Both. ---- */

static struct cursor *cursor_of(struct weigh_state *state)
{
    return state->focus == WEIGH_LIMITS ? &state->limits : &state->modes;
}

static void select_row(const struct call *call)
{
    cursor_key(cursor_of(call->owner), call->key);
}

static void turn_side(const struct call *call)
{
    struct weigh_state *state = call->owner;
    state->focus = state->focus == WEIGH_LIMITS ? WEIGH_LIST : WEIGH_LIMITS;
}

static void zoom(const struct call *call)
{
    weigh_zoom(call->owner,
               call->key == '+'   ? 0.5
               : call->key == '-' ? 2.0
                                  : 1.0,
               call->key == '>'   ? 0.25
               : call->key == '<' ? -0.25
                                  : 0.0);
}

static const struct key keys[] = {
    {"Tab", "side", "go from the limits to the modes and back", "Tab BackTab", turn_side},
    {"←→", "limit", "step the selected limit; Delete takes it off", "Right Left", step},
    {"Enter", "take", "on a mode: take it over; on a limit: type it", "Enter", take_over},
    {"n", "moves", "moves from the present mode, or the list", "n", turn_list},
    {"p", "pin", "pin the selected mode to compare with", "p", pin},
    {"f", "fold", "list each of the modes told as one, or only the best", "f", fold},
    {"↑↓", NULL, "select a limit or a mode", KEYS_OF_A_LIST, select_row},
    {"0-9", NULL, "type the selected limit; that on echoes also as a length: 30km", "0123456789.",
     type_limit},
    {"k", NULL, "tell the limit on echoes in km, or in us again", "k", turn_unit},
    {"Delete", NULL, "take the selected limit off", "Delete Backspace", take_off},
    {"+-", NULL, "zoom the picture; < and > shift it", "+-<>", zoom},
    {"mouse", NULL, "a click selects, the wheel steps, scrolls or zooms", "", NULL},
    {0},
};

static void mouse(struct desk *desk, void *opaque, const struct event *event, struct rect area)
{
    (void)desk;
    struct weigh_state *state = opaque;
    struct weigh_view_layout layout = weigh_view_layout(area);
    int wheel = event_wheel(event);
    if (rect_holds(layout.picture, event->row, event->column)) {
        weigh_zoom(state, wheel > 0 ? 2.0 : 0.5, 0.0);
    } else if (rect_holds(layout.limits, event->row, event->column)) {
        if (cursor_click(&state->limits, event->row - layout.limits.row - 1)) {
            state->focus = WEIGH_LIMITS;
            if (wheel != 0) {
                weigh_step_limit(state, -wheel);
            }
        }
    } else if (rect_holds(layout.list, event->row, event->column)) {
        state->focus = WEIGH_LIST;
        if (wheel != 0) {
            cursor_move(&state->modes, wheel);
        } else {
            cursor_click(&state->modes, event->row - layout.list.row - 1);
        }
    }
}

/* ---- For the frame, lessons and export. ---- */

static bool busy_weigh(const void *opaque)
{
    const struct weigh_state *state = opaque;
    return state->margins.pending;
}

static bool picture_weigh(const struct desk *desk, const void *opaque, struct picture *out)
{
    (void)desk;
    const struct weigh_state *state = opaque;
    return state->picture.series_count > 0 && picture_copy(&state->picture, out);
}

/* Found once the list has been made: see weigh_update. */
static bool select_weigh(const struct desk *desk, void *opaque, const char *name)
{
    (void)desk;
    struct weigh_state *state = opaque;
    text_format(state->wanted, sizeof state->wanted, "%s", name);
    state->show_moves = false;
    state->focus = WEIGH_LIST;
    return true;
}

static void names_weigh(const struct desk *desk, struct offer *out)
{
    weigh_offer_modes(&desk->profile.scenario, out);
}

const struct view view_weigh = {
    .name = "weigh",
    .title = "Weigh all legal modes",
    .key = 'w',
    .about = "All legal modes of the bandwidth (243 000 of ATSC 3.0, 22 848 of DVB-T2), held "
             "against your limits. F marks the "
             "frontier: no other mode is as good in net rate, SNR, echo and speed and better in "
             "one. Margin is that with the profile's echoes. An s after the code rate is "
             "the short code.",
    .keys = keys,
    .state_size = sizeof(struct weigh_state),
    .open = open_weigh,
    .close = close_weigh,
    .update = weigh_update,
    .draw = weigh_draw,
    .mouse = mouse,
    .busy = busy_weigh,
    .words = weigh_words,
    .explain = weigh_explain,
    .picture = picture_weigh,
    .select = select_weigh,
    .names = names_weigh,
};
