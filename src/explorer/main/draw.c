/* The main view on the grid: settings, figures, pictures, words. */
#include "explorer/main/draw.h"

#include <string.h>

#include "explorer/desk/quantities.h"
#include "explorer/desk/settings.h"
#include "explorer/desk/words.h"
#include "explorer/frame/screen.h"
#include "explorer/frame/values.h"
#include "study/explain/explain.h"

static enum role row_role(bool selected, enum role otherwise)
{
    return selected ? ROLE_SELECTED : otherwise;
}

/* Where the columns of figures end, from the panel's left. */
struct figure_columns {
    int count, width, end[4];
};

static struct figure_columns figure_columns(struct rect panel)
{
    struct figure_columns columns = {.count = panel.columns >= 60 ? 4 : 3};
    int width = (panel.columns - 17) / columns.count;
    columns.width = width < 8 ? 8 : width > 11 ? 11 : width;
    int start = panel.columns - columns.count * columns.width;
    for (int i = 0; i < columns.count; i++) {
        columns.end[i] = (start > 24 ? 24 : start) + columns.width * (i + 1);
    }
    return columns;
}

static const enum role column_roles[] = {ROLE_FIRST, ROLE_SECOND, ROLE_PINNED, ROLE_PLAIN};

static void draw_figure(struct grid *grid, int row, struct rect panel, int i, enum role role,
                        const char *text)
{
    struct figure_columns columns = figure_columns(panel);
    if (i < columns.count) {
        screen_right(grid, row, panel.column + columns.end[i] - columns.width + 1,
                     columns.width - 1, role, text);
    }
}

static enum role change_role(const struct figure *figure, const struct verdict *now,
                             const struct verdict *pinned)
{
    double better = figure->better * (figure_number(figure, now) - figure_number(figure, pinned));
    return better > 0.0 ? ROLE_GOOD : better < 0.0 ? ROLE_BAD : ROLE_DIM;
}

/* The label with its unit, as far as the first value leaves room; the unit goes first. */
static void draw_name(struct grid *grid, int row, struct rect panel, const struct figure *figure,
                      bool selected, const char *first)
{
    int room = figure_columns(panel).end[0] - (int)text_columns(first) - 1;
    const char *label = figure_brief(figure);
    int written =
        screen_fit(grid, row, panel.column + 1, room, row_role(selected, ROLE_PLAIN), label);
    char unit[32] = "";
    if (figure->unit[0]) {
        text_format(unit, sizeof unit, ", %s", figure->unit);
    }
    if (written + (int)text_columns(unit) <= room) {
        grid_write(grid, row, panel.column + 1 + written, -1, row_role(selected, ROLE_DIM), unit);
    }
}

/* Why there is no margin is said once; what a generation does not have stays empty. */
static void figure_words(const struct figure *figure, const struct verdict *verdict, char *buffer,
                         size_t size)
{
    figure_text(figure, verdict, buffer, size);
    if (strcmp(buffer, "-") == 0) {
        bool margin = !verdict->known && strcmp(figure->name, "margin_db") == 0;
        text_format(buffer, size, "%s", margin ? "no SNR" : "");
    }
}

static void draw_quantity(const struct desk *desk, struct grid *grid, struct rect panel, int row,
                          int quantity, bool selected)
{
    const struct figure *figure = quantity_row(quantity);
    if (selected) {
        screen_fill(grid, (struct rect){row, panel.column, 1, panel.columns}, ROLE_SELECTED);
        screen_mark(grid, row, panel.column, true);
    }
    const struct verdict *second = &desk->report.verdicts.of[GENERATION_SECOND];
    const struct verdict *pinned = &desk->pinned_report.verdicts.of[GENERATION_SECOND];
    const struct verdict *columns[] = {&desk->report.verdicts.of[GENERATION_FIRST], second, pinned};
    char text[32];
    figure_words(figure, columns[0], text, sizeof text);
    draw_name(grid, row, panel, figure, selected, desk->report_known ? text : "");
    for (int i = 0; i < (desk->pinned ? 3 : 2) && desk->report_known; i++) {
        figure_words(figure, columns[i], text, sizeof text);
        draw_figure(grid, row, panel, i, row_role(selected, column_roles[i]), text);
    }
    if (desk->pinned && desk->report_known) {
        quantity_change(quantity, &desk->report, &desk->pinned_report, text, sizeof text);
        draw_figure(grid, row, panel, 3, row_role(selected, change_role(figure, second, pinned)),
                    text);
    }
}

