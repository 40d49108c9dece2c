/* Services, the best divisions of the channel among them, and what the selected one gives each. */
#include "explorer/divide/draw.h"

#include <math.h>

#include "explorer/desk/words.h"
#include "explorer/frame/screen.h"

/* ---- Tables of figures: of a service, of a division, of what a division gives a service. ---- */

/* A cell: its text ends where the column does; the first column of a table begins at the left. */
struct column {
    const char *name; /* of the figure or field */
    int width;
    int from; /* columns of the panel, from which on it is shown */
};

static int sum_of_widths(const struct column *columns, int count, int room)
{
    int sum = 0;
    for (int i = 0; i < count && columns[i].from <= room; i++) {
        sum += columns[i].width;
    }
    return sum;
}

/* Columns stand in order, and those that are not shown are the last ones. */
static void put(struct grid *grid, struct rect panel, int row, const struct column *columns, int i,
                enum role role, const char *text)
{
    int end = panel.column + 1 + sum_of_widths(columns, i + 1, panel.columns);
    if (columns[i].from > panel.columns) {
        return;
    }
    if (i == 0) {
        screen_fit(grid, row, panel.column + 1, columns[0].width - 1, role, text);
    } else {
        screen_right(grid, row, end - columns[i].width, columns[i].width - 1, role, text);
    }
}

/* ---- Services. ---- */

static const struct column service_columns[] = {{"name", 11, 0},       {"rate_mbps", 10, 0},
                                                {"snr_db", 9, 0},      {"channel", 10, 0},
                                                {"speed_kmh", 10, 50}, {"echo_us", 9, 60}};
#define SERVICE_COLUMNS ((int)(sizeof service_columns / sizeof service_columns[0]))

static void draw_services(const struct desk *desk, const struct divide_state *state,
                          struct grid *grid, struct rect panel)
{
    const struct editor *editor = &state->editor;
    const struct cursor *cursor = &editor->items;
    bool here = !state->in_table && !editor->inside;
    put(grid, panel, panel.row, service_columns, 0, here ? ROLE_TITLE : ROLE_DIM, "Services");
    for (int c = 1; c < SERVICE_COLUMNS; c++) {
        const struct field *field = field_find("service", service_columns[c].name);
        put(grid, panel, panel.row, service_columns, c, ROLE_DIM,
            c == 2           ? "at, dB"
            : field->unit[0] ? field->unit
                             : field_label(field));
    }
    for (int i = cursor->first; i < cursor->count && i - cursor->first < panel.rows - 1; i++) {
        int row = panel.row + 1 + i - cursor->first;
        const struct service *service = &desk->profile.scenario.services[i];
        enum role role = editor_mark_row(editor, grid, panel, i, here);
        put(grid, panel, row, service_columns, 0, role, service->name);
        for (int c = 1; c < SERVICE_COLUMNS; c++) {
            char text[FIELD_TEXT_BYTES];
            field_format(field_find("service", service_columns[c].name), service, text,
                         sizeof text);
            put(grid, panel, row, service_columns, c, role, text);
        }
    }
}

/* ---- Divisions. ---- */

static const struct column division_columns[] = {
    {"kind", 11, 0},   {"spare_mbps", 8, 0}, {"fft", 5, 0},         {"guard", 9, 0},
    {"pilots", 8, 44}, {"boost", 6, 110},    {"reduction", 10, 110}};
#define DIVISION_COLUMNS ((int)(sizeof division_columns / sizeof division_columns[0]))
#define RATE_COLUMNS 10

/* Behind the figures of a division, a net rate for each service. */
static void put_rate(struct grid *grid, struct rect panel, int row, int service, enum role role,
                     const char *text)
{
    int start = panel.column + 1 + service * RATE_COLUMNS +
                sum_of_widths(division_columns, DIVISION_COLUMNS, panel.columns);
    if (start + RATE_COLUMNS > panel.column + panel.columns) {
        return;
    }
    if ((int)text_columns(text) < RATE_COLUMNS) {
        screen_right(grid, row, start, RATE_COLUMNS - 1, role, text);
    } else {
        screen_fit(grid, row, start, RATE_COLUMNS - 1, role, text);
    }
}

