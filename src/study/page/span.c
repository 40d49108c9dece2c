/* Searches the atoms of a span for numbers, words and quantities, and takes what was understood. */
#include "study/page/span.h"

#include <string.h>

/* ---- Looking at a span. ---- */

const struct atom *span_atom(const struct span *span, int at)
{
    static const struct atom outside = {.kind = ATOM_BREAK};
    return at >= span->from && at < span->to && !span->atoms[at].consumed ? &span->atoms[at]
                                                                          : &outside;
}

bool span_is_mark(const struct span *span, int at, const char *marks)
{
    const struct atom *atom = span_atom(span, at);
    return atom->kind == ATOM_MARK && strchr(marks, atom->mark);
}

bool span_is_number(const struct span *span, int at)
{
    return span_atom(span, at)->kind == ATOM_NUMBER;
}

bool span_is_whole(const struct span *span, int at)
{
    return span_is_number(span, at) && span_atom(span, at)->whole;
}

bool span_is_word(const struct span *span, int at, const char *word)
{
    return atom_is(span_atom(span, at), word);
}

bool span_goes_on(const struct span *span, int at)
{
    const struct atom *atom = span_atom(span, at);
    return atom->glued && !(atom->kind == ATOM_MARK && strchr(")]}>\"'.!:", atom->mark));
}

double span_number(const struct span *span, int at)
{
    return span_atom(span, at)->number;
}

/* The first number of the span; -1: none. */
int span_first_number(const struct span *span)
{
    for (int i = span->from; i < span->to; i++) {
        if (span_is_number(span, i)) {
            return i;
        }
    }
    return -1;
}

int span_find_word(const struct span *span, const char *const *words)
{
    for (int i = span->from; i < span->to; i++) {
        for (const char *const *word = words; *word; word++) {
            if (span_is_word(span, i, *word)) {
                return i;
            }
        }
    }
    return -1;
}

enum unit unit_at(const struct span *span, int at, int *taken)
{
    static const struct {
        const char *word;
        enum unit unit;
    } units[] = {
        {"db", UNIT_DB},     {"dbm", UNIT_DBM},   {"dbuv", UNIT_DBUV},      {"dbmv", UNIT_DBMV},
        {"hz", UNIT_HZ},     {"khz", UNIT_KHZ},   {"mhz", UNIT_MHZ},        {"us", UNIT_US},
        {"usec", UNIT_US},   {"ms", UNIT_MS},     {"msec", UNIT_MS},        {"kbps", UNIT_KBPS},
        {"mbps", UNIT_MBPS}, {"mbit", UNIT_MBPS}, {"mbits", UNIT_MBPS},     {"kbit", UNIT_KBPS},
        {"k", UNIT_K},       {"kw", UNIT_OTHER},  {"percent", UNIT_PERCENT}};
    *taken = 0;
    if (span_is_mark(span, at, "%")) {
        *taken = 1;
        return UNIT_PERCENT;
    }
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        if (!span_is_word(span, at, units[i].word)) {
            continue;
        }
        *taken = 1;
        if (span_is_mark(span, at + 1, "/") && span_atom(span, at + 2)->kind == ATOM_WORD) {
            bool per_second = span_is_word(span, at + 2, "s");
            *taken = 3;
            return per_second ? units[i].unit : UNIT_OTHER;
        }
        return units[i].unit;
    }
    return UNIT_NONE;
}

/* ---- Taking what was understood. ---- */

enum fit span_take(const struct span *span, struct value *value, int from, int to, const char *key,
                   double number)
{
    for (int i = from; i < to; i++) {
        span->atoms[i].consumed = true;
    }
    value->key = key;
    value->number = number;
    value->first = from;
    value->last = to - 1;
    return FIT_READ;
}

/* A number with its unit (its own or the label's), past which reading goes on at `*next`. */
double span_quantity(const struct span *span, int at, enum unit *unit, int *next)
{
    int taken;
    int gap = span_is_mark(span, at + 1, " "); /* between the cells of a number and its unit */
    *unit = unit_at(span, at + 1 + gap, &taken);
    if (taken == 0) {
        *unit = span->hint;
    }
    *next = at + 1 + (taken > 0 ? gap + taken : 0);
    return span_number(span, at);
}

/* In the languages of the labels. */
const char *const words_no[] = {"no",     "off",    "none",      "false",   "disabled", "absent",
                                "nein",   "aus",    "kein",      "keine",   "ninguno",  "ninguna",
                                "nao",    "nenhum", "nenhuma",   "non",     "aucun",    "aucune",
                                "아니오", "없음",   "desligado", "apagado", NULL};
const char *const words_yes[] = {"yes", "on",  "true", "enabled", "present", "ja",   "ein",
                                 "si",  "sim", "oui",  "예",      "네",      "있음", NULL};
