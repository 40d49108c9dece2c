/* Which systems a page speaks of: by their names, and by words and forms that only one of them has.
 * Names count before forms, and what tells of no system leaves the page to whoever asks. */
#include "study/page/terms/terms.h"

#include <math.h>

const struct terms *terms_of(enum pair pair)
{
    static const struct terms *const rows[PAIR_COUNT] = {
        [PAIR_ATSC] = &terms_atsc,
        [PAIR_DVB] = &terms_dvb,
    };
    return rows[pair];
}

/* ---- Names. ---- */

static const struct {
    const char *phrase; /* as a label's */
    const char *name;   /* NULL: a sign of the pair, and no system's name */
    enum pair pair;
    enum generation generation; /* GENERATION_COUNT: both of the pair's */
    bool short_form;            /* on a page of the pair only */
} names[] = {
    {"atsc 1", "ATSC 1.0", PAIR_ATSC, GENERATION_FIRST, false},
    {"atsc 3", "ATSC 3.0", PAIR_ATSC, GENERATION_SECOND, false},
    {"8 vsb", "8-VSB", PAIR_ATSC, GENERATION_FIRST, false},
    {"vsb", "8-VSB", PAIR_ATSC, GENERATION_FIRST, false},
    {"dvb", NULL, PAIR_DVB, GENERATION_COUNT, false},
    {"dvb t", "DVB-T", PAIR_DVB, GENERATION_FIRST, false},
    {"dvbt", "DVB-T", PAIR_DVB, GENERATION_FIRST, false},
    {"dvb t 2", "DVB-T2", PAIR_DVB, GENERATION_SECOND, false},
    {"dvbt 2", "DVB-T2", PAIR_DVB, GENERATION_SECOND, false},
    {"t 2", "DVB-T2", PAIR_DVB, GENERATION_SECOND, true},
    {"dvb t t 2", "DVB-T/T2", PAIR_DVB, GENERATION_COUNT, false},
    {"dvb t dvb t 2", "DVB-T/T2", PAIR_DVB, GENERATION_COUNT, false},
};
#define NAME_COUNT (sizeof names / sizeof names[0])

/* Most atoms begin no phrase: their first letter tells. */
static int match(const char *phrase, const struct atom *atoms, int count, int at)
{
    char first = atoms[at].kind == ATOM_WORD ? atoms[at].word[0] : '8';
    return phrase[0] == first ? label_match(phrase, atoms, count, at) : 0;
}

/* The row of the longest name at the atom, short forms of that pair only; NAME_COUNT: none. */
static size_t name_at(const struct atom *atoms, int count, int at, enum pair short_of, int *taken)
{
    size_t best = NAME_COUNT;
    *taken = 0;
    for (size_t i = 0; i < NAME_COUNT; i++) {
        bool may = !names[i].short_form || names[i].pair == short_of;
        int atoms_taken = may ? match(names[i].phrase, atoms, count, at) : 0;
        int end = at + atoms_taken;
        bool goes_on = end < count && atoms[end].kind == ATOM_WORD && atoms[end].glued; /* "T 2K" */
        if (atoms_taken > *taken && !goes_on) {
            *taken = atoms_taken;
            best = i;
        }
    }
    return best;
}

int system_name_at(const struct span *span, int at, const char **name, double *number)
{
    int taken;
    if (span_atom(span, at)->kind == ATOM_BREAK) {
        return 0;
    }
    size_t row = name_at(span->atoms, span->to, at, span->pair, &taken);
    if (row == NAME_COUNT || !names[row].name) {
        return 0;
    }
    *name = names[row].name;
    *number = names[row].generation == GENERATION_COUNT
                  ? NAN
                  : page_system_number(names[row].pair, names[row].generation);
    return taken;
}

/* ---- Signs. ---- */

