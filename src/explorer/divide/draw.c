/* Services, the best divisions of the channel among them, and what the selected one gives each. */
#include "explorer/divide/draw.h"

#include <math.h>

#include "explorer/desk/words.h"
#include "explorer/frame/screen.h"
#include "system/space/space.h"
#include "system/system.h"

/* ---- Tables of figures: of a service, of a division, of what a division gives a service. ---- */

/* A cell: its text ends where the column does; the first column of a table begins at the left, and
 * stays there where the others are moved out sideways. A column of no width is left out. */
struct column {
    const char *name; /* of the figure or field; NULL: a service's net rate */
    int width;
};
#define COLUMNS_MAX 12
struct table {
    struct rect panel;
    const struct column *columns;
    int count, sideways; /* so many behind the first are out of sight */
};

/* Where a column begins; -1: out of sight. Columns stand in order, and those that do not fit are
 * the last ones. */
static int start_of(const struct table *table, int i)
{
    int start = 1;
    for (int k = 0; k < i; k++) {
        start += k == 0 || k > table->sideways ? table->columns[k].width : 0;
    }
    bool seen = table->columns[i].width > 0 && (i == 0 || i > table->sideways);
    /* The blank behind the last one may be missing. */
    return seen && start + table->columns[i].width <= table->panel.columns + 1 ? start : -1;
}

/* As far as a table can be moved until its last column is seen. */
static int sideways_most(struct table table)
{
    table.sideways = 0;
    while (table.sideways + 2 < table.count && start_of(&table, table.count - 1) < 0) {
        table.sideways++;
    }
    return table.sideways;
}

static void put(struct grid *grid, const struct table *table, int row, int i, enum role role,
                const char *text)
{
    int start = start_of(table, i), width = table->columns[i].width - 1;
    if (start < 0) {
        return;
    }
    start += table->panel.column;
    if (i == 0 || (int)text_columns(text) > width) {
        screen_fit(grid, row, start, width, role, text);
    } else {
        screen_right(grid, row, start, width, role, text);
    }
}

/* ---- Services. ---- */

static const struct column service_columns[] = {{"name", 11},    {"rate_mbps", 10}, {"snr_db", 9},
                                                {"channel", 10}, {"speed_kmh", 10}, {"echo_us", 9}};
#define SERVICE_COLUMNS ((int)(sizeof service_columns / sizeof service_columns[0]))

static void draw_services(const struct desk *desk, const struct divide_state *state,
                          struct grid *grid, struct rect panel)
{
    const struct editor *editor = &state->editor;
    const struct cursor *cursor = &editor->items;
    const struct table table = {panel, service_columns, SERVICE_COLUMNS, 0};
    bool here = !state->in_table && !editor->inside;
    put(grid, &table, panel.row, 0, here ? ROLE_TITLE : ROLE_DIM, "Services");
    for (int c = 1; c < SERVICE_COLUMNS; c++) {
        const struct field *field = field_find("service", service_columns[c].name);
        put(grid, &table, panel.row, c, ROLE_DIM,
            c == 2           ? "at, dB"
            : field->unit[0] ? field->unit
                             : field_label(field));
    }
    for (int i = cursor->first; i < cursor->count && i - cursor->first < panel.rows - 1; i++) {
        int row = panel.row + 1 + i - cursor->first;
        const struct service *service = &desk->profile.scenario.services[i];
        enum role role = editor_mark_row(editor, grid, panel, i, here);
        put(grid, &table, row, 0, role, service->name);
        for (int c = 1; c < SERVICE_COLUMNS; c++) {
            char text[FIELD_TEXT_BYTES];
            field_format(field_find("service", service_columns[c].name), service, text,
                         sizeof text);
            put(grid, &table, row, c, role, text);
        }
    }
}

/* ---- Divisions. ---- */

static const struct column division_columns[] = {
    {"kind", 11}, {"spare_mbps", 8}, {"fft", 5}, {"guard", 9}, {"pilots", 8}};
static const struct column division_last[] = {{"boost", 6}, {"reduction", 10}};
#define DIVISION_COLUMNS ((int)(sizeof division_columns / sizeof division_columns[0]))
#define DIVISION_LAST ((int)(sizeof division_last / sizeof division_last[0]))
#define RATE_COLUMNS 10
_Static_assert(DIVISION_COLUMNS + SERVICES_MAX + DIVISION_LAST <= COLUMNS_MAX, "they fit");

