/* How the settings of DVB-T and DVB-T2 are written on a page: "8K 1/4 64QAM 2/3", "32KE PP4 1/128
 * 256QAM 2/3 rotated". Both systems have settings of the same names, and a page may say which it is
 * on its last line only: a value is kept as the second system's where that has it, else as the
 * first one's, and when all is read all goes to the one that the page is of. */
#include <math.h>
#include <string.h>

#include "study/page/terms/dvb_settle.h"
#include "study/page/terms/terms.h"

/* A setting in either system; NULL where that has none. */
struct either {
    const char *first, *second, *what;
};
static const struct either fft = {"dvbt.fft", "dvbt2.fft", "FFT size"};
static const struct either guard = {"dvbt.guard", "dvbt2.guard", "guard interval"};
static const struct either constellation = {"dvbt.constellation", "dvbt2.constellation",
                                            "constellation"};
static const struct either rate = {"dvbt.rate", "dvbt2.rate", "code rate"};
static const struct either low_rate = {"dvbt.low_rate", NULL, "code rate"};
static const struct either pilots = {NULL, "dvbt2.pilots", "pilot pattern"};
static const struct either l1 = {NULL, "dvbt2.l1_constellation", "constellation of L1"};

/* The key that has this value; NULL: neither. */
static const char *key_with(const struct either *either, const char *text, double *number)
{
    const char *const keys[] = {either->second, either->first};
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        if (keys[i] && field_read(field_named(keys[i]), text, number) == STATUS_OK) {
            return keys[i];
        }
    }
    return NULL;
}

static enum fit take_either(const struct span *span, struct value *value, int from, int to,
                            const struct either *either, const char *text)
{
    double number = 0.0;
    const char *key = key_with(either, text, &number);
    if (key) {
        return TAKE(from, to, key, number, "%s", text);
    }
    char exist[2][96] = {"", ""};
    const char *const keys[] = {either->first, either->second};
    for (size_t i = 0; i < 2; i++) {
        if (keys[i]) {
            field_allowed(field_named(keys[i]), exist[i], sizeof exist[i]);
        }
    }
    return WRONG(from, to, "%s %s: %s%s%s exist", either->what, text, exist[0],
                 exist[0][0] && exist[1][0] ? " or " : "", exist[1]);
}

/* ---- Of the waveform. ---- */

/* "32K", "32KE" and "2048" at a number; of the second the E is left for who looks for it. */
static enum fit read_fft_at(const struct span *span, int at, struct value *value)
{
    bool k = span_is_word(span, at + 1, "k");
    bool ke = at + 1 < span->to && atom_is(&span->atoms[at + 1], "ke"); /* taken or not */
    double points = span_number(span, at);
    char text[16];
    if (!span_is_whole(span, at) || (!k && !ke && !span->labelled) ||
        span_is_mark(span, at + 1, "/")) {
        return FIT_NONE;
    }
    text_format(text, sizeof text, "%.0fK", points >= 512.0 && !k ? points / 1024.0 : points);
    double number;
    bool known = key_with(&fft, text, &number) != NULL;
    return known || span->labelled ? take_either(span, value, at, at + 1 + k, &fft, text)
                                   : FIT_NONE;
}

static enum fit take_extended(const struct span *span, struct value *value, int at, bool extended)
{
    return TAKE(at, at + 1, "dvbt2.extended", extended, "%s", extended ? "yes" : "no");
}

/* "32K normal"; "Carrier mode: normal" */
static enum fit read_fft(const struct span *span, struct value *value)
{
    static const char *const normal[] = {"normal", NULL};
    for (int at = span->from; at < span->to; at++) {
        if (span_is_mark(span, at, "/")) {
            return FIT_NONE; /* neither number of a fraction is a size */
        }
        enum fit fit = span_is_number(span, at) ? read_fft_at(span, at, value) : FIT_NONE;
        if (fit != FIT_NONE) {
            return fit;
        }
    }
    int at = span_find_word(span, normal);
    return at >= 0 ? take_extended(span, value, at, false) : FIT_NONE;
}

/* What stands behind "32K": "E", "ext", "normal". */
static enum fit read_extended_at(const struct span *span, int at, struct value *value)
{
    static const char *const words[] = {"ext",       "extended", "extendido", "estendido",
                                        "erweitert", "etendu",   NULL};
    bool ke = span_is_word(span, at, "ke"), behind = at > 0 && atom_is(&span->atoms[at - 1], "k");
    struct span here = *span;
    here.from = at;
    here.to = at + 1;
    if (ke || (behind && span_find_word(&here, words) == at)) {
        return take_extended(span, value, at, true);
    }
    return behind && span_is_word(span, at, "normal") ? take_extended(span, value, at, false)
                                                      : FIT_NONE;
}

