/* Subframes and PLPs on the grid: the list with a verdict for each PLP, values, the frame. */
#include "explorer/plps/draw.h"

#include <math.h>
#include <string.h>

#include "explorer/desk/words.h"
#include "explorer/frame/screen.h"
#include "explorer/plps/edit.h"

/* ---- The list: a title at the left, figures at the right, more of them where it is wide. ---- */

/* What follows from the frame is there at once; what a verdict tells, as soon as it is. */
static double cells_of(const struct plps_state *state, int plp)
{
    return state->plps[plp].plp_cells;
}

static double share_of(const struct plps_state *state, int plp)
{
    return 100.0 * state->plps[plp].plp_share;
}

static double rate_of(const struct plps_state *state, int plp)
{
    return state->plps[plp].net_mbps;
}

static double span_of(const struct plps_state *state, int plp)
{
    return state->plps[plp].interleaver_ms;
}

static double used_of(const struct plps_state *state, int plp)
{
    return 100.0 * plps_used(state, plp);
}

static const struct column {
    const char *heading;
    const char *figure; /* of the verdict; NULL: functions give the number */
    double (*of_plp)(const struct plps_state *state, int plp);
    double (*of_subframe)(const struct plps_state *state, int plp); /* that the PLP lies in */
    int width, decimals;
    int from; /* columns of the list, from which on it is shown */
} columns[] = {
    {"needs, dB", "receiver_snr_db", NULL, NULL, 11, 1, 52},
    {"cells", NULL, cells_of, NULL, 9, 0, 96},
    {"TI, ms", NULL, span_of, NULL, 8, 1, 88},
    {"share, %", NULL, share_of, used_of, 9, 1, 0},
    {"Mbit/s", NULL, rate_of, plps_rate_mbps, 8, 2, 0},
    {"margin, dB", "margin_db", NULL, NULL, 11, 1, 44},
    {"margin", "margin_db", NULL, NULL, 7, 1, -43},
};
#define COLUMN_COUNT ((int)(sizeof columns / sizeof columns[0]))

static bool is_margin(const struct column *column)
{
    return column->heading[0] == 'm';
}

/* Of a column that a wider one takes the place of, `from` tells until when: -43 up to 43. */
static bool is_shown(const struct column *column, int width)
{
    return column->from >= 0 ? width >= column->from : width <= -column->from;
}

static int figures_width(int width)
{
    int sum = 0;
    for (int i = 0; i < COLUMN_COUNT; i++) {
        sum += is_shown(&columns[i], width) ? columns[i].width : 0;
    }
    return sum;
}

static void draw_figure(struct grid *grid, struct rect panel, int row, const struct column *column,
                        enum role role, const char *text)
{
    int end = panel.column + panel.columns - figures_width(panel.columns);
    for (const struct column *at = columns; at <= column; at++) {
        end += is_shown(at, panel.columns) ? at->width : 0;
    }
    screen_right(grid, row, end - column->width + 1, column->width - 1, role, text);
}

static void write_number(const struct column *column, double number, char *buffer, size_t size)
{
    if (!isfinite(number)) {
        text_format(buffer, size, isnan(number) ? "-" : "none");
    } else {
        number = fabs(number) < 0.05 && is_margin(column) ? 0.0 : number;
        text_format(buffer, size, is_margin(column) && number > 0.0 ? "+%.*f" : "%.*f",
                    column->decimals, number);
    }
}

static void plp_text(const struct desk *desk, const struct plps_state *state,
                     const struct column *column, int plp, char *buffer, size_t size)
{
    const struct verdict *verdict = desk_plp(desk, plp);
    double number = NAN;
    if (column->figure && (!verdict || !verdict->known) && desk_busy(desk)) {
        text_format(buffer, size, "...");
        return;
    }
    if (column->figure && verdict) {
        number = figure_number(figure_find(&generation_figures, column->figure), verdict);
    } else if (!column->figure && state->framed) {
        number = column->of_plp(state, plp);
    }
    write_number(column, number, buffer, size);
}