static void draw_division(const struct divide_state *state, const struct division *division,
                          struct grid *grid, struct rect panel, int i)
{
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
    for (int c = 0; c < DIVISION_COLUMNS; c++) {
        char text[32];
        figure_text(figure_find(&division_figures, division_columns[c].name), division, text,
                    sizeof text);
        put(grid, panel, row, division_columns, c, role, text);
    }
    for (int s = 0; s < division->count; s++) {
        char text[32];
        text_format(text, sizeof text, "%.2f", division->services[s].net_mbps);
        put_rate(grid, panel, row, s, role, text);
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
    for (int c = 0; c < DIVISION_COLUMNS; c++) {
        const struct figure *figure = figure_find(&division_figures, division_columns[c].name);
        put(grid, panel, panel.row, division_columns, c,
            c == 0 && state->in_table ? ROLE_TITLE : ROLE_DIM,
            figure->unit[0] ? "spare" : figure_brief(figure));
    }
    for (int s = 0; s < answer->divisions.best[0].count; s++) {
        put_rate(grid, panel, panel.row, s, ROLE_DIM, answer->divisions.best[0].services[s].name);
    }
    for (int i = cursor->first; i < cursor->count && i - cursor->first < panel.rows - 1; i++) {
        draw_division(state, &answer->divisions.best[i], grid, panel, i);
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
    {"name", 11, 0},     {"receiver_snr_db", 9, 0}, {"margin_db", 10, 0},     {"layer", 10, 50},
    {"rate", 7, 50},     {"constellation", 14, 64}, {"injection_db", 10, 72}, {"share", 8, 80},
    {"net_mbps", 8, 90}, {"length", 8, 100}};
#define DETAIL_COLUMNS ((int)(sizeof detail_columns / sizeof detail_columns[0]))
static const char *const detail_heads[DETAIL_COLUMNS] = {
    "Service",       "needs dB", "margin dB", "layer",  "code",
    "constellation", "below dB", "share",     "Mbit/s", "length"};

static void draw_details(const struct divide_state *state, struct grid *grid, struct rect panel)
{
    const struct division *division = divide_selected(state);
    if (!division || panel.rows <= 0) {
        return;
    }
    for (int c = 0; c < DETAIL_COLUMNS; c++) {
        put(grid, panel, panel.row, detail_columns, c, ROLE_DIM, detail_heads[c]);
    }
    for (int s = 0; s < division->count && s + 1 < panel.rows; s++) {
        for (int c = 0; c < DETAIL_COLUMNS; c++) {
            char text[64];
            figure_text(figure_find(&division_service_figures, detail_columns[c].name),
                        &division->services[s], text, sizeof text);
            put(grid, panel, panel.row + 1 + s, detail_columns, c, c == 3 ? ROLE_GOOD : ROLE_PLAIN,
                text);
        }
    }
}

static void draw_page(const struct divide_state *state, struct grid *grid,
                      const struct divide_layout *layout)
{
    static const char *const pages[PAGE_COUNT] = {"services", "frame", "rates"};
    bool both = layout->picture_rule.rows > 0;
    int from = both ? PAGE_FRAME : PAGE_DETAILS, turned = PAGE_COUNT - from;
    int at = (int)state->page < from ? from : (int)state->page;
    char words[96];
    size_t used = text_format(words, sizeof words, "n next");
    for (int k = 0; k < turned; k++) {
        int page = from + (at - from + k) % turned;
        used += text_format(words + used, sizeof words - used, k ? "  %s " : " [%s]", pages[page]);
    }
    screen_rule(grid, layout->rule, both ? "services of the selected division" : words);
    screen_rule(grid, layout->picture_rule, words);
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
    "divisions are then found: one PLP for all, a PLP each, a subframe each, and layers.";

void divide_draw(const struct desk *desk, const void *opaque, struct grid *grid, struct rect area)
{
    const struct divide_state *state = opaque;
    struct divide_layout layout = divide_layout(state, area);
    if (desk->profile.scenario.service_count == 0) {
        struct rect inner = {area.row + 1, area.column + 1, area.rows - 1, area.columns - 2};
        screen_text(grid, inner, ROLE_PLAIN, no_services, 0);
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
