/* The weighing view on the grid: limits at the left, modes at the right, the frontier below. */
#include "explorer/weigh/draw.h"

#include <math.h>

#include "explorer/desk/words.h"
#include "explorer/frame/screen.h"

/* ---- Limits. ---- */

static void draw_limits(const struct desk *desk, const struct weigh_state *state, struct grid *grid,
                        struct rect panel)
{
    grid_write(grid, panel.row, panel.column + 1, panel.columns - 1, ROLE_TITLE, "Limits");
    for (int row = state->limits.first, at = panel.row + 1;
         row < WEIGH_ROW_COUNT && at < panel.row + panel.rows; row++, at++) {
        bool selected = state->focus == WEIGH_LIMITS && row == state->limits.at;
        char value[24];
        weigh_limit_value(state, row, value, sizeof value);
        screen_mark(grid, at, panel.column, selected);
        screen_fit(grid, at, panel.column + 1, panel.columns - 9, ROLE_PLAIN,
                   weigh_limit_label(state, row));
        if (selected && desk_types_in_place(desk)) {
            screen_typing(grid, at, panel.column + panel.columns - 8, 8, &desk->prompt.typing);
        } else {
            screen_right(grid, at, panel.column + panel.columns - 8, 8,
                         selected ? ROLE_SELECTED : ROLE_TITLE, value);
        }
    }
}

/* ---- The list. From the right: frontier, speed, echo, SNR, rate; the mode has the rest. ---- */

#define FIGURES_COLUMNS 26

static void draw_head(const struct weigh_state *state, struct grid *grid, struct rect panel)
{
    char title[64];
    if (weigh_is_waiting(state)) {
        text_format(title, sizeof title, "Computing ...");
    } else if (state->show_moves) {
        text_format(title, sizeof title, "Moves from the present mode");
    } else {
        text_format(title, sizeof title, "%zu of %zu modes", state->list.matching,
                    state->list.considered);
    }
    int figures = panel.column + panel.columns - FIGURES_COLUMNS;
    screen_fit(grid, panel.row, panel.column + 1, panel.columns - FIGURES_COLUMNS - 1, ROLE_TITLE,
               title);
    screen_right(grid, panel.row, figures, 6, ROLE_DIM, "Mbit/s");
    screen_right(grid, panel.row, figures + 6, 6, ROLE_DIM, "dB");
    screen_right(grid, panel.row, figures + 12, 6, ROLE_DIM, "us");
    screen_right(grid, panel.row, figures + 18, 6, ROLE_DIM, "km/h");
    screen_right(grid, panel.row, figures + 24, 2, ROLE_DIM, "F");
}

static void draw_mode(const struct weigh_state *state, struct grid *grid, struct rect panel, int at,
                      long place, enum role role)
{
    const struct weigh_space *space = &state->space;
    const struct weighed *weighed = &space->modes[place];
    int figures = panel.column + panel.columns - FIGURES_COLUMNS;
    char words[64];
    weigh_name(space, (size_t)place, PARTS_OF_MODE, false, words, sizeof words);
    screen_fit(grid, at, panel.column + 1, panel.columns - FIGURES_COLUMNS - 1, role, words);
    const struct {
        double value;
        int decimals;
    } cells[] = {{weighed->net_mbps, 2},
                 {weighed->snr_db, 1},
                 {weigh_echo_us(space, (size_t)place), 1},
                 {weighed->speed_kmh, 0}};
    for (int i = 0; i < 4; i++) {
        char number[24];
        text_format(number, sizeof number, "%.*f", cells[i].decimals, cells[i].value);
        screen_right(grid, at, figures + 6 * i, 6, role, isfinite(cells[i].value) ? number : "-");
    }
    grid_put(grid, at, panel.column + panel.columns - 1, weighed->frontier ? '*' : ' ', ROLE_GOOD);
}

static void draw_row(const struct weigh_state *state, struct grid *grid, struct rect panel, int at,
                     int row)
{
    bool selected = row == state->modes.at;
    enum role role = selected && state->focus == WEIGH_LIST ? ROLE_SELECTED : ROLE_PLAIN;
    long place = weigh_row_mode(state, row);
    screen_mark(grid, at, panel.column, selected);
    if (place >= 0) {
        draw_mode(state, grid, panel, at, place, role);
    } else {
        screen_fit(grid, at, panel.column + 1, panel.columns - 1, ROLE_DIM,
                   state->moves[row].absent);
    }
}

