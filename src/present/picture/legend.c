/* Entries flow from left to right and on into the next row; measuring and drawing go the same way,
 * the one without a grid. */
#include "present/picture/legend.h"

#define APART 2 /* columns between entries */

struct flow {
    const struct legend *legend;
    struct grid *grid; /* NULL: measures */
    int row, column;   /* of the legend's place on the grid */
    int last;          /* row of the legend */
    int at_row, at_column;
};

enum line_pattern legend_pattern(enum role role)
{
    static const enum line_pattern patterns[ROLE_COUNT] = {
        [ROLE_FIRST] = LINE_DASHED, [ROLE_PINNED] = LINE_DOTTED, [ROLE_DIM] = LINE_DOTTED};
    return patterns[role];
}

static void sample_of(const struct series *series, bool ascii, char *buffer, size_t size)
{
    static const char *const samples[][2] = {
        [LINE_SOLID] = {"──", "--"}, [LINE_DASHED] = {"╌╌", "- "}, [LINE_DOTTED] = {"··", ".."}};
    if (series->kind == SERIES_LINE || series->kind == SERIES_STEPS) {
        text_format(buffer, size, "%s", samples[legend_pattern(series->role)][ascii]);
    } else if (series->kind == SERIES_BARS) {
        text_format(buffer, size, "%s", ascii ? "+|+" : "┬│┴");
    } else {
        text_format(buffer, size, "%c", series->glyph ? series->glyph : '.');
    }
}

/* Begins a row where it would not be whole in this one, so long as there is one. */
static void put(struct flow *flow, enum role role, const char *text, int apart)
{
    int width = (int)text_columns(text);
    if (flow->at_column > 0 && flow->at_column + width > flow->legend->columns &&
        flow->at_row < flow->last) {
        flow->at_row++;
        flow->at_column = 0;
    }
    int room = flow->legend->columns - flow->at_column;
    if (flow->grid != NULL && room > 0) {
        grid_write(flow->grid, flow->row + flow->at_row, flow->column + flow->at_column, room, role,
                   text);
    }
    flow->at_column += width + apart;
}

/* The names of its points instead of its label, in a row of their own. */
static void put_names(struct flow *flow, const struct series *series, const char *sample)
{
    char name[PICTURE_NAME_BYTES + 2], text[96];
    bool first = true;
    if (flow->at_column > 0 && flow->at_row < flow->last) {
        flow->at_row++;
        flow->at_column = 0;
    }
    for (size_t i = 0; series_tell_name(series, &i, name, sizeof name); first = false) {
        text_format(text, sizeof text, "%s%s%s", first ? sample : "", first ? " " : "", name);
        put(flow, series->role, text, 1);
    }
}

static void put_all(struct flow *flow)
{
    const struct picture *picture = flow->legend->picture;
    for (size_t i = 0; i < picture->series_count; i++) {
        const struct series *series = &picture->series[i];
        char sample[16], text[96];
        if (!series->label[0]) {
            continue;
        }
        sample_of(series, flow->legend->ascii, sample, sizeof sample);
        if (flow->legend->told && series->names) {
            put_names(flow, series, sample);
        } else {
            text_format(text, sizeof text, "%s %s", sample, series->label);
            put(flow, series->role, text, APART);
        }
    }
}

int legend_width(const struct legend *legend)
{
    struct flow flow = {.legend = legend};
    put_all(&flow);
    return flow.at_column > 0 ? flow.at_column - APART : 0;
}

int legend_rows(const struct legend *legend)
{
    struct flow flow = {.legend = legend, .last = legend->columns};
    put_all(&flow);
    return flow.at_row + 1;
}

void legend_draw(const struct legend *legend, struct grid *grid, int row, int column, int rows)
{
    int width = legend_width(legend);
    struct flow flow = {
        .legend = legend, .grid = grid, .row = row, .column = column, .last = rows - 1};
    flow.at_column = width < legend->columns ? legend->columns - width : 0;
    put_all(&flow);
}
