/* Rows: each subframe, below it its PLPs, below a core the layers over it. */
#include "explorer/plps/state.h"

#include <string.h>

#include "present/picture/pictures.h"

bool plps_is_subframe(const struct editor_row *row)
{
    return strcmp(row->section->name, "subframe") == 0;
}

struct plps_layout plps_layout(const struct plps_state *state, struct rect area)
{
    struct main_layout main = layout_main(area);
    struct plps_layout layout = {.list = main.settings, .values = main.settings};
    if (main.one_panel) {
        *(state->editor.inside ? &layout.list : &layout.values) = (struct rect){0};
    } else {
        layout.list.columns = area.columns - main.settings.columns - 1;
        layout.divider = layout.values;
        layout.divider.column = area.column + layout.list.columns;
        layout.divider.columns = 1;
        layout.values.column = layout.divider.column + 1;
    }
    layout.rule = main.rule;
    layout.picture = main.picture;
    layout.picture.columns = area.columns;
    return layout;
}

/* ---- Rows. ---- */

static void add_layers(struct editor *editor, const struct transmission *transmission, int core)
{
    for (int i = 0; i < transmission->plp_count; i++) {
        if (i != core && plp_core(transmission, i) == core) {
            editor_add(editor, "plp", i, 2);
        }
    }
}

static void make_rows(struct editor *editor, const struct transmission *transmission)
{
    editor_begin(editor);
    for (int s = 0; s < transmission_subframes(transmission); s++) {
        editor_add(editor, "subframe", transmission->subframe_count > 0 ? s : -1, 0);
        if (transmission->plp_count == 0 && s == 0) {
            editor_add(editor, "plp", -1, 1);
        }
        for (int i = 0; i < transmission->plp_count; i++) {
            if (plp_subframe(transmission, i) == s && plp_core(transmission, i) == i) {
                editor_add(editor, "plp", i, 1);
                add_layers(editor, transmission, i);
            }
        }
    }
}

int plps_subframe(const struct plps_state *state, const struct transmission *transmission)
{
    const struct editor_row *row = editor_selected(&state->editor);
    if (!row || row->item < 0) {
        return 0;
    }
    return plps_is_subframe(row) ? row->item : plp_subframe(transmission, row->item);
}

int plps_plp(const struct plps_state *state, const struct transmission *transmission)
{
    const struct editor_row *row = editor_selected(&state->editor);
    int subframe = plps_subframe(state, transmission), plp = 0;
    if (row && !plps_is_subframe(row)) {
        return row->item < 0 ? 0 : row->item;
    }
    while (plp < transmission->plp_count - 1 && plp_subframe(transmission, plp) != subframe) {
        plp++;
    }
    return plp;
}

/* ---- What follows. ---- */

double plps_used(const struct plps_state *state, int subframe)
{
    const struct pool *pool = &state->frame.pools[subframe];
    return (double)(pool->cells - pool->dummies) / (double)pool->cells;
}

double plps_rate_mbps(const struct plps_state *state, const struct transmission *transmission,
                      int subframe)
{
    double rate_mbps = 0.0;
    for (int i = 0; i < transmission_plps(transmission); i++) {
        if (state->frame.slots[i].subframe == subframe) {
            rate_mbps += plp_carried(transmission, &state->frame, i).net_mbps;
        }
    }
    return rate_mbps;
}

void plps_follow_rows(const struct desk *desk, struct plps_state *state)
{
    if (desk_no_pipes(desk)) {
        editor_begin(&state->editor);
    } else {
        make_rows(&state->editor, &desk->profile.scenario.transmission);
    }
}

void plps_follow(const struct desk *desk, struct plps_state *state)
{
    const struct scenario *scenario = &desk->profile.scenario;
    const struct picture_case shown = {
        .scenario = scenario, .report = &desk->report, .pipes = desk_pipes(desk)};
    state->revision = desk->revision;
    state->piped = desk->piped;
    state->framed = frame_build(&scenario->transmission, &state->frame, &state->fault) == STATUS_OK;
    plps_follow_rows(desk, state);
    picture_free(&state->picture);
    if (desk->report_known &&
        picture_kind_make(picture_kind_find("frame"), &shown, &state->picture)) {
        state->picture.note[0] = '\0'; /* the rows are few; the help says it */
    }
}

void plps_update(struct desk *desk, void *opaque, struct rect area)
{
    struct plps_state *state = opaque;
    if (state->revision != desk->revision || state->piped != desk->piped) {
        plps_follow(desk, state);
    }
    struct plps_layout layout = plps_layout(state, area);
    editor_fit(&state->editor, layout.list, layout.values);
}
