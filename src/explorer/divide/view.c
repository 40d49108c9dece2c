/* A channel divided among services: what they ask for, the best divisions, and taking one over. */
#include <stdlib.h>
#include <string.h>

#include "explorer/divide/draw.h"
#include "explorer/divide/edit.h"
#include "explorer/frame/view.h"

static void open_divide(const struct desk *desk, void *opaque)
{
    (void)desk;
    divide_open(opaque);
}

static void close_divide(void *opaque)
{
    divide_close(opaque);
}

/* ---- Services. ---- */

/* A scenario is large: the next one is made on the heap. */
static struct scenario *copy_of(struct desk *desk)
{
    struct scenario *next = malloc(sizeof *next);
    if (next) {
        *next = desk->profile.scenario;
    } else {
        desk_say(desk, TONE_WARN, "Out of memory: nothing is changed.");
    }
    return next;
}

static void add(const struct call *call)
{
    struct divide_state *state = call->owner;
    struct desk *desk = call->desk;
    struct scenario *next = copy_of(desk);
    int added = 0;
    if (!next) {
        return;
    }
    if (next->service_count == 0) {
        divide_add_first(next);
    } else {
        added = divide_add(next, state->editor.items.at);
    }
    if (added < 0) {
        desk_say(desk, TONE_WARN, "There is no room for more than %d services.", SERVICES_MAX);
    } else if (desk_change(desk, next)) {
        divide_follow(desk, state);
        editor_select(&state->editor, "service", added);
        state->in_table = false;
    }
    free(next);
}

static void take_away(const struct call *call)
{
    struct divide_state *state = call->owner;
    const struct editor_row *row = editor_selected(&state->editor);
    if (state->in_table || !row) {
        return;
    }
    if (state->editor.inside) {
        editor_press_forget(call);
        return;
    }
    struct scenario *next = copy_of(call->desk);
    if (next) {
        divide_remove(next, row->item);
        desk_change(call->desk, next);
    }
    free(next);
}

/* ---- Divisions. ---- */

static void take_over(const struct call *call)
{
    struct divide_state *state = call->owner;
    struct desk *desk = call->desk;
    const struct division *division = divide_selected(state);
    if (!division) {
        desk_say(desk, TONE_QUIET,
                 state->errand.pending ? "Still computing: nothing to take yet."
                                       : "There is no division to take.");
        return;
    }
    struct scenario *next = copy_of(desk);
    if (next) {
        divide_take(next, division);
        if (desk_change(desk, next)) {
            state->revision = desk->revision; /* the services are the same, and so is the answer */
            desk_say(desk, TONE_GOOD,
                     "Taken over: the transmission is divided so; b shows it, u "
                     "goes back.");
        }
    }
    free(next);
}

static void start_or_stop(const struct call *call)
{
    struct divide_state *state = call->owner;
    if (state->errand.pending) {
        divide_stop(state);
        desk_say(call->desk, TONE_QUIET, "Stopped.");
    } else {
        divide_begin(call->desk, state);
    }
}

static void turn_page(const struct call *call)
{
    struct divide_state *state = call->owner;
    int by = call->key == 'n' ? 1 : PAGE_COUNT - 1;
    state->page = (enum divide_page)(((int)state->page + by) % PAGE_COUNT);
}

/* ---- Both. ---- */

/* The list, the values, the divisions, and round again. */
static void turn_side(const struct call *call)
{
    struct divide_state *state = call->owner;
    bool inside = state->editor.inside, back = call->key == PRESS_BACK_TAB;
    bool any = state->editor.count > 0;
    if (state->in_table) {
        state->in_table = false;
        state->editor.inside = back && any;
    } else {
        state->in_table = back ? !inside : inside;
        state->editor.inside = any && !inside && !back;
    }
}

static void select_row(const struct call *call)
{
    struct divide_state *state = call->owner;
    if (state->in_table) {
        cursor_key(&state->division, call->key);
    } else {
        editor_press_row(call);
    }
}

static void step(const struct call *call)
{
    struct divide_state *state = call->owner;
    if (!state->in_table) {
        editor_press_step(call);
    } else if (call->key == PRESS_RIGHT) {
        state->sideways++;
    } else if (state->sideways > 0) {
        state->sideways--;
    }
}

static void update(struct desk *desk, void *opaque, struct rect area)
{
    struct divide_state *state = opaque;
    divide_update(desk, state, area);
    struct divide_layout layout = divide_layout(state, area);
    int most = divide_sideways_most(state, &layout);
    state->sideways = state->sideways < most ? state->sideways : most;
}