static enum fit read_extended(const struct span *span, struct value *value)
{
    return read_yes(span, value, "dvbt2.extended");
}

/* "19/128" at a number. */
static bool fraction_at(const struct span *span, int at, char *text, size_t size)
{
    bool whole = span_is_whole(span, at) && span_is_whole(span, at + 2) &&
                 atoms_are_fraction(span->atoms, span->to, at);
    if (whole) {
        text_format(text, size, "%.0f/%.0f", span_number(span, at), span_number(span, at + 2));
    }
    return whole;
}

static enum fit read_guard(const struct span *span, struct value *value)
{
    char text[32];
    for (int at = span->from; at < span->to; at++) {
        enum unit unit;
        int next;
        if (!span_is_number(span, at)) {
            continue;
        }
        if (fraction_at(span, at, text, sizeof text)) {
            return take_either(span, value, at, at + 3, &guard, text);
        }
        double number = span_quantity(span, at, &unit, &next);
        return unit == UNIT_US ? TAKE(at, next, "second.guard_us", number, "%.4g us", number)
                               : FIT_NONE;
    }
    return FIT_NONE;
}

/* "PP4", "PP 4" at its letters. */
static enum fit read_pilots_at(const struct span *span, int at, struct value *value)
{
    int number = at + 1 + span_is_mark(span, at + 1, "-_");
    char text[16];
    if (!span_is_word(span, at, "pp") || !span_is_whole(span, number)) {
        return FIT_NONE;
    }
    text_format(text, sizeof text, "PP%.0f", span_number(span, number));
    return take_either(span, value, at, number + 1, &pilots, text);
}

static enum fit read_pilots(const struct span *span, struct value *value)
{
    for (int at = span->from; at < span->to; at++) {
        enum fit fit = read_pilots_at(span, at, value);
        if (fit != FIT_NONE) {
            return fit;
        }
    }
    int at = span_first_number(span);
    char text[16];
    if (at < 0 || !span_is_whole(span, at) || atoms_are_fraction(span->atoms, span->to, at)) {
        return FIT_NONE;
    }
    text_format(text, sizeof text, "PP%.0f", span_number(span, at));
    return take_either(span, value, at, at + 1, &pilots, text);
}

static enum fit read_carriers(const struct span *span, struct value *value)
{
    return read_whole(span, value, "second.carriers", "carriers", 853, T2_CARRIERS_MAX);
}

/* ---- Of the code. ---- */

static enum fit take_constellation(const struct span *span, struct value *value, int from, int to,
                                   double points)
{
    char text[24] = "QPSK";
    if (points != 4.0) {
        text_format(text, sizeof text, "%.0fQAM", points);
    }
    return take_either(span, value, from, to, &constellation, text);
}

static enum fit read_constellation_at(const struct span *span, int at, struct value *value)
{
    return constellation_read_at(span, at, value, take_constellation);
}

static enum fit read_constellation(const struct span *span, struct value *value)
{
    return constellation_read(span, value, 256.0, take_constellation);
}

/* "LP 3/4" is the second stream's. */
static enum fit read_rate_at(const struct span *span, int at, struct value *value)
{
    char text[32];
    bool low = at > 0 && atom_is(&span->atoms[at - 1], "lp");
    return fraction_at(span, at, text, sizeof text)
               ? take_either(span, value, at, at + 3, low ? &low_rate : &rate, text)
               : FIT_NONE;
}

static enum fit read_rate(const struct span *span, struct value *value)
{
    for (int at = span->from; at < span->to; at++) {
        enum fit fit = span_is_number(span, at) ? read_rate_at(span, at, value) : FIT_NONE;
        if (fit != FIT_NONE) {
            return fit;
        }
    }
    return FIT_NONE;
}

static enum fit read_low_rate(const struct span *span, struct value *value)
{
    char text[32];
    for (int at = span->from; at < span->to; at++) {
        if (fraction_at(span, at, text, sizeof text)) {
            return take_either(span, value, at, at + 3, &low_rate, text);
        }
    }
    return FIT_NONE;
}

/* A bare fraction in a line of a mode: guard intervals and code rates have none in common. */
static enum fit read_fraction_at(const struct span *span, int at, struct value *value)
{
    char text[32];
    double number;
    if (!span->of_mode || !fraction_at(span, at, text, sizeof text)) {
        return FIT_NONE;
    }
    if (key_with(&guard, text, &number)) {
        return take_either(span, value, at, at + 3, &guard, text);
    }
    return key_with(&rate, text, &number) ? read_rate_at(span, at, value) : FIT_NONE;
}

/* "FEC 3/5" is a rate, "FEC 64K" a length. */
static enum fit read_length(const struct span *span, struct value *value)
{
    enum fit fit = read_rate(span, value);
    return fit == FIT_NONE ? read_length_as(span, value, "dvbt2.length") : fit;
}