/* A PLP's margin stands in the column of its generation. */
static void draw_plp(const struct desk *desk, struct grid *grid, struct rect panel, int row,
                     int plp, bool selected)
{
    static const char margin_unit[] = ", dB";
    const struct verdict *verdict = desk_plp(desk, plp);
    char text[NAME_MAX_BYTES + 8];
    if (selected) {
        screen_fill(grid, (struct rect){row, panel.column, 1, panel.columns}, ROLE_SELECTED);
        screen_mark(grid, row, panel.column, true);
    }
    section_item_title(section_find_in("plp", desk->profile.scenario.site.pair),
                       &desk->profile.scenario, plp, text, sizeof text);
    int room = figure_columns(panel).end[0] - 1 - (int)strlen(margin_unit);
    int written =
        screen_fit(grid, row, panel.column + 1, room, row_role(selected, ROLE_PLAIN), text);
    grid_write(grid, row, panel.column + 1 + written, -1, row_role(selected, ROLE_DIM),
               margin_unit);
    text_format(text, sizeof text, desk_busy(desk) ? "..." : "-");
    enum role role = ROLE_SECOND;
    if (verdict && verdict->known) {
        figure_text(figure_find(&generation_figures, "margin_db"), verdict, text, sizeof text);
        role = verdict->works ? ROLE_GOOD : ROLE_BAD;
    }
    draw_figure(grid, row, panel, GENERATION_SECOND, row_role(selected, role), text);
}

static void draw_heads(const struct desk *desk, const struct main_state *state, struct grid *grid,
                       const struct main_layout *layout, enum focus focus)
{
    struct rect panel = main_panel(layout, focus);
    enum role role = state->focus == focus ? ROLE_TITLE : ROLE_DIM;
    if (focus == FOCUS_SETTINGS) {
        grid_write(grid, panel.row, panel.column + 1, -1, role, "Settings");
        return;
    }
    grid_write(grid, panel.row, panel.column + 1, -1, role, "Figures");
    const struct scenario *scenario = &desk->profile.scenario;
    const char *const names[] = {system_of(scenario, GENERATION_FIRST)->name,
                                 system_of(scenario, GENERATION_SECOND)->name, "pinned", "change"};
    for (int i = 0; i < (desk->pinned ? 4 : 2); i++) {
        draw_figure(grid, panel.row, panel, i, column_roles[i], names[i]);
    }
}

static void draw_panel(const struct desk *desk, const struct main_state *state, struct grid *grid,
                       const struct main_layout *layout, enum focus focus)
{
    struct rect panel = main_panel(layout, focus);
    struct line lines[LINES_MAX];
    int count = main_lines(state, focus, panel.rows - 1, lines);
    draw_heads(desk, state, grid, layout, focus);
    for (int i = 0; i < count; i++) {
        int row = panel.row + 1 + i;
        bool selected = state->focus == focus && lines[i].row == state->cursors[focus].at;
        if (lines[i].row == -1) {
            char heading[64];
            if (focus == FOCUS_SETTINGS) {
                setting_heading(lines[i + 1].row, &desk->profile.scenario, heading, sizeof heading);
            } else {
                text_format(heading, sizeof heading, "%s", lines[i].heading);
            }
            grid_printf(grid, row, panel.column + 1, panel.columns - 1, ROLE_DIM, "── %s", heading);
        } else if (lines[i].row >= 0 && focus == FOCUS_SETTINGS) {
            struct value value = setting_value(lines[i].row, state->pair);
            values_draw_row(desk, grid, panel, row, &value, selected);
        } else if (lines[i].row >= state->plps) {
            draw_quantity(desk, grid, panel, row, lines[i].row - state->plps, selected);
        } else if (lines[i].row >= 0) {
            draw_plp(desk, grid, panel, row, lines[i].row, selected);
        }
    }
    if (count > 1) {
        int above = lines[0].row < 0 ? lines[1].row : lines[0].row;
        values_draw_more(grid, panel, above,
                         main_row_count(state, focus) - 1 - lines[count - 1].row);
    }
}

