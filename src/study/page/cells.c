/* The cells of a line as labels and values: a label waits for the value that follows it up to the
 * next label or cell; a value may also stand before its label ("32K FFT") or need none ("256QAM"),
 * and some labels say something by themselves ("rotated"). */
#include <math.h>
#include <string.h>

#include "study/page/terms/terms.h"

/* A label whose value was not understood was not understood itself. */
static void release(struct reader *r, int from, int to)
{
    for (int i = from; i < to; i++) {
        r->atoms[i].consumed = false;
    }
}

/* Past a label: a unit in parentheses, colons, dots of a leader, and breaks before the value. */
static int skip_to_value(struct reader *r, int at, enum unit *hint, bool *announced)
{
    struct span span = reader_span(r, 0, r->count, UNIT_NONE, true);
    while (at < r->count) {
        const struct atom *atom = &r->atoms[at];
        if (atom->kind == ATOM_MARK && strchr("([_", atom->mark) && at + 1 < r->count) {
            int taken;
            enum unit unit = unit_at(&span, at + 1, &taken);
            if (unit == UNIT_NONE) {
                return at;
            }
            *hint = unit;
            reader_consume(r, at, at + 1 + taken);
            at += taken;
        } else if (atom->kind == ATOM_MARK) {
            *announced = *announced || strchr(":=", atom->mark);
        } else if (atom->kind != ATOM_BREAK) {
            return at;
        }
        at++;
    }
    return at;
}

/* Where the value that starts at `at` ends: at a break or a label of another topic. A cell that
 * holds only a unit still belongs to it. */
static int end_of_value(struct reader *r, enum topic topic, int at)
{
    struct span span = reader_span(r, 0, r->count, UNIT_NONE, true);
    int end = at;
    while (!reader_is_break(r, end)) {
        int taken;
        enum topic next = label_at(r->atoms, r->count, end, &taken);
        if (taken > 0 && next != topic && topic != TOPIC_IDENTITY) {
            return end;
        }
        if (topic != TOPIC_LOCK) { /* "lock: locked" */
            reader_consume(r, end, end + taken);
        }
        end += taken > 0 ? taken : 1;
    }
    int taken = 0;
    if (end + 1 < r->count && r->atoms[end - 1].kind == ATOM_NUMBER &&
        unit_at(&span, end + 1, &taken) != UNIT_NONE && reader_is_break(r, end + 1 + taken)) {
        r->atoms[end].kind = ATOM_MARK; /* the break is none */
        r->atoms[end].mark = ' ';
        return end + 1 + taken;
    }
    /* Pairs such as "12, 2" go over a break. */
    bool alone = end + 2 >= r->count || !r->atoms[end + 2].glued;
    if (topic == TOPIC_PILOTS && end + 1 < r->count && end == at + 1 && alone &&
        r->atoms[end - 1].kind == ATOM_NUMBER && r->atoms[end + 1].kind == ATOM_NUMBER) {
        return end + 2;
    }
    return end;
}

/* Behind the word at `at` a number follows in the same cell. */
static bool is_number_behind(const struct reader *r, int at)
{
    return at + 1 < r->count && r->atoms[at + 1].kind == ATOM_NUMBER;
}

/* "32K FFT": a value that ends where the label at `at` begins. */
#define BEFORE_MAX 6
static bool read_value_before(struct reader *r, enum topic topic, int pending, int at)
{
    int from = at - BEFORE_MAX > pending ? at - BEFORE_MAX : pending;
    if (topic == TOPIC_CELLS && is_number_behind(r, at)) {
        return false; /* "9/15 64800 cells 90000" */
    }
    for (; from < at; from++) {
        struct span span = reader_span(r, from, at, UNIT_NONE, true);
        struct atom kept[BEFORE_MAX];
        memcpy(kept, r->atoms + from, sizeof kept[0] * (size_t)(at - from));
        struct value value = {0};
        enum fit fit = topic_read(topic, &span, &value);
        bool whole = value.first == from && value.last == at - 1;
        if (fit == FIT_READ && whole && isfinite(value.number)) {
            reader_keep(r, topic, fit, &value, value.first);
            return true;
        }
        memcpy(r->atoms + from, kept, sizeof kept[0] * (size_t)(at - from));
    }
    return false;
}

/* A label that no value follows, where it says yes all by itself: "rotated". False: it does not. */
static bool keep_statement(struct reader *r, enum topic topic, int from, int to)
{
    static const char yes[] = "yes";
    struct atom word = {.kind = ATOM_WORD, .start = 0, .end = sizeof yes - 1};
    memcpy(word.word, yes, sizeof yes);
    struct span span = {yes, &word, 0, 1, UNIT_NONE, true, r->page->pair, false};
    struct value value = {0};
    bool states = topic_is_statement(topic) && topic_read(topic, &span, &value) == FIT_READ;
    if (states) {
        value.first = from;
        value.last = to - 1;
        reader_consume(r, from, to);
        reader_keep(r, topic, FIT_READ, &value, from);
    }
    return states;
}