/* "64K" is no FFT size, nor is "16K" before "LDPC". */
static enum fit read_length_at(const struct span *span, int at, struct value *value)
{
    bool k = span_is_whole(span, at) && span_is_word(span, at + 1, "k");
    bool code = at + 2 < span->to &&
                (atom_is(&span->atoms[at + 2], "ldpc") || atom_is(&span->atoms[at + 2], "fec"));
    struct span own = *span;
    own.from = at;
    own.to = at + 2;
    bool is_length =
        k && (span_number(span, at) == 64.0 || (span_number(span, at) == 16.0 && code));
    if (!k) {
        return read_bare_length_at(span, at, value, "dvbt2.length");
    }
    return is_length ? read_length_as(&own, value, "dvbt2.length") : FIT_NONE;
}

static enum fit read_rotation(const struct span *span, struct value *value)
{
    return read_yes(span, value, "dvbt2.rotation");
}

static enum fit read_hierarchy(const struct span *span, struct value *value)
{
    int at = bare_number(span), no = span_find_word(span, words_no);
    if (at >= 0) {
        static const struct either hierarchy = {"dvbt.hierarchy", NULL, "hierarchy"};
        char text[16] = "none";
        if (span_number(span, at) != 0.0) {
            text_format(text, sizeof text, "%.0f", span_number(span, at));
        }
        return take_either(span, value, at, at + 1, &hierarchy, text);
    }
    return no >= 0 ? TAKE(no, no + 1, "dvbt.hierarchy", DVBT_PLAIN, "%s",
                          dvbt_hierarchy_name(DVBT_PLAIN))
                   : FIT_NONE;
}

static enum fit read_priority(const struct span *span, struct value *value)
{
    static const char *const high[] = {"high", "hp", "hoch", "hohe", "alta", "haute", NULL};
    static const char *const low[] = {"low",  "lp",    "niedrig", "niedrige",
                                      "baja", "baixa", "basse",   NULL};
    int at_high = span_find_word(span, high), at_low = span_find_word(span, low);
    enum dvbt_priority priority = at_high >= 0 ? DVBT_HIGH : DVBT_LOW;
    int at = at_high >= 0 ? at_high : at_low;
    return at >= 0 ? TAKE(at, at + 1, "dvbt.priority", priority, "%s", dvbt_priority_name(priority))
                   : FIT_NONE;
}

/* ---- Of the frame. ---- */

static enum fit read_efficiency(const struct span *span, struct value *value)
{
    static const char *const high[] = {"hem", "high", NULL}, *const normal[] = {"normal", "nm",
                                                                                NULL};
    int at = span_find_word(span, high), no = span_find_word(span, normal);
    if (at >= 0 || no >= 0) {
        int found = at >= 0 ? at : no;
        return TAKE(found, found + 1, "dvbt2.high_efficiency", at >= 0, "%s",
                    at >= 0 ? "yes" : "no");
    }
    return read_yes(span, value, "dvbt2.high_efficiency");
}

/* "L1-post: 16QAM 1/2": its code rate is always the same. */
static enum fit read_l1(const struct span *span, struct value *value)
{
    for (int at = span->from; at < span->to; at++) {
        int to;
        char text[24];
        bool bpsk = span_is_word(span, at, "bpsk");
        double points = bpsk ? 2.0 : constellation_at(span, at, &to);
        to = bpsk ? at + 1 : to;
        if (isnan(points)) {
            continue;
        }
        text_format(text, sizeof text, points > 4.0 ? "%.0fQAM" : bpsk ? "BPSK" : "QPSK", points);
        char rate_text[32];
        int end = fraction_at(span, to, rate_text, sizeof rate_text) ? to + 3 : to;
        return take_either(span, value, at, end, &l1, text);
    }
    return FIT_NONE;
}

static enum fit read_symbols(const struct span *span, struct value *value)
{
    return read_whole(span, value, "second.data_symbols", "data symbols", 1, 9999);
}

static enum fit read_frame_symbols(const struct span *span, struct value *value)
{
    const struct field *field = field_named("dvbt2.symbols");
    return read_whole(span, value, "dvbt2.symbols", field->title, (int)field->low,
                      (int)field->high);
}

static enum fit read_frame(const struct span *span, struct value *value)
{
    int at = span_first_number(span), next = 0;
    enum unit unit = UNIT_NONE;
    double ms = at >= 0 ? span_quantity(span, at, &unit, &next) : NAN;
    return unit == UNIT_MS ? TAKE(at, next, "second.frame_ms", ms, "%.6g ms", ms) : FIT_NONE;
}

/* ---- Which of the two. ---- */

static const char *const sections[GENERATION_COUNT] = {"dvbt", "dvbt2"};

static bool is_setting(const char *key)
{
    return strncmp(key, "dvbt.", 5) == 0 || strncmp(key, "dvbt2.", 6) == 0;
}

