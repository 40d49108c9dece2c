/* The two kinds of table on pages: a row of labels over rows of values, and columns of PLPs beside
 * labels. Cells are parted by marks, tabs or two spaces; where a table has lost its spaces, as off
 * a photograph, by single ones. */
#include <string.h>

#include "study/page/reader.h"

/* A cell that needs no label is short. */
#define CELL_ATOMS_MAX 8

/* Cells as [starts[i], ends[i]); an empty one starts where it ends. */
struct cells {
    int count;
    int starts[COLUMNS_MAX + 1], ends[COLUMNS_MAX + 1];
};

static void add_cell(struct cells *cells, int start, int end)
{
    if (cells->count <= COLUMNS_MAX) {
        cells->starts[cells->count] = start;
        cells->ends[cells->count] = end;
        cells->count++;
    }
}

/* Parted by breaks; those that stand for empty cells too are counted where `empties`. */
static struct cells cells_between(const struct reader *r, int from, bool empties)
{
    struct cells cells = {0};
    for (int i = from; i < r->count;) {
        if (reader_is_break(r, i)) {
            bool inside = i > from && i + 1 < r->count;
            for (int extra = 1; empties && inside && extra < r->atoms[i].parts; extra++) {
                add_cell(&cells, i, i);
            }
            i++;
            continue;
        }
        int start = i;
        while (!reader_is_break(r, i)) {
            i++;
        }
        add_cell(&cells, start, i);
    }
    return cells;
}

/* Parted wherever atoms do not touch; a unit belongs to its number. */
static struct cells cells_of_words(const struct reader *r, int from)
{
    struct span span = reader_span(r, 0, r->count, UNIT_NONE, true);
    struct cells cells = {0};
    for (int i = from; i < r->count;) {
        if (reader_is_break(r, i)) {
            i++;
            continue;
        }
        int start = i++, taken;
        while (!reader_is_break(r, i) && r->atoms[i].glued) {
            i++;
        }
        if (r->atoms[i - 1].kind == ATOM_NUMBER && unit_at(&span, i, &taken) != UNIT_NONE) {
            i += taken;
        }
        add_cell(&cells, start, i);
    }
    return cells;
}

/* ---- A row of labels. ---- */

/* The topic of a cell that is nothing but a label, with or without a unit in parentheses. */
static bool cell_is_label(const struct reader *r, int from, int to, enum topic *topic,
                          enum unit *unit)
{
    struct span span = reader_span(r, from, to, UNIT_NONE, true);
    int taken;
    *topic = label_at(r->atoms, to, from, &taken);
    *unit = UNIT_NONE;
    for (int i = from + taken; i < to; i++) {
        int of_unit;
        *unit = *unit == UNIT_NONE ? unit_at(&span, i, &of_unit) : *unit;
        if (r->atoms[i].kind == ATOM_NUMBER ||
            (r->atoms[i].kind == ATOM_MARK && strchr("=:", r->atoms[i].mark))) {
            return false;
        }
    }
    return taken > 0;
}

/* Neither a label nor a value: "Name". */
static bool cell_is_title(const struct reader *r, int from, int to)
{
    for (int i = from; i < to; i++) {
        if (r->atoms[i].kind == ATOM_NUMBER ||
            (r->atoms[i].kind == ATOM_MARK && strchr("=:", r->atoms[i].mark))) {
            return false;
        }
    }
    return to > from;
}

/* Labels one behind the other without breaks: "PLP Mod Rate SNR". */
static struct cells cells_of_labels(const struct reader *r)
{
    struct cells cells = {0};
    for (int at = 0; at < r->count;) {
        int taken;
        label_at(r->atoms, r->count, at, &taken);
        taken = atom_is(&r->atoms[at], "plp") ? 1 : taken; /* not "PLP Mod" */
        if (taken > 0) {
            add_cell(&cells, at, at + taken);
        } else if (r->atoms[at].kind != ATOM_MARK || cells.count == 0) {
            return (struct cells){0};
        } else {
            cells.ends[cells.count - 1] = at + 1;
        }
        at += taken > 0 ? taken : 1;
    }
    return cells;
}

/* "ID   Mod   Rate": the first column numbers the PLPs where no other does. */
static void name_first_column(const struct reader *r, const struct cells *cells, enum topic *topics)
{
    static const char *const words[] = {"id", "no", "nr", "num", "number", "index", "idx", NULL};
    struct span first = reader_span(r, cells->starts[0], cells->ends[0], UNIT_NONE, true);
    bool numbers = span_find_word(&first, words) >= 0 || span_is_mark(&first, first.from, "#");
    bool named = false, codes = false;
    for (int i = 0; i < cells->count; i++) {
        named = named || topics[i] == TOPIC_PLP;
        codes = codes || topics[i] == TOPIC_CONSTELLATION || topics[i] == TOPIC_RATE;
    }
    topics[0] = numbers && !named && codes ? TOPIC_PLP : topics[0];
}