/* What most look for, a net rate for each service, and the rest. */
static struct table division_table(const struct divide_state *state, struct rect panel,
                                   int services, struct column columns[COLUMNS_MAX])
{
    struct table table = {panel, columns, 0, 0};
    for (int i = 0; i < DIVISION_COLUMNS; i++) {
        columns[table.count++] = division_columns[i];
    }
    for (int i = 0; i < services; i++) {
        columns[table.count++] = (struct column){NULL, RATE_COLUMNS};
    }
    for (int i = 0; i < DIVISION_LAST; i++) {
        columns[table.count++] = division_last[i];
    }
    int most = sideways_most(table);
    table.sideways = state->sideways < most ? state->sideways : most;
    return table;
}

static void draw_division(const struct divide_state *state, const struct division *division,
                          struct grid *grid, const struct table *table, int i)
{
    const struct rect panel = table->panel;
    int row = panel.row + 1 + i - state->division.first;
    bool here = i == state->division.at, pressed = here && state->in_table;
    enum role role = state->errand.pending ? ROLE_DIM
                     : pressed             ? ROLE_SELECTED
                     : here                ? ROLE_TITLE
                                           : ROLE_PLAIN;
    if (pressed) {
        screen_fill(grid, (struct rect){row, panel.column, 1, panel.columns}, role);
    }
    screen_mark_in(grid, row, panel.column, here, state->in_table);
    for (int c = 0; c < table->count; c++) {
        char text[32];
        if (table->columns[c].name) {
            figure_text(figure_find(&division_figures, table->columns[c].name), division, text,
                        sizeof text);
        } else {
            text_format(text, sizeof text, "%.2f",
                        division->services[c - DIVISION_COLUMNS].net_mbps);
        }
        put(grid, table, row, c, role, text);
    }
}

static void draw_divisions(const struct divide_state *state, struct grid *grid, struct rect panel)
{
    const struct divide_answer *answer = divide_last(state);
    const struct cursor *cursor = &state->division;
    if (panel.rows <= 0 || !answer) {
        return;
    }
    if (answer->status != STATUS_OK) {
        struct rect inner = {panel.row, panel.column + 1, panel.rows, panel.columns - 2};
        char words[1024];
        text_format(words, sizeof words, "%s%s%s (%s)", answer->fault.place,
                    answer->fault.place[0] ? ": " : "", answer->fault.wrong, answer->fault.allowed);
        grid_write_wrapped(grid, inner, ROLE_WARN, words);
        return;
    }
    const struct division *best = answer->divisions.best;
    struct column columns[COLUMNS_MAX] = {{0}};
    struct table table = division_table(state, panel, best->count, columns);
    for (int c = 0; c < table.count; c++) {
        const struct figure *figure =
            columns[c].name ? figure_find(&division_figures, columns[c].name) : NULL;
        put(grid, &table, panel.row, c, c == 0 && state->in_table ? ROLE_TITLE : ROLE_DIM,
            !figure           ? best->services[c - DIVISION_COLUMNS].name
            : figure->unit[0] ? "spare"
                              : figure_brief(figure));
    }
    for (int i = cursor->first; i < cursor->count && i - cursor->first < panel.rows - 1; i++) {
        draw_division(state, &best[i], grid, &table, i);
    }
}

static void draw_head(const struct desk *desk, const struct divide_state *state, struct grid *grid,
                      struct rect rule)
{
    char words[96];
    if (state->errand.pending) {
        text_format(words, sizeof words, "divisions, computing %.0f %%, Space stops",
                    100.0 * job_progress(&state->errand.job));
    } else if (state->stopped) {
        text_format(words, sizeof words, "divisions: stopped, Space begins again");
    } else if (divide_selected(state)) {
        text_format(words, sizeof words, "divisions, rates in Mbit/s; Enter on one takes it over");
    } else {
        text_format(words, sizeof words, "divisions: %s",
                    desk->profile.scenario.service_count > 0 ? "none" : "no services");
    }
    screen_rule(grid, rule, words);
}

/* ---- What a division gives each service. ---- */

static const struct column detail_columns[] = {
    {"name", 11},    {"receiver_snr_db", 9}, {"margin_db", 10},    {"layer", 10},
    {"rate", 7},     {"constellation", 14},  {"injection_db", 10}, {"share", 8},
    {"net_mbps", 8}, {"length", 8}};
