/* The echo editor on the grid: list of echoes, both generations' accounts, pictures. */
#include "explorer/echo/draw.h"

#include <math.h>

#include "explorer/frame/screen.h"

/* ---- The list. A row: mark, name, a column for each field. ---- */

static const struct {
    int width, decimals;
} columns[ECHO_COLUMN_COUNT] = {
    [ECHO_DELAY] = {9, 2}, [ECHO_LEVEL] = {6, 1}, [ECHO_PHASE] = {6, 0}, [ECHO_DOPPLER] = {7, 1}};

static int columns_width(void)
{
    int width = 0;
    for (int i = 0; i < ECHO_COLUMN_COUNT; i++) {
        width += columns[i].width;
    }
    return width;
}

static int column_start(struct rect panel, int column)
{
    int start = panel.column + panel.columns - columns_width();
    for (int i = 0; i < column; i++) {
        start += columns[i].width;
    }
    return start;
}

enum echo_column echo_column_at(struct rect panel, int column)
{
    int at = ECHO_COLUMN_COUNT - 1;
    while (at > 0 && column < column_start(panel, at)) {
        at--;
    }
    return (enum echo_column)at;
}

static void draw_value(const struct desk *desk, const struct echo_state *state, struct grid *grid,
                       struct rect panel, int at, int row, enum echo_column column)
{
    bool selected = row == echo_selected(state) && (column == state->column || row == ECHO_ROW_SNR);
    int start = column_start(panel, (int)column), width = columns[column].width;
    if (selected && desk_types_in_place(desk)) {
        screen_typing(grid, at, start + 1, width - 1, &desk->prompt.typing);
        return;
    }
    char text[32];
    double value = echo_value(&desk->profile.scenario, row, column);
    if (isnan(value)) {
        field_write(echo_field(row, column), value, text, sizeof text);
    } else {
        text_format(text, sizeof text, "%.*f", row == ECHO_ROW_SNR ? 1 : columns[column].decimals,
                    value);
    }
    screen_right(grid, at, start + 1, width - 1, selected ? ROLE_SELECTED : ROLE_TITLE, text);
}

/* The SNR in use where none was measured. */
static void draw_source(const struct desk *desk, struct grid *grid, struct rect panel, int row)
{
    const struct verdicts *verdicts = desk_verdicts(desk);
    const struct conditions *second = verdicts ? &verdicts->of[GENERATION_SECOND].conditions : NULL;
    if (second && isfinite(second->snr_db)) {
        grid_printf(grid, row, column_start(panel, ECHO_LEVEL) + 1, -1, ROLE_DIM, "%.1f %s",
                    second->snr_db, snr_source_name(second->source));
    }
}

static void draw_list(const struct desk *desk, const struct echo_state *state, struct grid *grid,
                      struct rect panel)
{
    const struct scenario *scenario = &desk->profile.scenario;
    const struct cursor *cursor = &state->cursor;
    grid_write(grid, panel.row, panel.column + 1, -1, ROLE_TITLE, "Echoes");
    for (int i = 0; i < ECHO_COLUMN_COUNT; i++) {
        screen_right(grid, panel.row, column_start(panel, i) + 1, columns[i].width - 1, ROLE_DIM,
                     echo_field(0, (enum echo_column)i)->unit);
    }
    for (int i = cursor->first; i < cursor->count && i - cursor->first < panel.rows - 1; i++) {
        int at = panel.row + 1 + i - cursor->first, row = i - 1;
        screen_mark(grid, at, panel.column, i == cursor->at);
        screen_fit(grid, at, panel.column + 1, panel.columns - columns_width() - 1, ROLE_PLAIN,
                   row == ECHO_ROW_SNR ? "SNR, dB" : scenario->echo_names[row]);
        for (int f = 0; f < (row == ECHO_ROW_SNR ? 1 : ECHO_COLUMN_COUNT); f++) {
            draw_value(desk, state, grid, panel, at, row, (enum echo_column)f);
        }
        if (row == ECHO_ROW_SNR && isnan(scenario->receiver.snr_db)) {
            draw_source(desk, grid, panel, at);
        }
    }
    if (scenario->echo_count == 0 && panel.rows > 3) {
        bool network = desk->report_known &&
                       desk->report.verdicts.of[GENERATION_SECOND].conditions.channel.count > 1;
        grid_write(grid, panel.row + 3, panel.column + 1, panel.columns - 1, ROLE_DIM,
                   network ? "Only the network's rays: a adds one." : "No echoes: a adds one.");
    }
}