static void enter(const struct call *call)
{
    const struct divide_state *state = call->owner;
    if (state->in_table) {
        take_over(call);
    } else {
        editor_press_type(call);
    }
}

static void type_value(const struct call *call)
{
    const struct divide_state *state = call->owner;
    if (!state->in_table) {
        editor_press_type(call);
    }
}

static const struct key keys[] = {
    {"Tab", "side", "go from the services to the values, the divisions, and round again",
     "Tab BackTab", turn_side},
    {"Enter", "take",
     "on a division: take it over as the transmission; on a value: type it; on a service: go to "
     "its values",
     "Enter", enter},
    {"a", "add", "add a service like the selected one; where there is none, three to begin with",
     "a", add},
    {"d", "remove", "remove the selected service; on a rate: it has the rest", "d Delete Backspace",
     take_away},
    {"n", "page", "what the division gives each service, its frame, the rates of two services",
     "nN", turn_page},
    {"←→", "set", "change the selected value; among the divisions, the columns that do not fit",
     "Right Left", step},
    {"Space", "stop", "stop computing; begin again", "Space", start_or_stop},
    {"↑↓", NULL, "select a row", KEYS_OF_A_LIST, select_row},
    {"0-9", NULL, "type the selected value", "0123456789-.", type_value},
    {"mouse", NULL,
     "a click selects a row or, on its scale, a value; the wheel steps a value; a click on the "
     "picture turns the page",
     "", NULL},
    {0},
};

static void mouse(struct desk *desk, void *opaque, const struct event *event, struct rect area)
{
    struct divide_state *state = opaque;
    struct divide_layout layout = divide_layout(state, area);
    int wheel = event_wheel(event);
    if (editor_mouse(desk, &state->editor, event, layout.list, layout.values)) {
        state->in_table = false;
    } else if (rect_holds(layout.table, event->row, event->column)) {
        state->in_table = true;
        if (wheel != 0) {
            cursor_move(&state->division, wheel);
        } else {
            cursor_click(&state->division, event->row - layout.table.row - 1);
        }
    } else if (rect_holds(layout.head, event->row, event->column)) {
        start_or_stop(&(struct call){.desk = desk, .owner = state});
    } else {
        turn_page(&(struct call){.desk = desk, .owner = state, .key = wheel < 0 ? 'N' : 'n'});
    }
}

/* ---- For the frame, lessons and export. ---- */

static bool busy_divide(const void *opaque)
{
    const struct divide_state *state = opaque;
    return state->errand.pending;
}

/* The caller frees what it gets: a copy. */
static bool picture_divide(const struct desk *desk, const void *opaque, struct picture *out)
{
    (void)desk;
    const struct picture *shown = divide_picture(opaque);
    return shown != NULL && picture_copy(shown, out);
}

static bool show_divide(void *opaque, const char *picture)
{
    struct divide_state *state = opaque;
    bool known = strcmp(picture, "divide") == 0;
    state->page = known ? PAGE_RATES : state->page;
    return known;
}

static bool select_divide(const struct desk *desk, void *opaque, const char *name)
{
    struct divide_state *state = opaque;
    const struct section *section = section_of(name, desk->profile.scenario.site.pair, &name);
    int item = section ? section_item_find(section, &desk->profile.scenario, name) : -1;
    if (item >= 0) {
        divide_follow(desk, state);
        editor_select(&state->editor, section->name, item);
        state->in_table = state->editor.inside = false;
    }
    return item >= 0;
}

const struct view view_divide = {
    .name = "divide",
    .title = "Divide the channel",
    .key = 'g',
    .about =
        "At the top the services: what each asks for. Below them the best legal division of "
        "each kind, best first, found beside the interface: i says what is assumed. Then what "
        "the selected one gives each service, its frame, and the rates of the most robust "
        "and the fastest service against each other, by kind of division: over the waveforms of "
        "the best divisions, all codes and levels, the other services as they ask. In the "
        "frame a layer is drawn within its core, and both have all of its cells.",
    .keys = keys,
    .state_size = sizeof(struct divide_state),
    .open = open_divide,
    .close = close_divide,
    .update = update,
    .draw = divide_draw,
    .mouse = mouse,
    .busy = busy_divide,
    .words = divide_words,
    .explain = divide_explain,
    .picture = picture_divide,
    .show = show_divide,
    .select = select_divide,
    .sections = "service",
};