/* A row of labels: all of at least two cells, or most of at least three. */
bool table_read_header(struct reader *r)
{
    struct cells cells = cells_between(r, 0, true);
    enum topic topics[COLUMNS_MAX + 1];
    enum unit units[COLUMNS_MAX + 1];
    int labels = 0, meant = 0;
    cells = cells.count == 1 ? cells_of_labels(r) : cells;
    for (int i = 0; i < cells.count; i++) {
        bool is_label = cells.starts[i] < cells.ends[i] &&
                        cell_is_label(r, cells.starts[i], cells.ends[i], &topics[i], &units[i]);
        if (!is_label) {
            topics[i] = TOPIC_NOTHING;
            units[i] = UNIT_NONE;
        }
        if (!is_label && cells.starts[i] < cells.ends[i] &&
            !cell_is_title(r, cells.starts[i], cells.ends[i])) {
            return false;
        }
        labels += is_label;
        meant += topics[i] != TOPIC_NOTHING;
    }
    bool twice = cells.count == 2 && labels == 2 && topics[0] == topics[1]; /* "lock   locked" */
    bool all = cells.count >= 2 && labels == cells.count && !twice;
    bool most = cells.count >= 3 && meant >= 2 && 2 * labels >= cells.count;
    if ((!all && !most) || cells.count > COLUMNS_MAX) {
        return false;
    }
    name_first_column(r, &cells, topics);
    memcpy(r->header, topics, sizeof topics[0] * (size_t)cells.count);
    memcpy(r->header_units, units, sizeof units[0] * (size_t)cells.count);
    r->header_count = meant > 0 ? cells.count : 0;
    r->commas_part = line_parts_by_commas(r->line, r->length);
    r->plp_columns = 0;
    reader_consume(r, 0, r->count);
    return true;
}

/* No cell starts with a label that waits for another cell. */
static bool is_value_row(const struct reader *r, const struct cells *cells, int first)
{
    bool any = false;
    for (int i = first; i < cells->count; i++) {
        int taken;
        if (cells->starts[i] == cells->ends[i]) {
            continue;
        }
        enum topic topic = label_at(r->atoms, r->count, cells->starts[i], &taken);
        enum topic here = r->header[i - first];
        if (taken > 0 && topic != here && here != TOPIC_NOTHING && topic != TOPIC_LENGTH &&
            topic != TOPIC_INTERLEAVER) {
            return false;
        }
        for (int at = cells->starts[i]; at < cells->ends[i]; at++) {
            any = any || (r->atoms[at].kind == ATOM_NUMBER && here != TOPIC_NOTHING);
            if (r->atoms[at].kind == ATOM_MARK && r->atoms[at].mark == '=') {
                return false;
            }
        }
    }
    return any;
}

/* The row's cells under the header; a PLP's name may stand before them. -1: no such row. */
static int cells_under_header(const struct reader *r, struct cells *cells)
{
    const struct cells ways[] = {cells_between(r, 0, true), cells_between(r, 0, false),
                                 cells_of_words(r, 0)};
    for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
        int first = ways[i].count - r->header_count, taken;
        bool named =
            first == 1 && label_at(r->atoms, r->count, ways[i].starts[0], &taken) == TOPIC_PLP;
        if ((first == 0 || named) && is_value_row(r, &ways[i], first)) {
            *cells = ways[i];
            return first;
        }
    }
    return -1;
}

static void read_cell(struct reader *r, int column, int from, int to)
{
    int taken;
    enum topic topic = r->header[column];
    if (from == to) {
        return;
    }
    label_at(r->atoms, r->count, from, &taken);
    if (topic != TOPIC_NOTHING && taken > 0 && from + taken < to) {
        reader_consume(r, from, from + taken); /* "PLP 0" in the column of PLPs */
    }
    reader_read_value(r, topic, r->header_units[column], from, from, to);
}

bool table_read_row(struct reader *r)
{
    struct cells cells;
    int first = r->header_count >= 2 ? cells_under_header(r, &cells) : -1;
    if (first < 0) {
        return false;
    }
    if (first == 1) {
        r->line_plp = plps_take_only(r);
    }
    for (int pass = 0; pass < 2; pass++) { /* the row's PLP first, wherever its column stands */
        for (int i = first; i < cells.count; i++) {
            if ((r->header[i - first] == TOPIC_PLP) == (pass == 0)) {
                read_cell(r, i - first, cells.starts[i], cells.ends[i]);
            }
        }
    }
    return true;
}

/* ---- Columns of PLPs. ---- */