/* ---- The accounts. ---- */

/* Both accounts side by side, and the margin that ideal receivers would have. */
static void fill_accounts(const struct verdicts *verdicts, struct account_rows *beside)
{
    accounts_beside(verdicts, beside);
    struct account_row *last = &beside->rows[beside->count++];
    *last = (struct account_row){.step = "if ideal"};
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct verdict *verdict = &verdicts->of[i];
        last->db[i] =
            verdict->reception.system->ideal_margin_db(&verdict->reception, &verdict->fare);
    }
}

static void draw_db(struct grid *grid, int row, int column, int width, enum role role,
                    const struct account_row *step, enum generation generation)
{
    char text[32];
    account_row_text(step, generation, text, sizeof text);
    screen_right(grid, row, column, width, role, text);
}

/* Which of the account's rows are seen, beside the words that name it. */
static void draw_account_more(struct grid *grid, struct rect panel, int first, int seen, int count)
{
    char more[32];
    if (seen < count) {
        text_format(more, sizeof more, "%d-%d of %d, < >", first + 1, first + seen, count);
        grid_write(grid, panel.row, panel.column + 4, panel.columns - 22, ROLE_DIM, more);
    }
}

static void draw_plp(const struct desk *desk, struct grid *grid, int row, int start, int column,
                     int width, int plp)
{
    const struct verdict *verdict = desk_plp(desk, plp);
    char text[NAME_MAX_BYTES + 8];
    if (verdict) {
        text_format(text, sizeof text, "plp %s", verdict->facts.plp);
        screen_fit(grid, row, start, column - start, ROLE_PLAIN, text);
        figure_text(figure_find(&generation_figures, "margin_db"), verdict, text, sizeof text);
        screen_right(grid, row, column, width, verdict->works ? ROLE_GOOD : ROLE_BAD, text);
    }
}

static void draw_accounts(const struct desk *desk, const struct echo_state *state,
                          struct grid *grid, struct rect panel)
{
    const struct scenario *scenario = &desk->profile.scenario;
    const struct verdicts *verdicts = desk_verdicts(desk);
    const struct verdict *of = verdicts ? verdicts->of : NULL;
    int width = 9, second = panel.column + panel.columns - width, first = second - width;
    grid_write(grid, panel.row, panel.column + 1, -1, ROLE_TITLE, "dB");
    screen_right(grid, panel.row, first, width, ROLE_FIRST,
                 system_of(scenario, GENERATION_FIRST)->name);
    screen_right(grid, panel.row, second, width, ROLE_SECOND,
                 system_of(scenario, GENERATION_SECOND)->name);
    if (!of || !of[GENERATION_FIRST].known || !of[GENERATION_SECOND].known) {
        struct rect rest = {panel.row + 1, panel.column + 1, panel.rows - 1, panel.columns - 1};
        grid_write_wrapped(grid, rest, ROLE_WARN, desk_no_verdict(desk));
        return;
    }
    bool works[2] = {of[GENERATION_FIRST].works, of[GENERATION_SECOND].works};
    int row = panel.row + 1;
    screen_right(grid, row, first, width, works[0] ? ROLE_GOOD : ROLE_BAD,
                 works[0] ? "decodes" : "fails");
    screen_right(grid, row, second, width, works[1] ? ROLE_GOOD : ROLE_BAD,
                 works[1] ? "decodes" : "fails");
    grid_write(grid, row, panel.column + 1, -1, ROLE_PLAIN, "verdict");
    struct account_rows beside;
    fill_accounts(verdicts, &beside);
    int first_row = state->account.at, seen = 0, count = beside.count + echo_plps(desk);
    for (int i = first_row; i < count && seen + 2 < panel.rows; i++, seen++) {
        bool margin = i == beside.count - 2;
        row = panel.row + 2 + seen;
        if (i >= beside.count) {
            draw_plp(desk, grid, row, panel.column + 1, second, width, i - beside.count);
            continue;
        }
        grid_write(grid, row, panel.column + 1, first - panel.column - 1,
                   margin ? ROLE_TITLE : ROLE_PLAIN, beside.rows[i].step);
        draw_db(grid, row, first, width, margin ? (works[0] ? ROLE_GOOD : ROLE_BAD) : ROLE_FIRST,
                &beside.rows[i], GENERATION_FIRST);
        draw_db(grid, row, second, width, margin ? (works[1] ? ROLE_GOOD : ROLE_BAD) : ROLE_SECOND,
                &beside.rows[i], GENERATION_SECOND);
    }
    draw_account_more(grid, panel, first_row, seen, count);
}