static void draw_plp(const struct desk *desk, const struct plps_state *state, struct grid *grid,
                     struct rect panel, int row, int plp, enum role role)
{
    const struct verdict *verdict = desk_plp(desk, plp);
    bool judged = verdict && verdict->known && role != ROLE_SELECTED;
    for (int i = 0; i < COLUMN_COUNT; i++) {
        char text[32];
        if (is_shown(&columns[i], panel.columns)) {
            plp_text(desk, state, &columns[i], plp, text, sizeof text);
            draw_figure(grid, panel, row, &columns[i],
                        !judged || !is_margin(&columns[i]) ? role
                        : verdict->works                   ? ROLE_GOOD
                                                           : ROLE_BAD,
                        text);
        }
    }
}

/* Of a subframe, the sums: what its PLPs use of it, and what they carry. */
static void draw_subframe(const struct desk *desk, const struct plps_state *state,
                          struct grid *grid, struct rect panel, int row, int subframe,
                          enum role role)
{
    int plp = plps_first_in(&desk->profile.scenario.transmission, subframe);
    for (int i = 0; state->framed && i < COLUMN_COUNT; i++) {
        char text[32];
        if (columns[i].of_subframe && is_shown(&columns[i], panel.columns)) {
            write_number(&columns[i], columns[i].of_subframe(state, plp), text, sizeof text);
            draw_figure(grid, panel, row, &columns[i], role, text);
        }
    }
}

static void row_title(const struct scenario *scenario, const struct plps_state *state,
                      const struct editor_row *row, int room, char *buffer, size_t size)
{
    const struct transmission *transmission = &scenario->transmission;
    size_t used = text_format(buffer, size, "%*s", row->depth, "");
    int item = row->item < 0 ? 0 : row->item;
    if (row->item < 0) {
        used += text_format(buffer + used, size - used, "%s", row->section->name);
        used += room >= 20 ? text_format(buffer + used, size - used, " of [%s]",
                                         system_of(scenario, GENERATION_SECOND)->section)
                           : 0;
    } else {
        section_item_title(row->section, scenario, row->item, buffer + used, size - used);
        used = strlen(buffer);
    }
    if (room < 34) {
        return;
    }
    if (plps_is_subframe(row)) {
        const struct waveform *waveform = &transmission->subframes[item].waveform;
        text_format(buffer + used, size - used, ": %s %s %s", fft_name(waveform->fft),
                    guard_name(waveform->guard), pilots_name(waveform->pilots));
    } else if (state->framed) {
        text_format(buffer + used, size - used, ": %s %s", state->plps[item].constellation,
                    state->plps[item].rate);
    }
}

static void draw_list(const struct desk *desk, const struct plps_state *state, struct grid *grid,
                      struct rect panel)
{
    const struct editor *editor = &state->editor;
    const struct cursor *cursor = &editor->items;
    int room = panel.columns - figures_width(panel.columns) - 1;
    grid_write(grid, panel.row, panel.column + 1, -1, editor->inside ? ROLE_DIM : ROLE_TITLE,
               "PLPs");
    for (int i = 0; i < COLUMN_COUNT; i++) {
        if (is_shown(&columns[i], panel.columns)) {
            draw_figure(grid, panel, panel.row, &columns[i], ROLE_DIM, columns[i].heading);
        }
    }
    for (int i = cursor->first; i < cursor->count && i - cursor->first < panel.rows - 1; i++) {
        const struct editor_row *row = &editor->rows[i];
        enum role role = editor_mark_row(editor, grid, panel, i, !editor->inside);
        int at = panel.row + 1 + i - cursor->first, item = row->item < 0 ? 0 : row->item;
        char title[160];
        row_title(&desk->profile.scenario, state, row, room, title, sizeof title);
        screen_fit(grid, at, panel.column + 1, room, role, title);
        if (plps_is_subframe(row)) {
            draw_subframe(desk, state, grid, panel, at, item, role);
        } else {
            draw_plp(desk, state, grid, panel, at, item, role);
        }
    }
}

