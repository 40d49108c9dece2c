/* Which PLP a piece of a line speaks of. A PLP may be named before, inside or behind what is said
 * of it ("PLP0: QPSK", "PLP0.Mod=QPSK", "Modulation (PLP 0): QPSK", "QPSK 4/15 PLP 0"); the names
 * are taken out of the line, which then reads as if they were not there. A line with nothing else
 * is the heading of that PLP's part of the page. */
#include <string.h>

#include "study/page/reader.h"

/* A name of a PLP: atoms [from, to). */
struct plp_mark {
    int from, to, plp;
};
#define MARKS_MAX 64

static bool is_mark(const struct reader *r, int at, const char *marks)
{
    return at >= 0 && at < r->count && r->atoms[at].kind == ATOM_MARK &&
           strchr(marks, r->atoms[at].mark);
}

/* A whole number that is nothing but a number: no "64K", "9/15", "256-NUC". */
static bool is_bare_number(const struct reader *r, int at)
{
    if (at >= r->count || r->atoms[at].kind != ATOM_NUMBER || !r->atoms[at].whole) {
        return false;
    }
    struct span span = reader_span(r, at, r->count, UNIT_NONE, false);
    struct value value = {0};
    struct atom kept[8];
    size_t left = (size_t)(r->count - at < 8 ? r->count - at : 8);
    memcpy(kept, r->atoms + at, sizeof kept[0] * left);
    bool other = topic_read_evident(&span, at, &value) != FIT_NONE;
    memcpy(r->atoms + at, kept, sizeof kept[0] * left);
    bool word = at + 1 < r->count && r->atoms[at + 1].kind == ATOM_WORD && r->atoms[at + 1].glued &&
                strcmp(r->atoms[at + 1].word, "k") == 0;
    return !other && !word && !is_mark(r, at + 1, "/");
}

/* The number of the PLP whose label ends before `at`. */
static bool read_mark(const struct reader *r, int from, int at, struct plp_mark *mark)
{
    static const char *const numbers[] = {"n",   "n\xC2\xB0", "n\xC2\xBA", "no",   "nr",
                                          "num", "number",    "id",        "index"};
    bool apart = false;
    for (size_t i = 0; at < r->count && i < sizeof numbers / sizeof numbers[0]; i++) {
        if (atom_is(&r->atoms[at], numbers[i])) {
            at++;
            break;
        }
    }
    for (; at < r->count; at++) {
        bool breaks = r->atoms[at].kind == ATOM_BREAK && !apart;
        if (!breaks && !is_mark(r, at, "#[(_.:=-\"'")) {
            break;
        }
        apart = apart || breaks;
    }
    if (!is_bare_number(r, at) || r->atoms[at].number > PAGE_PLP_MAX) {
        return false;
    }
    int to = at + 1;
    while (is_mark(r, to, ")]\"'._:=")) {
        to++;
    }
    from -= is_mark(r, from - 1, "([");
    *mark = (struct plp_mark){from, to, (int)r->atoms[at].number};
    return true;
}

/* "PLP 0, 1, 2": the line goes on with numbers only. */
static bool is_list(const struct reader *r, int at)
{
    int numbers = 0;
    for (; at < r->count; at++) {
        bool bare = is_bare_number(r, at) && r->atoms[at].number <= PAGE_PLP_MAX;
        if (!bare && r->atoms[at].kind != ATOM_BREAK && !is_mark(r, at, "+&])")) {
            return false;
        }
        numbers += bare;
    }
    return numbers > 0;
}

static void name_plp(struct reader *r, const struct plp_mark *mark)
{
    struct value value = {
        .key = "page.plp", .number = mark->plp, .first = mark->from, .last = mark->to - 1};
    text_format(value.text, sizeof value.text, "%d", mark->plp);
    reader_keep_entry(r, TOPIC_PLP, &value, mark->from);
    for (int i = mark->from; i < mark->to; i++) {
        r->atoms[i].kind = ATOM_MARK;
        r->atoms[i].mark = ' ';
        r->atoms[i].consumed = true;
    }
}

bool plps_read_list(struct reader *r, int from)
{
    if (!is_bare_number(r, from) || r->atoms[from].number > PAGE_PLP_MAX || !is_list(r, from + 1)) {
        return false;
    }
    for (int at = from; at < r->count; at++) {
        struct plp_mark mark = {at, at + 1, (int)r->atoms[at].number};
        if (r->atoms[at].kind == ATOM_NUMBER) {
            name_plp(r, &mark);
        }
    }
    r->line_plp = -1;
    return true;
}

/* "{"id": 0, "mod": ...": in an object with a code its first number is the PLP's. */
static bool opens_object(const struct reader *r, int at)
{
    bool codes = false;
    if (!atom_is(&r->atoms[at], "id") || !is_mark(r, at - 1, "\"'{") ||
        !(is_mark(r, at - 1, "{") || is_mark(r, at - 2, "{"))) {
        return false;
    }
    for (int i = at + 1; i < r->count && !is_mark(r, i, "}"); i++) {
        int taken;
        enum topic topic = label_at(r->atoms, r->count, i, &taken);
        codes = codes || (taken > 0 && (topic == TOPIC_CONSTELLATION || topic == TOPIC_RATE));
    }
    return codes;
}