/* ---- Pictures. ---- */

static void draw_picture(const struct desk *desk, const struct echo_state *state, struct grid *grid,
                         struct rect area, int which)
{
    const struct verdicts *verdicts = desk_verdicts(desk);
    const struct picture *picture = echo_picture_of(state, which);
    if (area.rows <= 0 || area.columns <= 0) {
        return;
    }
    if (picture) {
        gallery_draw(&state->gallery, which, picture, grid, area);
    } else if (echo_is_busy(state)) {
        grid_write(grid, area.row + area.rows / 2, area.column + 2, area.columns - 2, ROLE_DIM,
                   "computing ...");
    } else if (verdicts && !verdicts->of[GENERATION_SECOND].known) {
        grid_write(grid, area.row + area.rows / 2, area.column + 2, area.columns - 2, ROLE_DIM,
                   "This picture needs an SNR: say one in the list above.");
    }
}

static void draw_pictures(const struct desk *desk, const struct echo_state *state,
                          struct grid *grid, const struct main_layout *layout)
{
    gallery_rule(&state->gallery, layout->second_picture.columns > 0,
                 echo_is_busy(state) ? ", computing" : "", grid, layout->rule);
    draw_picture(desk, state, grid, layout->picture, state->gallery.at);
    draw_picture(desk, state, grid, layout->second_picture, gallery_second(&state->gallery));
}

void echo_draw(const struct desk *desk, const void *opaque, struct grid *grid, struct rect area)
{
    const struct echo_state *state = opaque;
    struct main_layout layout = echo_layout(area);
    draw_list(desk, state, grid, layout.settings);
    screen_divider(grid, layout.divider);
    draw_accounts(desk, state, grid, layout.quantities);
    if (layout.explain.columns > 0) {
        screen_divider(grid, layout.explain_divider);
        struct text text = {0};
        echo_explain(desk, state, &text);
        struct rect inner = layout.explain;
        inner.column++;
        inner.columns--;
        screen_text_or_key(grid, inner, text_string(&text));
        text_free(&text);
    }
    draw_pictures(desk, state, grid, &layout);
}

void echo_words(const struct desk *desk, const void *opaque, struct text *out)
{
    (void)opaque;
    const struct verdicts *verdicts = desk_verdicts(desk);
    if (verdicts) {
        verdict_words_decision(verdicts, out);
    } else {
        text_append(out, desk_no_verdict(desk));
    }
}

/* The list in words: there names may have been cut. */
static void write_echoes(const struct scenario *scenario, struct text *out)
{
    for (int i = 0; i < scenario->echo_count; i++) {
        text_printf(out, "%s: ", scenario->echo_names[i]);
        for (int column = 0; column < ECHO_COLUMN_COUNT; column++) {
            char value[64];
            field_format_unit(echo_field(i, (enum echo_column)column), &scenario->echoes[i], value,
                              sizeof value);
            text_printf(out, "%s%s", column ? ", " : "", value);
        }
        text_append(out, "\n");
    }
    text_append(out, scenario->echo_count > 0 ? "\n" : "");
}

void echo_explain(const struct desk *desk, const void *opaque, struct text *out)
{
    (void)opaque;
    const struct verdicts *verdicts = desk_verdicts(desk);
    write_echoes(&desk->profile.scenario, out);
    if (!verdicts) {
        text_append(out, desk_no_verdict(desk));
        return;
    }
    verdict_words(verdicts, out);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        text_printf(out, "\n\n%s. ", verdicts->of[i].reception.system->name);
        verdict_words_steps(&verdicts->of[i], out);
    }
    text_append(out, "\n\n");
    verdict_words_decision(verdicts, out);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct system *system = verdicts->of[i].reception.system;
        text_printf(out, "\n\n%s: %s", system->name, system->assumes);
    }
    text_append(out, "\n\n\"If ideal\": the margin without the losses of real receivers.\n");
}