static void draw_pictures(const struct main_state *state, struct grid *grid,
                          const struct main_layout *layout)
{
    const struct gallery *gallery = &state->gallery;
    bool two = layout->second_picture.columns > 0;
    if (layout->picture.rows > 0) {
        gallery_rule(gallery, two, "", grid, layout->rule);
        gallery_draw(gallery, gallery->at, &state->pictures[gallery->at], grid, layout->picture);
    }
    if (two) {
        int second = gallery_second(gallery);
        gallery_draw(gallery, second, &state->pictures[second], grid, layout->second_picture);
    }
}

static void selected_name(const struct main_state *state, char *buffer, size_t size)
{
    main_row_name(state, state->focus, state->cursors[state->focus].at, buffer, size);
}

static bool is_plp(const struct main_state *state)
{
    return state->focus == FOCUS_QUANTITIES && state->cursors[FOCUS_QUANTITIES].at < state->plps;
}

void main_explain(const struct desk *desk, const void *opaque, struct text *out)
{
    const struct main_state *state = opaque;
    char name[64];
    int row = state->cursors[state->focus].at;
    selected_name(state, name, sizeof name);
    if (is_plp(state)) {
        words_plp(desk, row, out);
        text_append(out, "\n\n");
    }
    words_long(desk, name, out);
    if (state->focus == FOCUS_QUANTITIES && !is_plp(state)) {
        char other[64];
        text_format(other, sizeof other, "first.%s", quantity_row(row - state->plps)->name);
        enum pair pair = desk->profile.scenario.site.pair;
        const struct explanation *entry = explain_find_in(pair, other);
        if (entry != NULL && entry != explain_find_in(pair, name)) {
            text_append(out, "\n");
            words_long(desk, other, out);
        }
    }
}

void main_draw(const struct desk *desk, const void *opaque, struct grid *grid, struct rect area)
{
    const struct main_state *state = opaque;
    struct main_layout layout = layout_main(area);
    if (!layout.one_panel || state->focus == FOCUS_SETTINGS) {
        draw_panel(desk, state, grid, &layout, FOCUS_SETTINGS);
    }
    if (!layout.one_panel || state->focus == FOCUS_QUANTITIES) {
        draw_panel(desk, state, grid, &layout, FOCUS_QUANTITIES);
    }
    screen_divider(grid, layout.divider);
    screen_divider(grid, layout.explain_divider);
    if (layout.explain.columns > 0) {
        struct text text = {0};
        struct rect area_inside = layout.explain;
        area_inside.column++;
        area_inside.columns -= 2;
        main_explain(desk, state, &text);
        screen_text_or_key(grid, area_inside, text_string(&text));
        text_free(&text);
    }
    draw_pictures(state, grid, &layout);
}

void main_words(const struct desk *desk, const void *opaque, struct text *out)
{
    const struct main_state *state = opaque;
    char name[64];
    if (is_plp(state)) {
        words_plp(desk, state->cursors[FOCUS_QUANTITIES].at, out);
        return;
    }
    selected_name(state, name, sizeof name);
    words_short(desk, name, out);
}