static void draw_empty(const struct weigh_state *state, struct grid *grid, struct rect panel)
{
    struct text words = {0};
    struct rect area = {panel.row + 1, panel.column + 1, panel.rows - 1, panel.columns - 1};
    if (weigh_is_waiting(state)) {
        text_printf(&words,
                    "Looking at the echoes for every mode's margin: %.0f %%. The list follows.",
                    100.0 * job_progress(&state->margins.job));
    } else if (state->known) {
        weigh_explain_empty(&state->space, &state->wish, &state->list, &words);
    } else {
        text_printf(&words, "%s: %s", state->fault.place, state->fault.wrong);
    }
    grid_write_wrapped(grid, area, ROLE_WARN, text_string(&words));
    text_free(&words);
}

static void draw_list(const struct weigh_state *state, struct grid *grid, struct rect panel)
{
    draw_head(state, grid, panel);
    if (!state->known || state->modes.count == 0) {
        draw_empty(state, grid, panel);
        return;
    }
    for (int i = 0; i + 1 < panel.rows && state->modes.first + i < state->modes.count; i++) {
        draw_row(state, grid, panel, panel.row + 1 + i, state->modes.first + i);
    }
}

static void draw_rule(const struct weigh_state *state, struct grid *grid, struct rect rule)
{
    char words[96];
    if (state->margins.pending) {
        text_format(words, sizeof words, "computing margins: %.0f %%",
                    100.0 * job_progress(&state->margins.job));
    } else if (isnan(state->snr_low_db)) {
        text_format(words, sizeof words, "Net rate against required SNR: + - zoom");
    } else {
        text_format(words, sizeof words, "Net rate against required SNR: %.1f to %.1f dB",
                    state->snr_low_db, state->snr_high_db);
    }
    screen_rule(grid, rule, words);
}

void weigh_draw(const struct desk *desk, const void *opaque, struct grid *grid, struct rect area)
{
    const struct weigh_state *state = opaque;
    struct weigh_view_layout layout = weigh_view_layout(area);
    draw_limits(desk, state, grid, layout.limits);
    screen_divider(grid, layout.divider);
    draw_list(state, grid, layout.list);
    if (layout.picture.rows > 0) {
        draw_rule(state, grid, layout.rule);
        picture_draw_grid(&state->picture, grid, layout.picture);
    }
}

/* ---- Words. ---- */

static const char *const limit_entries[WEIGH_ROW_COUNT] = {
    [LIMIT_ECHO] = "second.echo_us",     [LIMIT_SPEED] = "second.speed_kmh",
    [LIMIT_RATE] = "second.net_mbps",    [LIMIT_SNR] = "second.receiver_snr_db",
    [LIMIT_MARGIN] = "second.margin_db", [WEIGH_ROW_ORDER] = "weigh.order",
    [WEIGH_ROW_KEEP] = "weigh.keep",
};

static void write_selected(const struct weigh_state *state, struct text *out)
{
    long place = weigh_row_mode(state, state->modes.at);
    if (state->show_moves) {
        text_printf(out, "%s: ", state->moves[state->modes.at].name);
    }
    if (place < 0) {
        text_append(out, state->moves[state->modes.at].absent);
        return;
    }
    if (state->has_moves) {
        moves_write_figures(&state->space, state->from, (uint32_t)place, out);
        text_append(out, " against the present mode; change ");
        moves_write_changes(&state->space, state->from, (uint32_t)place, out);
        text_append(out, ".");
    } else {
        char name[64];
        weigh_name(&state->space, (size_t)place, PARTS_OF_MODE, true, name, sizeof name);
        text_printf(out, "%s; %s", name, state->space.choices->names);
    }
    if (!state->show_moves && state->list.rows[state->modes.at].folded > 0) {
        text_printf(out, " %u more differ in %s only.", state->list.rows[state->modes.at].folded,
                    state->space.choices->folded);
    }
}

void weigh_words(const struct desk *desk, const void *opaque, struct text *out)
{
    const struct weigh_state *state = opaque;
    if (state->focus == WEIGH_LIMITS) {
        words_short(desk, limit_entries[state->limits.at], out);
    } else if (state->known && state->modes.count > 0) {
        write_selected(state, out);
    }
}

void weigh_explain(const struct desk *desk, const void *opaque, struct text *out)
{
    const struct weigh_state *state = opaque;
    for (int row = 0; row < WEIGH_ROW_COUNT; row++) { /* their labels may have been cut */
        char value[24];
        weigh_limit_value(state, row, value, sizeof value);
        text_printf(out, "%s%s %s", row ? ", " : "", weigh_limit_label(state, row), value);
    }
    text_append(out, ".\n\n");
    words_long(desk,
               state->focus == WEIGH_LIMITS ? limit_entries[state->limits.at] : "second.frontier",
               out);
}