static const struct {
    const char *phrase;
    enum pair pair;
    enum generation generation; /* GENERATION_COUNT: either */
    bool of_pair;               /* it tells the pair too, and not only which of its systems */
} signs_of_words[] = {
    {"nuc", PAIR_ATSC, GENERATION_SECOND, true},
    {"cti", PAIR_ATSC, GENERATION_SECOND, true},
    {"hti", PAIR_ATSC, GENERATION_SECOND, true},
    {"ldm", PAIR_ATSC, GENERATION_SECOND, true},
    {"bsid", PAIR_ATSC, GENERATION_SECOND, true},
    {"bootstrap", PAIR_ATSC, GENERATION_SECOND, true},
    {"l 1 b", PAIR_ATSC, GENERATION_SECOND, true},
    {"l 1 d", PAIR_ATSC, GENERATION_SECOND, true},
    {"l 1 basic", PAIR_ATSC, GENERATION_SECOND, true},
    {"l 1 detail", PAIR_ATSC, GENERATION_SECOND, true},
    {"tps", PAIR_DVB, GENERATION_FIRST, true},
    {"t 2", PAIR_DVB, GENERATION_SECOND, true},
    {"l 1 pre", PAIR_DVB, GENERATION_SECOND, true},
    {"l 1 post", PAIR_DVB, GENERATION_SECOND, true},
    {"hem", PAIR_DVB, GENERATION_SECOND, true},
    {"rotated", PAIR_DVB, GENERATION_SECOND, true},
    {"viterbi", PAIR_DVB, GENERATION_FIRST, false},
    {"vber", PAIR_DVB, GENERATION_FIRST, false},
    {"rs", PAIR_DVB, GENERATION_FIRST, false},
    {"reed solomon", PAIR_DVB, GENERATION_FIRST, false},
    {"ldpc", PAIR_DVB, GENERATION_SECOND, false},
    {"bch", PAIR_DVB, GENERATION_SECOND, false},
    {"plp", PAIR_DVB, GENERATION_SECOND, false},
    {"plps", PAIR_DVB, GENERATION_SECOND, false},
    {"l 1", PAIR_DVB, GENERATION_SECOND, false},
};

/* Fractions that no other pair has: a guard interval by its share, and code rates of which there
 * are no fifteenths. */
static const struct {
    double over, under;
} fractions[] = {{1, 4},    {1, 8}, {1, 16}, {1, 32}, {1, 128}, {19, 128},
                 {19, 256}, {1, 2}, {3, 4},  {5, 6},  {7, 8}};

static bool is_whole(const struct atom *atoms, int count, int at)
{
    return at >= 0 && at < count && atoms[at].kind == ATOM_NUMBER && atoms[at].whole;
}

static bool is_slash(const struct atom *atoms, int count, int at)
{
    return at >= 0 && at < count && atoms[at].kind == ATOM_MARK && atoms[at].mark == '/';
}

/* A stroke with a number at both ends and no space: between values it parts them. */
static bool is_stroke(const struct atom *atoms, int count, int at)
{
    return is_slash(atoms, count, at) && atoms[at].glued && is_whole(atoms, count, at + 1) &&
           atoms[at + 1].glued;
}

bool atoms_are_fraction(const struct atom *atoms, int count, int at)
{
    return is_whole(atoms, count, at) && is_stroke(atoms, count, at + 1) &&
           !is_stroke(atoms, count, at + 3) &&
           !(at > 1 && atoms[at].glued && is_stroke(atoms, count, at - 1)) &&
           !(at > 0 && atom_is(&atoms[at - 1], "plp"));
}

bool line_is_of_mode(const struct atom *atoms, int count)
{
    static const char *const words[] = {"qam", "qpsk", "pp", "ke"};
    bool stroke = false;
    for (int at = 0; at < count && !stroke; at++) {
        stroke = is_stroke(atoms, count, at);
    }
    for (int at = 0; stroke && at < count; at++) {
        int taken;
        enum topic topic = label_at(atoms, count, at, &taken);
        if (taken > 0 && (topic == TOPIC_GUARD || topic == TOPIC_RATE || topic == TOPIC_LOW_RATE ||
                          topic == TOPIC_LENGTH || topic == TOPIC_CONSTELLATION)) {
            return true;
        }
        for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
            if (atom_is(&atoms[at], words[i])) {
                return true;
            }
        }
        if (is_whole(atoms, count, at) && at + 1 < count &&
            (atom_is(&atoms[at + 1], "k") || atom_is(&atoms[at + 1], "q"))) {
            return true;
        }
    }
    return false;
}

static bool is_listed_fraction(const struct atom *atoms, int at)
{
    for (size_t i = 0; i < sizeof fractions / sizeof fractions[0]; i++) {
        if (atoms[at].number == fractions[i].over && atoms[at + 2].number == fractions[i].under) {
            return true;
        }
    }
    return false;
}

