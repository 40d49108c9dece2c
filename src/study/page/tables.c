/* The two kinds of table on pages: a row of labels over rows of values, and columns of PLPs beside
 * labels. */
#include <string.h>

#include "study/page/reader.h"

/* The line's cells as [starts[i], ends[i]); returns how many, at most COLUMNS_MAX. */
static int split_cells(const struct reader *r, int *starts, int *ends)
{
    int cells = 0;
    for (int i = 0; i < r->count && cells < COLUMNS_MAX;) {
        if (reader_is_break(r, i)) {
            i++;
            continue;
        }
        starts[cells] = i;
        while (!reader_is_break(r, i)) {
            i++;
        }
        ends[cells++] = i;
    }
    return cells;
}

/* The topic of a cell that is nothing but a label, with or without a unit in parentheses. */
static bool cell_is_label(const struct reader *r, int from, int to, enum topic *topic)
{
    int taken;
    *topic = label_at(r->atoms, r->count, from, &taken);
    for (int i = from + taken; i < to; i++) {
        if (r->atoms[i].kind == ATOM_NUMBER) {
            return false;
        }
    }
    return taken > 0;
}

/* A row of labels: at least two cells, and all of them labels. */
bool table_read_header(struct reader *r)
{
    int starts[COLUMNS_MAX], ends[COLUMNS_MAX];
    enum topic topics[COLUMNS_MAX];
    int cells = split_cells(r, starts, ends);
    for (int i = 0; i < cells; i++) {
        if (!cell_is_label(r, starts[i], ends[i], &topics[i])) {
            return false;
        }
    }
    if (cells < 2) {
        return false;
    }
    bool any = false;
    for (int i = 0; i < cells; i++) {
        any = any || topics[i] != TOPIC_NOTHING;
    }
    memcpy(r->header, topics, sizeof topics[0] * (size_t)cells);
    r->header_count = any ? cells : 0;
    reader_consume(r, 0, r->count);
    return true;
}

/* No cell starts with a label that waits for another cell. */
static bool is_value_row(const struct reader *r)
{
    int starts[COLUMNS_MAX], ends[COLUMNS_MAX];
    int cells = split_cells(r, starts, ends);
    for (int i = 0; i < cells; i++) {
        enum topic topic;
        int taken;
        if (cell_is_label(r, starts[i], ends[i], &topic)) {
            return false;
        }
        topic = label_at(r->atoms, r->count, starts[i], &taken);
        if (taken > 0 && topic != r->header[i] && topic != TOPIC_LENGTH &&
            topic != TOPIC_INTERLEAVER) {
            return false;
        }
    }
    return cells > 0;
}

bool table_read_row(struct reader *r)
{
    int starts[COLUMNS_MAX], ends[COLUMNS_MAX];
    int cells = split_cells(r, starts, ends);
    if (r->header_count < 2 || cells != r->header_count || !is_value_row(r)) {
        return false;
    }
    for (int i = 0; i < cells; i++) { /* the row's PLP, wherever its column stands */
        if (r->header[i] == TOPIC_PLP) {
            int taken;
            label_at(r->atoms, r->count, starts[i], &taken);
            reader_consume(r, starts[i], starts[i] + taken);
            reader_read_value(r, TOPIC_PLP, UNIT_NONE, starts[i], starts[i] + taken, ends[i]);
        }
    }
    for (int i = 0; i < cells; i++) {
        if (r->header[i] != TOPIC_PLP) {
            reader_read_value(r, r->header[i], UNIT_NONE, starts[i], starts[i], ends[i]);
        }
    }
    return true;
}

/* "PLP 0   PLP 1" or "PLP | 0 | 1": columns of PLPs. */
bool table_read_plp_columns(struct reader *r)
{
    int plps[COLUMNS_MAX], count = 0;
    bool labelled = false;
    for (int i = 0; i < r->count; i++) {
        int taken;
        enum topic topic = label_at(r->atoms, r->count, i, &taken);
        if (taken > 0 && (topic == TOPIC_PLP || topic == TOPIC_NOTHING)) {
            labelled = labelled || topic == TOPIC_PLP;
            i += taken - 1;
        } else if (r->atoms[i].kind == ATOM_NUMBER && r->atoms[i].whole && count < COLUMNS_MAX &&
                   r->atoms[i].number <= PAGE_PLP_MAX) {
            plps[count++] = (int)r->atoms[i].number;
        } else if (r->atoms[i].kind == ATOM_WORD || r->atoms[i].kind == ATOM_NUMBER) {
            return false;
        }
    }
    if (!labelled || count < 2) {
        return false;
    }
    memcpy(r->plps, plps, sizeof plps[0] * (size_t)count);
    r->plp_columns = count;
    for (int i = 0; i < count; i++) {
        struct value value = {.key = "page.plp", .number = plps[i], .last = r->count - 1};
        text_format(value.text, sizeof value.text, "%d", plps[i]);
        reader_keep_entry(r, TOPIC_PLP, &value, 0);
    }
    reader_consume(r, 0, r->count);
    return true;
}

/* A line that says nothing but a PLP's number starts that PLP's part of the page. */
bool table_is_heading(const struct reader *r)
{
    int numbers = 0, words = 0;
    for (int i = 0; i < r->count; i++) {
        numbers += r->atoms[i].kind == ATOM_NUMBER;
        words += r->atoms[i].kind == ATOM_WORD && !word_is_noise(r->atoms[i].word);
    }
    return numbers == 1 && words <= 2;
}

/* Values for each PLP of a table's columns: exactly as many cells as there are PLPs. */
bool table_read_plp_cells(struct reader *r, enum topic topic, int first, int at)
{
    int starts[COLUMNS_MAX + 1], cells = 0;
    for (int i = at; i < r->count; i++) {
        if (!reader_is_break(r, i) && (i == at || reader_is_break(r, i - 1))) {
            if (cells == r->plp_columns) {
                return false;
            }
            starts[cells++] = i;
        }
    }
    if (cells != r->plp_columns || cells < 2) {
        return false;
    }
    starts[cells] = r->count;
    int kept = r->line_plp;
    for (int i = 0; i < cells; i++) {
        r->line_plp = r->plps[i];
        reader_read_value(r, topic, UNIT_NONE, i == 0 ? first : starts[i], starts[i],
                          starts[i + 1]);
    }
    r->line_plp = kept;
    return true;
}