/* A label that had no value: it may say something itself ("rotated", "locked"). */
static bool keep_word(struct reader *r, enum topic topic, int from, int to)
{
    size_t before = r->page->entry_count;
    if (topic == TOPIC_LOCK) {
        release(r, from, to);
        reader_read_evident(r, from, to);
        reader_consume(r, from, to);
        return r->page->entry_count > before;
    }
    return keep_statement(r, topic, from, to);
}

/* The cell [from, to) is one number, with or without a unit. */
static bool is_quantity(const struct reader *r, int from, int to, enum unit *unit, int *decimals)
{
    struct span span = reader_span(r, from, to, UNIT_NONE, true);
    int next = from;
    if (r->atoms[from].kind == ATOM_NUMBER) {
        *decimals = r->atoms[from].decimals;
        span_quantity(&span, from, unit, &next);
    }
    return next == to;
}

/* "SNR 21.3   21.1   20.9": numbers alike for columns that nobody named; none of them is taken. */
static bool is_row_of_numbers(const struct reader *r, int from, int to)
{
    enum unit unit = UNIT_NONE, own = UNIT_NONE;
    int decimals = 0, its = 0;
    bool alike = is_quantity(r, from, to, &unit, &decimals) && reader_is_break(r, to);
    int cells = 1;
    for (int at = to; alike && at < r->count;) {
        int start = ++at;
        while (!reader_is_break(r, at)) {
            at++;
        }
        alike = start == at ||
                (is_quantity(r, start, at, &own, &its) && own == unit && its == decimals);
        cells += start < at;
    }
    return alike && cells >= 2;
}

/* Deals with the label [at, at + taken) and its value; `pending` is where atoms without a label
 * began. Returns where to go on. */
static int read_labelled(struct reader *r, enum topic topic, int at, int taken, int pending)
{
    enum unit hint = UNIT_NONE;
    bool announced = false;
    int from = skip_to_value(r, at + taken, &hint, &announced);
    reader_consume(r, at, at + taken);
    /* "10/15 SNR 25": not an SNR of 15; "16K LDPC": not an FFT size. */
    reader_read_by(r, pending, at,
                   topic_is_choice(topic) ? topic_read_unmistakable : topic_read_evident);
    if (!announced && topic != TOPIC_PLP && topic != TOPIC_SUBFRAME &&
        read_value_before(r, topic, pending, at)) {
        reader_read_evident(r, pending, at);
        return at + taken;
    }
    reader_read_evident(r, pending, at);
    for (;;) { /* "guard interval: GI 5_1024": the same label again */
        int again = 0;
        enum topic next = from < r->count ? label_at(r->atoms, r->count, from, &again) : topic;
        if (again == 0 || next != topic || topic == TOPIC_PLP) {
            break;
        }
        int beyond = skip_to_value(r, from + again, &hint, &announced);
        if (topic == TOPIC_LOCK && (beyond >= r->count || reader_is_break(r, beyond - 1))) {
            break; /* "lock: locked" */
        }
        reader_consume(r, from, from + again);
        from = beyond;
    }
    if (topic == TOPIC_NOTHING || from >= r->count) {
        keep_word(r, topic, at, at + taken);
        return at + taken;
    }
    if (r->plp_columns >= 2 && table_read_plp_cells(r, topic, at, from)) {
        return r->count;
    }
    if (topic == TOPIC_PILOTS || topic == TOPIC_PLP || topic == TOPIC_PLP_COUNT) {
        int whole = r->count;
        r->count = atoms_part_comma(r->line, r->atoms, r->count, from);
        r->grown += r->count - whole; /* "12,2" are two numbers here */
    }
    if ((topic == TOPIC_PLP || topic == TOPIC_PLP_COUNT) && plps_read_list(r, from)) {
        return r->count;
    }
    int to = end_of_value(r, topic, from);
    if (to == from) {
        keep_word(r, topic, at, at + taken);
        return at + taken;
    }
    if (topic_is_reading(topic) && is_row_of_numbers(r, from, to)) {
        release(r, at, r->count);
        return r->count;
    }
    size_t before = r->page->entry_count + r->page->wrong.count;
    reader_read_value(r, topic, hint, at, from, to);
    if (r->page->entry_count + r->page->wrong.count == before) {
        release(r, at, to);
        if (keep_word(r, topic, at, at + taken)) {
            return at + taken; /* what follows is of something else */
        }
    }
    return to;
}

void reader_read_cells(struct reader *r, int from, int to)
{
    int pending = from, at = from, whole = r->count;
    r->count = to;
    while (at < r->count) {
        int taken = 0;
        enum topic topic = label_at(r->atoms, r->count, at, &taken);
        if (taken > 0) {
            at = read_labelled(r, topic, at, taken, pending);
            pending = at;
        } else if (reader_is_break(r, at)) {
            reader_read_evident(r, pending, at);
            pending = ++at;
        } else {
            at++;
        }
    }
    reader_read_evident(r, pending, r->count);
    r->count = whole + r->grown;
    r->grown = 0;
}