#define DETAIL_COLUMNS ((int)(sizeof detail_columns / sizeof detail_columns[0]))
#define DETAIL_INJECTION 6
_Static_assert(DETAIL_COLUMNS <= COLUMNS_MAX, "they fit");
static const char *const detail_heads[DETAIL_COLUMNS] = {
    "Service",       "needs dB", "margin dB", "layer",  "code",
    "constellation", "below dB", "share",     "Mbit/s", "length"};

/* Without layers nothing lies below anything. */
static struct table detail_table(const struct divide_state *state, const struct division *division,
                                 struct rect panel, struct column columns[COLUMNS_MAX])
{
    struct table table = {panel, columns, DETAIL_COLUMNS, 0};
    bool layers = false;
    for (int s = 0; s < division->count; s++) {
        layers = layers || !isnan(division->services[s].injection_db);
    }
    for (int i = 0; i < DETAIL_COLUMNS; i++) {
        columns[i] = detail_columns[i];
    }
    columns[DETAIL_INJECTION].width *= layers;
    int most = sideways_most(table);
    table.sideways = state->sideways < most ? state->sideways : most;
    return table;
}

static void draw_details(const struct divide_state *state, struct grid *grid, struct rect panel)
{
    const struct division *division = divide_selected(state);
    struct column columns[COLUMNS_MAX] = {{0}};
    if (!division || panel.rows <= 0) {
        return;
    }
    const struct table table = detail_table(state, division, panel, columns);
    for (int c = 0; c < DETAIL_COLUMNS; c++) {
        put(grid, &table, panel.row, c, ROLE_DIM, detail_heads[c]);
    }
    for (int s = 0; s < division->count && s + 1 < panel.rows; s++) {
        for (int c = 0; c < DETAIL_COLUMNS; c++) {
            char text[64];
            figure_text(figure_find(&division_service_figures, columns[c].name),
                        &division->services[s], text, sizeof text);
            put(grid, &table, panel.row + 1 + s, c, c == 3 ? ROLE_GOOD : ROLE_PLAIN, text);
        }
    }
}

int divide_sideways_most(const struct divide_state *state, const struct divide_layout *layout)
{
    const struct divide_answer *answer = divide_last(state);
    const struct division *division = divide_selected(state);
    struct column columns[COLUMNS_MAX] = {{0}};
    int most = 0;
    if (answer && answer->status == STATUS_OK) {
        most = sideways_most(
            division_table(state, layout->table, answer->divisions.best[0].count, columns));
    }
    if (division && layout->details.rows > 0) {
        int details = sideways_most(detail_table(state, division, layout->details, columns));
        most = details > most ? details : most;
    }
    return most;
}

static void draw_page(const struct divide_state *state, struct grid *grid,
                      const struct divide_layout *layout)
{
    static const char *const pages[PAGE_COUNT] = {"services", "frame", "rates"};
    bool both = layout->picture_rule.rows > 0;
    int from = both ? PAGE_FRAME : PAGE_DETAILS, turned = PAGE_COUNT - from;
    int at = (int)state->page < from ? from : (int)state->page;
    char words[96];
    bool hidden = layout->details.rows > 0 && divide_sideways_most(state, layout) > 0;
    const char *more = hidden ? "  ←→ more columns" : "";
    size_t used = text_format(words, sizeof words, "n next");
    for (int k = 0; k < turned; k++) {
        int page = from + (at - from + k) % turned;
        used += text_format(words + used, sizeof words - used, k ? "  %s " : " [%s]", pages[page]);
    }
    screen_rule(grid, layout->picture_rule, words);
    if (both) {
        text_format(words, sizeof words, "services of the selected division%s", more);
    } else {
        text_format(words + used, sizeof words - used, "%s", more);
    }
    screen_rule(grid, layout->rule, words);
    draw_details(state, grid, layout->details);
    const struct picture *picture = divide_picture(state);
    if (layout->picture.rows > 0 && picture) {
        picture_draw_grid(picture, grid, layout->picture);
    } else if (layout->picture.rows > 0) {
        grid_write(grid, layout->picture.row, layout->picture.column + 1, -1, ROLE_DIM,
                   state->errand.pending ? "computing ..." : "There is no picture to show.");
    }
}

static const char no_services[] =
    "No services: a adds three to begin with, phones on the move, small antennas in rooms, and "
    "roofs. Each says the net rate that it needs (one has the rest), the SNR at which it must "
    "work, how fast its receivers move, the longest echo and the kind of channel. The best legal "
    "divisions are then found: one PLP for all, a PLP each";

