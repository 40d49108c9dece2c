/* Subframes, PLPs and layers: added, removed, changed, each PLP with its verdict. */
#include <stdlib.h>

#include "explorer/frame/view.h"
#include "explorer/plps/draw.h"
#include "explorer/plps/edit.h"
#include "scenario/section.h"

static void open_plps(const struct desk *desk, void *opaque)
{
    (void)opaque;
    (void)desk;
}

static void close_plps(void *opaque)
{
    struct plps_state *state = opaque;
    picture_free(&state->picture);
}

/* ---- Changes. ---- */

/* A change made on the heap, as scenarios are large; selects what was added. */
static void add(struct desk *desk, struct plps_state *state, const char *section,
                int (*edit)(struct scenario *scenario, int like), int like)
{
    struct scenario *next = malloc(sizeof *next);
    if (!next) {
        desk_say(desk, TONE_WARN, "Out of memory: nothing is added.");
        return;
    }
    *next = desk->profile.scenario;
    int added = edit(next, like);
    if (added < 0 && !plps_has_subframes(next)) {
        desk_say(desk, TONE_WARN, "There is no room for more than %d PLPs.",
                 section_find_in(section, next->site.pair)->most);
    } else if (added < 0) {
        desk_say(desk, TONE_WARN, "There is no room for more than %d subframes and %d PLPs.",
                 SUBFRAMES_MAX, PLPS_MAX);
    } else if (desk_change(desk, next)) {
        plps_follow(desk, state);
        editor_select(&state->editor, section, added);
    }
    free(next);
}

static void add_plp(const struct call *call)
{
    struct plps_state *state = call->owner;
    add(call->desk, state, "plp", plps_add, plps_plp(state, &call->desk->profile.scenario));
}

static void add_subframe(const struct call *call)
{
    struct plps_state *state = call->owner;
    const struct scenario *scenario = &call->desk->profile.scenario;
    if (!plps_has_subframes(scenario)) {
        desk_say(call->desk, TONE_QUIET,
                 "%s has no subframes and no layers here: a adds a PLP to its frame.",
                 system_of(scenario, GENERATION_SECOND)->name);
        return;
    }
    add(call->desk, state, "subframe", plps_add_subframe, plps_subframe(state, scenario));
}

/* The section that counts as long as no PLP has one of its own. */
static const char *mode_of(const struct desk *desk)
{
    const struct system *system = system_of(&desk->profile.scenario, GENERATION_SECOND);
    return system->section;
}

static void take_away(const struct call *call)
{
    struct plps_state *state = call->owner;
    struct desk *desk = call->desk;
    const struct editor_row *row = editor_selected(&state->editor);
    if (state->editor.inside) {
        editor_press_forget(call);
        return;
    }
    if (!row || row->item < 0) {
        desk_say(desk, TONE_QUIET, "This is what [%s] says: it stays.", mode_of(desk));
        return;
    }
    struct scenario *next = malloc(sizeof *next);
    if (next) {
        *next = desk->profile.scenario;
        (plps_is_subframe(row) ? plps_remove_subframe : plps_remove)(next, row->item);
        if (desk_change(desk, next)) {
            desk_say(desk, TONE_QUIET, "Removed; u brings it back.");
        }
    }
    free(next);
}

static const struct key keys[] = {
    {"Tab", "side", "go from the list to the values and back", "Tab BackTab", editor_press_side},
    {"←→", "set", "change the selected value", "Right Left", editor_press_step},
    {"a", "PLP", "add a PLP like the selected one, in its subframe and layer", "a", add_plp},
    {"A", "subframe", "add a subframe like the selected one, with a PLP", "A", add_subframe},
    {"d", "remove", "remove the selected subframe or PLP; on a value: nothing is said of it",
     "d Delete Backspace", take_away},
    {"↑↓", NULL, "select a row", KEYS_OF_A_LIST, editor_press_row},
    {"0-9 Enter", NULL, "type the selected value; in the list: go to the values",
     "0123456789-. Enter", editor_press_type},
    {"mouse", NULL, "a click selects a row or, on its scale, a value; the wheel steps a value", "",
     NULL},
    {0},
};

static bool tells(const struct desk *desk, const struct key *row)
{
    return row->press != add_subframe || plps_has_subframes(&desk->profile.scenario);
}

static void mouse(struct desk *desk, void *opaque, const struct event *event, struct rect area)
{
    struct plps_state *state = opaque;
    struct plps_layout layout = plps_layout(state, area);
    editor_mouse(desk, &state->editor, event, layout.list, layout.values);
}

/* The caller frees what it gets: a copy. */
static bool picture_plps(const struct desk *desk, const void *opaque, struct picture *out)
{
    (void)desk;
    const struct plps_state *state = opaque;
    return state->picture.series_count > 0 && picture_copy(&state->picture, out);
}

static bool select_plps(const struct desk *desk, void *opaque, const char *name)
{
    struct plps_state *state = opaque;
    const struct section *section = section_of(name, desk->profile.scenario.site.pair, &name);
    int item = section ? section_item_find(section, &desk->profile.scenario, name) : -1;
    if (item >= 0) {
        plps_follow_rows(desk, state);
        editor_select(&state->editor, section->name, item);
        state->editor.inside = false;
    }
    return item >= 0;
}

const struct view view_plps = {
    .name = "plps",
    .title = "The frame and its PLPs",
    .key = 'b',
    .about = "At the left each subframe with its PLPs, and below a core PLP the layers over it: "
             "what share of the subframe's cells each has, what it carries, and its margin. A "
             "subframe's own row has the sums. At the right the values of the selected one, with "
             "the choices that are legal now. Sizes that nothing is said of part what the others "
             "leave. "
             "Where the system has no subframes its PLPs share one frame. Below, the frame: time "
             "across, shares of the cells up; a layer is drawn within its "
             "core, and both have all of its cells.",
    .tells = tells,
    .keys = keys,
    .state_size = sizeof(struct plps_state),
    .open = open_plps,
    .close = close_plps,
    .update = plps_update,
    .draw = plps_draw,
    .mouse = mouse,
    .words = plps_words,
    .select = select_plps,
    .sections = "subframe plp",
    .explain = plps_explain,
    .picture = picture_plps,
};
