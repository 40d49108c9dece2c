/* Rows: each subframe, below it its PLPs, below a core the layers over it. Where a system has no
 * subframes, its PLPs alone. */
#include "explorer/plps/state.h"

#include <math.h>
#include <string.h>

#include "explorer/plps/edit.h"
#include "present/picture/pictures.h"
#include "system/space/space.h"

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

bool plps_has_subframes(const struct scenario *scenario)
{
    return system_of(scenario, GENERATION_SECOND)->space->subframes;
}

static void add_layers(struct editor *editor, const struct transmission *transmission, int core)
{
    for (int i = 0; i < transmission->plp_count; i++) {
        if (i != core && plp_core(transmission, i) == core) {
            editor_add(editor, section_find("plp"), i, 2);
        }
    }
}

static void make_rows_in_subframes(struct editor *editor, const struct transmission *transmission)
{
    for (int s = 0; s < transmission_subframes(transmission); s++) {
        editor_add(editor, section_find("subframe"), transmission->subframe_count > 0 ? s : -1, 0);
        if (transmission->plp_count == 0 && s == 0) {
            editor_add(editor, section_find("plp"), -1, 1);
        }
        for (int i = 0; i < transmission->plp_count; i++) {
            if (plp_subframe(transmission, i) == s && plp_core(transmission, i) == i) {
                editor_add(editor, section_find("plp"), i, 1);
                add_layers(editor, transmission, i);
            }
        }
    }
}

static void make_rows(struct editor *editor, const struct scenario *scenario)
{
    const struct section *section = section_find_in("plp", scenario->site.pair);
    int count = section_items(section, scenario);
    for (int i = count > 0 ? 0 : -1; i < count; i++) {
        editor_add(editor, section, i, 0);
    }
}

int plps_subframe(const struct plps_state *state, const struct scenario *scenario)
{
    const struct editor_row *row = editor_selected(&state->editor);
    if (!row || row->item < 0 || !plps_has_subframes(scenario)) {
        return 0;
    }
    return plps_is_subframe(row) ? row->item : plp_subframe(&scenario->transmission, row->item);
}

int plps_plp(const struct plps_state *state, const struct scenario *scenario)
{
    const struct editor_row *row = editor_selected(&state->editor);
    return row && !plps_is_subframe(row)
               ? (row->item < 0 ? 0 : row->item)
               : plps_first_in(&scenario->transmission, plps_subframe(state, scenario));
}

/* ---- What follows. ---- */

bool plps_lie_together(const struct plps_state *state, int plp, int other)
{
    return strcmp(state->plps[plp].subframe, state->plps[other].subframe) == 0;
}

bool plps_is_layer(const struct plps_state *state, int plp)
{
    return !isnan(state->plps[plp].injection_db);
}

double plps_used(const struct plps_state *state, int plp)
{
    double cells = 0.0;
    for (int i = 0; i < state->count; i++) {
        bool counts = plps_lie_together(state, i, plp) && !plps_is_layer(state, i);
        cells += counts ? state->plps[i].plp_cells : 0.0;
    }
    return cells / state->plps[plp].pool_cells;
}

double plps_rate_mbps(const struct plps_state *state, int plp)
{
    double rate_mbps = 0.0;
    for (int i = 0; i < state->count; i++) {
        rate_mbps += plps_lie_together(state, i, plp) ? state->plps[i].net_mbps : 0.0;
    }
    return rate_mbps;
}

void plps_follow_rows(const struct desk *desk, struct plps_state *state)
{
    const struct scenario *scenario = &desk->profile.scenario;
    editor_begin(&state->editor);
    if (plps_has_subframes(scenario)) {
        make_rows_in_subframes(&state->editor, &scenario->transmission);
    } else {
        make_rows(&state->editor, scenario);
    }
}

void plps_follow(const struct desk *desk, struct plps_state *state)
{
    const struct scenario *scenario = &desk->profile.scenario;
    const struct picture_case shown = {
        .scenario = scenario, .report = &desk->report, .pipes = desk_pipes(desk)};
    state->revision = desk->revision;
    state->piped = desk->piped;
    const struct system *system = system_of(scenario, GENERATION_SECOND);
    state->framed = system->space->carry(scenario, state->plps, &state->fault) == STATUS_OK;
    state->count = state->framed ? system->pipes(scenario) : 0;
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