static int find_marks(const struct reader *r, struct plp_mark *marks)
{
    int count = 0;
    for (int at = 0; at < r->count && count < MARKS_MAX; at++) {
        int taken;
        enum topic topic = label_at(r->atoms, r->count, at, &taken);
        bool names = taken > 0 && topic == TOPIC_PLP;
        if (opens_object(r, at)) {
            names = true;
            taken = 1;
        }
        if (names && read_mark(r, at, at + taken, &marks[count])) {
            at = marks[count].to - 1;
            count++;
        } else if (taken > 0) {
            at += taken - 1;
        }
    }
    /* "Errors (PLP 0) = 0" is no list of two. */
    bool ends = count == 1 && is_mark(r, marks[0].to - 1, ")]=");
    return count == 1 && !ends && is_list(r, marks[0].to) ? 0 : count;
}

int plps_take_only(struct reader *r)
{
    struct plp_mark marks[MARKS_MAX];
    if (find_marks(r, marks) != 1) {
        return -1;
    }
    name_plp(r, &marks[0]);
    return marks[0].plp;
}

static bool says_something(const struct reader *r, int from, int to)
{
    for (int i = from; i < to; i++) {
        if (r->atoms[i].kind == ATOM_NUMBER || r->atoms[i].kind == ATOM_WORD) {
            return true;
        }
    }
    return false;
}

static void read_part(struct reader *r, int plp, int from, int to)
{
    r->line_plp = plp;
    reader_read_cells(r, from, to);
}

/* One SNR behind several PLPs is of all of them. */
static void share_snr(struct page *page, size_t from)
{
    struct page_entry *only = NULL;
    int count = 0;
    for (size_t i = from; i < page->entry_count; i++) {
        if (strcmp(page->entries[i].key, "receiver.snr_db") == 0) {
            only = &page->entries[i];
            count++;
        }
    }
    if (count == 1) {
        only->plp = -1;
    }
}

/* "Errors: PLP 0: 2, PLP 1: 0": the label of what stands behind each name; TOPIC_NOTHING: none. */
static enum topic common_label(const struct reader *r, const struct plp_mark *marks)
{
    int at = 0, taken;
    while (at < marks[0].from && r->atoms[at].kind != ATOM_WORD) {
        at++;
    }
    enum topic topic = label_at(r->atoms, marks[0].from, at, &taken);
    int end = at + taken;
    while (end < marks[0].from && r->atoms[end].kind == ATOM_MARK) {
        end++;
    }
    int next;
    label_at(r->atoms, r->count, marks[0].to, &next); /* the second name lies behind it */
    return taken > 0 && end == marks[0].from && next == 0 && topic_is_of_plp(topic) ? topic
                                                                                    : TOPIC_NOTHING;
}

static void read_labelled_parts(struct reader *r, enum topic topic, const struct plp_mark *marks,
                                int count)
{
    reader_consume(r, 0, marks[0].from);
    for (int i = 0; i < count; i++) {
        int next = i + 1 < count ? marks[i + 1].from : r->count;
        r->line_plp = marks[i].plp;
        reader_read_value(r, topic, UNIT_NONE, marks[i].to, marks[i].to, next);
    }
}

/* Several names in one line: each is said of what follows it, or, where the line ends with a name,
 * of what stands before it. */
static void read_parts(struct reader *r, const struct plp_mark *marks, int count)
{
    size_t before = r->page->entry_count;
    enum topic topic = common_label(r, marks);
    if (topic != TOPIC_NOTHING) {
        read_labelled_parts(r, topic, marks, count);
        return;
    }
    bool behind =
        says_something(r, 0, marks[0].from) && !says_something(r, marks[count - 1].to, r->count);
    if (!behind) {
        read_part(r, -1, 0, marks[0].from);
    }
    for (int i = 0; i < count; i++) {
        int next = i + 1 < count ? marks[i + 1].from : r->count;
        int from = behind ? (i > 0 ? marks[i - 1].to : 0) : marks[i].to;
        read_part(r, marks[i].plp, from, behind ? marks[i].from : next);
    }
    share_snr(r->page, before);
}

void plps_read_line(struct reader *r)
{
    struct plp_mark marks[MARKS_MAX];
    int count = find_marks(r, marks);
    for (int i = 0; i < count; i++) {
        name_plp(r, &marks[i]);
    }
    size_t before = r->page->entry_count + r->page->wrong.count;
    if (count > 1) {
        read_parts(r, marks, count);
    } else {
        read_part(r, count == 1 ? marks[0].plp : -1, 0, r->count);
    }
    bool heading = count == 1 && r->page->entry_count + r->page->wrong.count == before;
    if (heading) {
        r->plp = marks[0].plp;
        r->loose_plp = -1;
    } else if (count > 0) {
        r->loose_plp = marks[count - 1].plp;
    }
}