/* "PLP 0   PLP 1", "PLP | 0 | 1", "Parameter  PLP0 (main)  PLP1 (mobile)". */
bool table_read_plp_columns(struct reader *r)
{
    int plps[COLUMNS_MAX], count = 0;
    bool labelled = false;
    for (int i = 0; i < r->count; i++) {
        int taken;
        enum topic topic = label_at(r->atoms, r->count, i, &taken);
        const struct atom *atom = &r->atoms[i];
        if (taken > 0 && (topic == TOPIC_PLP || topic == TOPIC_NOTHING)) {
            labelled = labelled || topic == TOPIC_PLP;
            i += taken - 1;
        } else if (atom->kind == ATOM_NUMBER && atom->whole && count < COLUMNS_MAX &&
                   atom->number <= PAGE_PLP_MAX && labelled) {
            plps[count++] = (int)atom->number;
        } else if (atom->kind == ATOM_NUMBER || taken > 0 ||
                   (atom->kind == ATOM_WORD && count == 0) ||
                   (atom->kind == ATOM_MARK && strchr("=/", atom->mark))) {
            return false;
        }
    }
    if (!labelled || count < 2) {
        return false;
    }
    memcpy(r->plps, plps, sizeof plps[0] * (size_t)count);
    r->plp_columns = count;
    r->header_count = 0;
    for (int i = 0; i < count; i++) {
        struct value value = {.key = "page.plp", .number = plps[i], .last = r->count - 1};
        text_format(value.text, sizeof value.text, "%d", plps[i]);
        reader_keep_entry(r, TOPIC_PLP, &value, 0);
    }
    reader_consume(r, 0, r->count);
    return true;
}

/* A cell says of itself what it is: "GI GI5_1024  Pilots SP12_2" are no two guard intervals. Where
 * words are cells a label has one of its own: "SP12_2, boost 2". */
static bool cells_have_labels(const struct reader *r, const struct cells *cells, enum topic topic,
                              bool words)
{
    bool any = false;
    for (int i = 0; i < cells->count; i++) {
        int taken = 0, size = cells->ends[i] - cells->starts[i];
        enum topic own =
            size > 0 ? label_at(r->atoms, r->count, cells->starts[i], &taken) : TOPIC_NOTHING;
        any = any || (taken > 0 && (taken < size || words) && own != topic &&
                      own != TOPIC_NOTHING && own != TOPIC_LENGTH && own != TOPIC_INTERLEAVER);
    }
    return any;
}

/* Values for each PLP of a table's columns, which are at least two: exactly as many cells. */
bool table_read_plp_cells(struct reader *r, enum topic topic, int first, int at)
{
    struct cells cells = cells_between(r, at, true);
    bool words = cells.count != r->plp_columns;
    if (words) {
        cells = cells_of_words(r, at);
    }
    if (cells.count != r->plp_columns || cells_have_labels(r, &cells, topic, words)) {
        return false;
    }
    int kept = r->line_plp;
    for (int i = 0; i < cells.count; i++) {
        r->line_plp = r->plps[i];
        if (cells.starts[i] < cells.ends[i]) {
            reader_read_value(r, topic, UNIT_NONE, i == 0 ? first : cells.starts[i],
                              cells.starts[i], cells.ends[i]);
        }
    }
    r->line_plp = kept;
    return true;
}

/* What a cell without a label can be; TOPIC_NOTHING where that is nothing that a PLP has. */
static enum topic topic_of_cell(const struct reader *r, int from, int to)
{
    static const enum topic may_be[] = {TOPIC_CONSTELLATION, TOPIC_RATE, TOPIC_LENGTH};
    struct span span = reader_span(r, from, to, UNIT_NONE, false);
    bool size = to == from + 1 && span_is_whole(&span, from) &&
                (span_number(&span, from) == 64800.0 || span_number(&span, from) == 16200.0);
    for (size_t i = 0; i < sizeof may_be / sizeof may_be[0]; i++) {
        struct value value = {0};
        struct atom kept[CELL_ATOMS_MAX];
        size_t count = (size_t)(to - from);
        if (count == 0 || count > CELL_ATOMS_MAX || (may_be[i] == TOPIC_LENGTH && !size)) {
            continue;
        }
        memcpy(kept, r->atoms + from, sizeof kept[0] * count);
        enum fit fit = topic_read(may_be[i], &span, &value);
        memcpy(r->atoms + from, kept, sizeof kept[0] * count);
        if (fit == FIT_READ && value.first == from && value.last == to - 1) {
            return may_be[i];
        }
    }
    return TOPIC_NOTHING;
}

/* "QPSK   256QAM" under "PLP 0   PLP 1": a row that needs no label. */
bool table_read_bare_cells(struct reader *r)
{
    int first = 0;
    while (first < r->count && r->atoms[first].kind == ATOM_BREAK) {
        first++;
    }
    struct cells cells = cells_between(r, first, true);
    cells = cells.count == r->plp_columns ? cells : cells_of_words(r, first);
    enum topic topic = cells.count == r->plp_columns && cells.count >= 2
                           ? topic_of_cell(r, cells.starts[0], cells.ends[0])
                           : TOPIC_NOTHING;
    for (int i = 0; topic != TOPIC_NOTHING && i < cells.count; i++) {
        if (topic_of_cell(r, cells.starts[i], cells.ends[i]) != topic) {
            topic = TOPIC_NOTHING;
        }
    }
    if (topic == TOPIC_NOTHING) {
        return false;
    }
    return table_read_plp_cells(r, topic, first, first);
}