/* Fields of DVB-T2's signalling that no other page names. */
static bool is_t2_field(const struct atom *atoms, int count, int at)
{
    static const char *const fields[] = {"bwt ext",          "num t 2 frames",
                                         "num data symbols", "plp num blocks max",
                                         "plp fec type",     "plp payload type"};
    bool field = false;
    for (size_t i = 0; i < sizeof fields / sizeof fields[0] && !field; i++) {
        field = match(fields[i], atoms, count, at) > 0 && atoms[at + 1].kind == ATOM_MARK &&
                atoms[at + 1].mark == '_';
    }
    return field;
}

static void count_words(struct signs *signs, const struct atom *atoms, int count, int at)
{
    signs->dump_of_t2 = signs->dump_of_t2 || is_t2_field(atoms, count, at);
    int longest = 0;
    size_t best = 0;
    for (size_t i = 0; i < sizeof signs_of_words / sizeof signs_of_words[0]; i++) {
        int taken = match(signs_of_words[i].phrase, atoms, count, at);
        if (taken > longest) {
            longest = taken;
            best = i;
        }
    }
    if (longest > 0) {
        enum pair pair = signs_of_words[best].pair;
        signs->seen[pair] += signs_of_words[best].of_pair;
        signs->of[pair][signs_of_words[best].generation]++;
    }
}

/* "9/15", "GI5_1024", "SP12_2" tell of the one pair; "PP4", "32KE" of the other. */
static void count_forms(struct signs *signs, const struct atom *atoms, int count, int at)
{
    bool fraction = atoms_are_fraction(atoms, count, at);
    bool joined = is_whole(atoms, count, at + 1) && at + 3 < count &&
                  atoms[at + 2].kind == ATOM_MARK && atoms[at + 2].mark == '_' &&
                  is_whole(atoms, count, at + 3);
    bool word = atom_is(&atoms[at], "gi") || atom_is(&atoms[at], "g") || atom_is(&atoms[at], "sp");
    bool fifteenth = is_whole(atoms, count, at) && is_slash(atoms, count, at + 1) &&
                     is_whole(atoms, count, at + 2) && atoms[at + 2].number == 15.0;
    signs->seen[PAIR_ATSC] += (fifteenth || (word && joined)) ? 1 : 0;
    bool pattern = atom_is(&atoms[at], "pp") && is_whole(atoms, count, at + 1) &&
                   atoms[at + 1].number >= 1.0 && atoms[at + 1].number <= 8.0;
    bool extended = is_whole(atoms, count, at) && at + 1 < count && atom_is(&atoms[at + 1], "ke");
    signs->seen[PAIR_DVB] +=
        pattern || extended ||
        (fraction && is_listed_fraction(atoms, at) && line_is_of_mode(atoms, count));
}

void signs_count(struct signs *signs, const struct atom *atoms, int count)
{
    for (int at = 0; at < count; at++) {
        int taken;
        if (atoms[at].kind == ATOM_BREAK) {
            continue;
        }
        size_t name = name_at(atoms, count, at, PAIR_COUNT, &taken);
        if (name < NAME_COUNT) {
            signs->named[names[name].pair]++;
            if (names[name].generation < GENERATION_COUNT) {
                signs->of[names[name].pair][names[name].generation]++;
            }
            at += taken - 1;
        } else {
            count_words(signs, atoms, count, at);
            count_forms(signs, atoms, count, at);
        }
    }
}

enum pair signs_pair(const struct signs *signs, enum pair otherwise)
{
    const int *const ways[] = {signs->named, signs->seen};
    for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
        if (ways[i][PAIR_ATSC] != ways[i][PAIR_DVB]) {
            return ways[i][PAIR_ATSC] > ways[i][PAIR_DVB] ? PAIR_ATSC : PAIR_DVB;
        }
    }
    return otherwise;
}

enum generation signs_generation(const struct signs *signs, enum pair pair)
{
    const int *of = signs->of[pair];
    bool both = of[GENERATION_FIRST] > 0 && of[GENERATION_SECOND] > 0;
    return both || of[GENERATION_FIRST] == of[GENERATION_SECOND] ? GENERATION_COUNT
           : of[GENERATION_FIRST] > 0                            ? GENERATION_FIRST
                                                                 : GENERATION_SECOND;
}