void plps_draw(const struct desk *desk, const void *opaque, struct grid *grid, struct rect area)
{
    const struct plps_state *state = opaque;
    struct plps_layout layout = plps_layout(state, area);
    if (layout.list.rows > 0) {
        draw_list(desk, state, grid, layout.list);
    }
    screen_divider(grid, layout.divider);
    if (layout.values.rows > 0) {
        editor_draw_values(desk, &state->editor, grid, layout.values);
    }
    if (layout.picture.rows > 0) {
        screen_rule(grid, layout.rule, "the frame");
        picture_draw_grid(&state->picture, grid, layout.picture);
    }
}

/* ---- Words. ---- */

/* Of the subframe, or frame, that the PLP lies in: "Subframe 1: 1 30.0 % + 2 70.0 % = 100.0 % of
 * 638717 cells in 122.1 ms." */
static void sum_words(const struct scenario *scenario, const struct plps_state *state, int plp,
                      struct text *out)
{
    const struct facts *plps = state->plps;
    const char *join = "";
    if (!state->framed) {
        text_append(out, state->fault.wrong);
        return;
    }
    if (plps_has_subframes(scenario) && scenario->transmission.subframe_count > 0) {
        text_printf(out, "Subframe %s: ", plps[plp].subframe);
    } else {
        text_printf(out, "The %s: ", plps_has_subframes(scenario) ? "subframe" : "frame");
    }
    for (int i = 0; i < state->count; i++) {
        if (plps_lie_together(state, i, plp) && !plps_is_layer(state, i)) {
            text_printf(out, "%s%s %.1f %%", join, plps[i].plp, 100.0 * plps[i].plp_share);
            join = " + ";
        }
    }
    text_printf(out, " = %.1f %% of %.0f cells in %.1f ms.", 100.0 * plps_used(state, plp),
                plps[plp].pool_cells, plps[plp].pool_ms);
}

void plps_words(const struct desk *desk, const void *opaque, struct text *out)
{
    const struct plps_state *state = opaque;
    const struct editor_row *row = editor_selected(&state->editor);
    int plp = plps_plp(state, &desk->profile.scenario);
    struct value value;
    char name[64];
    if (state->editor.inside && editor_value(&state->editor, &value)) {
        value_name(&value, name, sizeof name);
        if (name[0]) {
            words_short(desk, name, out);
        } else {
            text_append(out, "The name stands in the profile's section, and where others refer "
                             "to it.");
        }
        return;
    }
    if (row && !plps_is_subframe(row)) {
        words_plp(desk, plp, out);
        text_append(out, "\n");
    }
    sum_words(&desk->profile.scenario, state, plp, out);
}

/* Of those that lie in its subframe, or frame. */
static bool is_first(const struct plps_state *state, int plp)
{
    int first = 0;
    while (first < plp && !plps_lie_together(state, first, plp)) {
        first++;
    }
    return first == plp;
}

void plps_explain(const struct desk *desk, const void *opaque, struct text *out)
{
    const struct plps_state *state = opaque;
    struct value value;
    char name[64] = "";
    if (state->editor.inside && editor_value(&state->editor, &value)) {
        value_name(&value, name, sizeof name);
    }
    if (name[0]) {
        words_long(desk, name, out);
        text_append(out, "\n");
    }
    for (int i = 0; i == 0 || i < state->count; i++) {
        if (is_first(state, i)) {
            sum_words(&desk->profile.scenario, state, i, out);
            text_append(out, "\n\n");
        }
    }
    for (int i = 0; i < state->count; i++) {
        words_plp(desk, i, out);
        text_append(out, "\n\n");
    }
}