static void draw_no_services(const struct desk *desk, struct grid *grid, struct rect area)
{
    bool more = system_of(&desk->profile.scenario, GENERATION_SECOND)->space->subframes;
    struct text words = {0};
    text_printf(&words, "%s%s.", no_services, more ? ", a subframe each, and layers" : "");
    screen_text(grid, area, ROLE_PLAIN, text_string(&words), 0);
    text_free(&words);
}

void divide_draw(const struct desk *desk, const void *opaque, struct grid *grid, struct rect area)
{
    const struct divide_state *state = opaque;
    struct divide_layout layout = divide_layout(state, area);
    if (desk->profile.scenario.service_count == 0) {
        struct rect inner = {area.row + 1, area.column + 1, area.rows - 1, area.columns - 2};
        draw_no_services(desk, grid, inner);
        return;
    }
    if (layout.list.rows > 0) {
        draw_services(desk, state, grid, layout.list);
    }
    screen_divider(grid, layout.divider);
    if (layout.values.rows > 0) {
        editor_draw_values(desk, &state->editor, grid, layout.values);
    }
    if (layout.head.rows > 0) {
        draw_head(desk, state, grid, layout.head);
    }
    draw_divisions(state, grid, layout.table);
    if (layout.rule.rows > 0) {
        draw_page(state, grid, &layout);
    }
}

/* ---- Words. ---- */

static void service_words(const struct service *service, struct text *out)
{
    text_printf(out, "%s asks for ", service->name);
    if (isnan(service->rate_mbps)) {
        text_append(out, "what the others leave");
    } else {
        text_printf(out, "%g Mbit/s", service->rate_mbps);
    }
    text_printf(out, ", and must work at %g dB", service->snr_db);
    if (service->channel == SERVICE_IN_RAYLEIGH) {
        text_append(out, " in a fading (Rayleigh) channel");
    }
    if (service->speed_kmh > 0.0) {
        text_printf(out, ", at %g km/h", service->speed_kmh);
    }
    if (service->echo_us > 0.0) {
        text_printf(out, ", with echoes of %g us", service->echo_us);
    }
    text_append(out, ".");
}

static void division_words(const struct divide_answer *answer, const struct division *division,
                           struct text *out)
{
    text_printf(out, "%s. %.2f Mbit/s to spare for %s.\n", division_kind_words(division->kind),
                division->spare_mbps, division_taker(&answer->scenario));
    division_words_waveform(division, out);
    text_append(out, ".");
}

void divide_words(const struct desk *desk, const void *opaque, struct text *out)
{
    const struct divide_state *state = opaque;
    const struct editor_row *row = editor_selected(&state->editor);
    const struct division *division = divide_selected(state);
    struct value value;
    char name[64] = "";
    if (state->in_table) {
        if (division) {
            division_words(divide_last(state), division, out);
        }
        return;
    }
    if (state->editor.inside && editor_value(&state->editor, &value)) {
        value_name(&value, name, sizeof name);
    }
    if (name[0]) {
        words_short(desk, name, out);
    } else if (row) {
        service_words(&desk->profile.scenario.services[row->item], out);
    }
}

void divide_explain(const struct desk *desk, const void *opaque, struct text *out)
{
    const struct divide_state *state = opaque;
    const struct scenario *scenario = &desk->profile.scenario;
    const struct divide_answer *answer = state->errand.pending ? NULL : divide_last(state);
    struct value value;
    char name[64] = "";
    if (!state->in_table && state->editor.inside && editor_value(&state->editor, &value)) {
        value_name(&value, name, sizeof name);
        words_long(desk, name, out);
        text_append(out, "\n");
    }
    for (int s = 0; s < scenario->service_count; s++) {
        service_words(&scenario->services[s], out);
        text_append(out, "\n");
    }
    for (int i = 0; answer && answer->status == STATUS_OK && i < answer->divisions.count; i++) {
        const struct division *division = &answer->divisions.best[i];
        text_append(out, "\n");
        division_words(answer, division, out);
        for (int s = 0; s < division->count; s++) {
            const struct division_service *service = &division->services[s];
            text_printf(out, "\n%s: %s, %s %s, %.2f Mbit/s, needs %.1f dB, %.1f dB to spare.",
                        service->name, service->layer, service->constellation, service->rate,
                        service->net_mbps, service->receiver_snr_db, service->margin_db);
        }
        text_append(out, "\n");
    }
    text_append(out, "\n");
    division_assumes(&desk->profile.scenario, out);
    text_printf(out, "\n\n%s\n", division_spares);
}