/* The same setting of the other system with the same value; NULL: it has none. */
static const struct field *in_section(const struct page_entry *entry, const char *section,
                                      double *number)
{
    const struct field *field = field_find(section, strchr(entry->key, '.') + 1);
    return field && field_read(field, entry->value, number) == STATUS_OK ? field : NULL;
}

/* Which of them can have all settings of the page. */
static void find_fitting(const struct page *page, bool fits[GENERATION_COUNT], bool *any)
{
    double number;
    *any = false;
    fits[GENERATION_FIRST] = fits[GENERATION_SECOND] = true;
    for (size_t i = 0; i < page->entry_count; i++) {
        const struct page_entry *entry = &page->entries[i];
        for (int g = 0; is_setting(entry->key) && g < GENERATION_COUNT; g++) {
            *any = true;
            fits[g] = fits[g] && in_section(entry, sections[g], &number);
        }
    }
}

static enum generation named_on(const struct page *page)
{
    for (size_t i = 0; i < page->entry_count; i++) {
        for (int g = 0; g < GENERATION_COUNT; g++) {
            if (strcmp(page->entries[i].key, "page.system") == 0 &&
                page->entries[i].number == page_system_number(PAIR_DVB, (enum generation)g)) {
                return (enum generation)g;
            }
        }
    }
    return GENERATION_COUNT;
}

/* By its name; else the only one that can have all settings; else by words that only one has; else
 * the first one, if both can be. */
static void choose_generation(struct page *page)
{
    bool any, fits[GENERATION_COUNT];
    enum generation named = named_on(page);
    find_fitting(page, fits, &any);
    if (named != GENERATION_COUNT) {
        page->generation = named;
    } else if (fits[GENERATION_FIRST] != fits[GENERATION_SECOND]) {
        page->generation = fits[GENERATION_FIRST] ? GENERATION_FIRST : GENERATION_SECOND;
    } else if (page->generation == GENERATION_COUNT && any) {
        page->generation_assumed = fits[GENERATION_FIRST];
        page->generation = fits[GENERATION_FIRST] ? GENERATION_FIRST : GENERATION_SECOND;
    }
}

static void join(struct page *page)
{
    choose_generation(page);
    for (size_t i = 0; i < page->entry_count && page->generation < GENERATION_COUNT; i++) {
        struct page_entry *entry = &page->entries[i];
        double number;
        const struct field *field =
            is_setting(entry->key) ? in_section(entry, sections[page->generation], &number) : NULL;
        if (field) {
            field_name(field, entry->key, sizeof entry->key);
            entry->number = number;
        }
    }
}

/* Which stream is received, and the second one's rate, count with a hierarchy only. */
static bool counts(const struct scenario *scenario, const struct field *field)
{
    bool of_hierarchy =
        field == field_named("dvbt.priority") || field == field_named("dvbt.low_rate");
    return !of_hierarchy || scenario->dvbt.hierarchy != DVBT_PLAIN;
}

/* ---- The pair's row. ---- */

static topic_reader *const readers[TOPIC_COUNT] = {
    [TOPIC_FFT] = read_fft,
    [TOPIC_GUARD] = read_guard,
    [TOPIC_PILOTS] = read_pilots,
    [TOPIC_EXTENDED] = read_extended,
    [TOPIC_ROTATION] = read_rotation,
    [TOPIC_EFFICIENCY] = read_efficiency,
    [TOPIC_HIERARCHY] = read_hierarchy,
    [TOPIC_PRIORITY] = read_priority,
    [TOPIC_L1_POST] = read_l1,
    [TOPIC_L1] = read_l1,
    [TOPIC_FRAME_SYMBOLS] = read_frame_symbols,
    [TOPIC_CONSTELLATION] = read_constellation,
    [TOPIC_RATE] = read_rate,
    [TOPIC_LOW_RATE] = read_low_rate,
    [TOPIC_LENGTH] = read_length,
    [TOPIC_FRAME] = read_frame,
    [TOPIC_SYMBOLS] = read_symbols,
    [TOPIC_CARRIERS] = read_carriers,
    [TOPIC_INTERLEAVER] = read_unmodelled,
    [TOPIC_OUTER] = read_unmodelled,
};
static evident_reader *const unmistakable[] = {read_constellation_at, read_pilots_at,
                                               read_fraction_at, read_extended_at, NULL};
static evident_reader *const evident[] = {read_length_at, read_fft_at, NULL};

const struct terms terms_dvb = {
    .readers = readers,
    .unmistakable = unmistakable,
    .evident = evident,
    .read_line = codes_read_t2_line,
    .bandwidth_least_mhz = 5,
    .bandwidths = "5, 6, 7 and 8",
    .join = join,
    .settle = dvb_settle,
    .counts = counts,
};
