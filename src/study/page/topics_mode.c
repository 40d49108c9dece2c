/* How the settings of a mode are written on a page: the short forms of the trade. A reader looks at
 * the atoms of its span, takes those that it understands and leaves the rest. */
#include <math.h>
#include <string.h>

#include "scenario/field.h"
#include "study/page/span.h"

enum fit read_fft(const struct span *span, struct value *value)
{
    int at = span_first_number(span);
    if (at < 0 || !span_is_whole(span, at)) {
        return FIT_NONE;
    }
    double number = span_number(span, at);
    bool k = span_is_word(span, at + 1, "k");
    for (int i = 0; i < FFT_COUNT; i++) {
        int points = fft_points((enum fft_size)i);
        if (number == points || (number == points / 1024.0 && (k || span->labelled))) {
            return TAKE(at, at + 1 + k, "mode.fft", i, "%s", fft_name((enum fft_size)i));
        }
    }
    if (span->labelled && (k || number >= 512)) {
        return WRONG(at, at + 1 + k, "FFT size %.0f%s: 8K, 16K and 32K exist", number,
                     k ? "K" : "");
    }
    return FIT_NONE;
}

static int guard_with_samples(double samples)
{
    for (int i = 0; i < GUARD_COUNT; i++) {
        if (samples == guard_samples((enum guard)i)) {
            return i;
        }
    }
    return -1;
}

static enum fit take_guard(const struct span *span, struct value *value, int from, int to, int i)
{
    return TAKE(from, to, "mode.guard", i, "%s", guard_name((enum guard)i));
}

/* "5_1024", "5 1024", "5 (1024)" at a number; FIT_NONE where it is no such pair. */
enum fit read_guard_pair(const struct span *span, int at, struct value *value)
{
    int second = at + 1 + span_is_mark(span, at + 1, "_-/(");
    double number = span_number(span, at);
    if (second == at + 1 && !span->labelled) {
        return FIT_NONE;
    }
    if (!span_is_whole(span, at) || !span_is_whole(span, second) || number < 1.0 ||
        number > GUARD_COUNT || span_number(span, second) < 100.0) {
        return FIT_NONE;
    }
    int end = second + 1 + span_is_mark(span, second + 1, ")");
    at -= span_is_word(span, at - 1, "g") || span_is_word(span, at - 1, "gi");
    int index = (int)number - 1;
    if (guard_samples((enum guard)index) != span_number(span, second)) {
        return WRONG(at, end, "guard interval GI%d_%.0f: GI%d has %d samples", index + 1,
                     span_number(span, second), index + 1, guard_samples((enum guard)index));
    }
    return take_guard(span, value, at, end, index);
}

enum fit read_guard(const struct span *span, struct value *value)
{
    for (int at = span->from; at < span->to; at++) {
        if (!span_is_number(span, at)) {
            continue;
        }
        enum fit fit = read_guard_pair(span, at, value);
        if (fit != FIT_NONE) {
            return fit;
        }
        enum unit unit;
        int next;
        double number = span_quantity(span, at, &unit, &next);
        if (unit == UNIT_US) {
            return TAKE(at, next, "second.guard_us", number, "%.4g us", number);
        }
        if (unit != UNIT_NONE || !span_is_whole(span, at) || span_is_mark(span, at + 1, "/")) {
            return FIT_NONE;
        }
        int i = guard_with_samples(number);
        if (i < 0 && number >= 1.0 && number <= GUARD_COUNT) {
            i = (int)number - 1;
        }
        if (i >= 0) {
            return take_guard(span, value, at, next, i);
        }
        return WRONG(at, next,
                     "guard interval %.0f: 192 384 512 768 1024 1536 2048 2432 3072 3648 "
                     "4096 and 4864 samples exist",
                     number);
    }
    return FIT_NONE;
}

/* "12_2", "12,2", "12/2" at a number. */
enum fit read_pilots_at(const struct span *span, int at, struct value *value)
{
    int second = at + 1;
    second += span_is_mark(span, second, "_-/") ||
              (span->labelled && second < span->to && span->atoms[second].kind == ATOM_BREAK);
    if (second == at + 1 && !span->labelled) {
        return FIT_NONE;
    }
    if (!span_is_whole(span, at) || !span_is_whole(span, second)) {
        return FIT_NONE;
    }
    double dx = span_number(span, at), dy = span_number(span, second);
    for (int i = 0; i < PILOTS_COUNT; i++) {
        if (pilots_dx((enum pilots)i) == dx && pilots_dy((enum pilots)i) == dy) {
            return TAKE(at, second + 1, "mode.pilots", i, "%s", pilots_name((enum pilots)i));
        }
    }
    if (!span->labelled) {
        return FIT_NONE;
    }
    return WRONG(at, second + 1,
                 "scattered pilots SP%.0f_%.0f: spacings 3 4 6 8 12 16 24 32 exist, each with 2 or "
                 "4 symbols",
                 dx, dy);
}

enum fit read_pilots(const struct span *span, struct value *value)
{
    int at = span_first_number(span);
    return at < 0 ? FIT_NONE : read_pilots_at(span, at, value);
}

/* A whole number from low to high; "what" for the message. */
enum fit read_whole(const struct span *span, struct value *value, const char *key, const char *what,
                    int low, int high)
{
    int at = span_first_number(span);
    int taken = 0;
    if (at < 0 || !span_is_whole(span, at) || unit_at(span, at + 1, &taken) != UNIT_NONE ||
        span_is_mark(span, at + 1, "/") || span_goes_on(span, at + 1)) {
        return FIT_NONE;
    }
    double number = span_number(span, at);
    if (number < low || number > high) {
        return WRONG(at, at + 1, "%s %.0f: %d to %d exist", what, number, low, high);
    }
    return TAKE(at, at + 1, key, number, "%.0f", number);
}

/* A whole number that a setting can have. */
static enum fit read_setting(const struct span *span, struct value *value, const char *key)
{
    const struct field *field = field_named(key);
    return read_whole(span, value, key, field->title, (int)field->low, (int)field->high);
}

enum fit read_boost(const struct span *span, struct value *value)
{
    return read_setting(span, value, "mode.boost");
}

enum fit read_reduction(const struct span *span, struct value *value)
{
    return read_setting(span, value, "mode.reduction");
}

static enum fit take_constellation(const struct span *span, struct value *value, int from, int to,
                                   double points)
{
    for (int i = 0; i < CONSTELLATION_COUNT; i++) {
        if (points == (double)(1 << constellation_bits((enum constellation)i))) {
            return TAKE(from, to, "mode.constellation", i, "%s",
                        constellation_name((enum constellation)i));
        }
    }
    return WRONG(from, to, "constellation %.0fQAM: QPSK, 16, 64, 256, 1024 and 4096QAM exist",
                 points);
}

static bool is_qam_word(const struct span *span, int at)
{
    return span_is_word(span, at, "qam") || span_is_word(span, at, "nuc") ||
           span_is_word(span, at, "nuqam") || span_is_word(span, at, "kqam") ||
           span_is_word(span, at, "qamnuc");
}

/* "QPSK", "256QAM", "256-NUC", "4K QAM", "QAM-256" at an atom. */
enum fit read_constellation_at(const struct span *span, int at, struct value *value)
{
    if (span_is_word(span, at, "qpsk")) {
        return take_constellation(span, value, at, at + 1, 4.0);
    }
    if (span_is_whole(span, at)) {
        int word = at + 1 + span_is_mark(span, at + 1, "-_");
        bool k = span_is_word(span, word, "k") || span_is_word(span, word, "kqam");
        word += span_is_word(span, word, "k");
        if (is_qam_word(span, word)) {
            int end = word + 1;
            while (span_is_mark(span, end, "-_") && is_qam_word(span, end + 1)) {
                end += 2;
            }
            end += is_qam_word(span, end);
            return take_constellation(span, value, at, end, span_number(span, at) * (k ? 1024 : 1));
        }
    }
    if (is_qam_word(span, at)) {
        int number = at + 1 + span_is_mark(span, at + 1, "-_");
        if (span_is_whole(span, number) && !span_is_mark(span, number + 1, "/")) {
            bool k = span_is_word(span, number + 1, "k");
            return take_constellation(span, value, at, number + 1 + k,
                                      span_number(span, number) * (k ? 1024 : 1));
        }
    }
    return FIT_NONE;
}

enum fit read_constellation(const struct span *span, struct value *value)
{
    for (int at = span->from; at < span->to; at++) {
        enum fit fit = read_constellation_at(span, at, value);
        if (fit != FIT_NONE) {
            return fit;
        }
    }
    int at = span_first_number(span);
    int taken;
    if (at >= 0 && span_is_whole(span, at) && unit_at(span, at + 1, &taken) == UNIT_NONE &&
        !span_is_mark(span, at + 1, "/") && !span_goes_on(span, at + 1)) {
        double points = span_number(span, at);
        if (points == 4 || points == 16 || points == 64 || points == 256 || points == 1024 ||
            points == 4096) {
            return take_constellation(span, value, at, at + 1, points);
        }
    }
    return FIT_NONE;
}

static enum fit take_rate(const struct span *span, struct value *value, int from, int to, double n)
{
    return TAKE(from, to, "mode.rate", n, "%.0f/15", n);
}

/* "9/15", and under a label "3/5" and "0.6" at a number. */
enum fit read_rate_at(const struct span *span, int at, struct value *value)
{
    if (span_is_whole(span, at) && span_is_mark(span, at + 1, "/") && span_is_whole(span, at + 2)) {
        double n = span_number(span, at), d = span_number(span, at + 2);
        if (!span->labelled && d != 15.0) {
            return FIT_NONE;
        }
        double fifteenths = d > 0.0 ? n * 15.0 / d : 0.0;
        if (fifteenths == floor(fifteenths) && fifteenths >= RATE_MIN_15THS &&
            fifteenths <= RATE_MAX_15THS) {
            return take_rate(span, value, at, at + 3, fifteenths);
        }
        return WRONG(at, at + 3, "code rate %.0f/%.0f: 2/15 to 13/15 exist", n, d);
    }
    if (span->labelled && span_is_number(span, at) && !span_is_whole(span, at)) {
        double n = round(span_number(span, at) * 15.0);
        if (n >= RATE_MIN_15THS && n <= RATE_MAX_15THS &&
            fabs(span_number(span, at) - n / 15.0) < 0.006) {
            return take_rate(span, value, at, at + 1, n);
        }
    }
    return FIT_NONE;
}

enum fit read_rate(const struct span *span, struct value *value)
{
    for (int at = span->from; at < span->to; at++) {
        enum fit fit = span_is_number(span, at) ? read_rate_at(span, at, value) : FIT_NONE;
        if (fit != FIT_NONE) {
            return fit;
        }
    }
    return FIT_NONE;
}

enum fit read_length(const struct span *span, struct value *value)
{
    static const char *const long_words[] = {"long",  "normal", "lang",  "largo",
                                             "larga", "longo",  "longa", NULL};
    static const char *const short_words[] = {"short", "kurz",  "corto", "corta",
                                              "curto", "curta", "court", NULL};
    for (int at = span->from; at < span->to; at++) {
        if (!span_is_whole(span, at) || span_is_mark(span, at + 1, "/")) {
            continue;
        }
        double number = span_number(span, at);
        bool k = span_is_word(span, at + 1, "k");
        for (int i = 0; i < LENGTH_COUNT; i++) {
            int bits = code_length_bits((enum code_length)i);
            if (number == bits || (k && number == floor(bits / 1000.0))) {
                return TAKE(at, at + 1 + k, "mode.length", i, "%d", bits);
            }
        }
        if (k) {
            return WRONG(at, at + 2, "code length %.0fK: 64800 (64K) and 16200 (16K) exist",
                         number);
        }
    }
    int at = span_find_word(span, long_words);
    if (at >= 0) {
        return TAKE(at, at + 1, "mode.length", LENGTH_64800, "64800");
    }
    at = span_find_word(span, short_words);
    if (at >= 0) {
        return TAKE(at, at + 1, "mode.length", LENGTH_16200, "16200");
    }
    return FIT_NONE;
}

enum fit read_outer(const struct span *span, struct value *value)
{
    static const char *const words[] = {"bch", "crc", NULL};
    int at = span_find_word(span, words);
    if (at >= 0) {
        struct span after = *span;
        after.from = at + 1;
        int no = span_find_word(&after, words_no);
        int yes = span_find_word(&after, words_yes);
        int end = no >= 0 && no <= at + 2 ? no + 1 : yes >= 0 && yes <= at + 2 ? yes + 1 : at + 1;
        enum outer_code outer = end == no + 1                   ? OUTER_NONE
                                : span_is_word(span, at, "bch") ? OUTER_BCH
                                                                : OUTER_CRC;
        return TAKE(at, end, "mode.outer", outer, "%s", outer_code_name(outer));
    }
    at = span->labelled ? span_find_word(span, words_no) : -1;
    if (at >= 0) {
        return TAKE(at, at + 1, "mode.outer", OUTER_NONE, "%s", outer_code_name(OUTER_NONE));
    }
    return FIT_NONE;
}

enum fit read_l1_basic(const struct span *span, struct value *value)
{
    return read_setting(span, value, "mode.l1_basic_mode");
}

enum fit read_l1_detail(const struct span *span, struct value *value)
{
    return read_setting(span, value, "mode.l1_detail_mode");
}

static enum fit read_yes(const struct span *span, struct value *value, const char *key)
{
    int at = span_find_word(span, words_yes);
    bool yes = at >= 0;
    if (!yes) {
        at = span_find_word(span, words_no);
    }
    if (at < 0) {
        at = span_first_number(span);
        if (at < 0 || (span_number(span, at) != 0.0 && span_number(span, at) != 1.0)) {
            return FIT_NONE;
        }
        yes = span_number(span, at) == 1.0;
    }
    return TAKE(at, at + 1, key, yes, "%s", yes ? "yes" : "no");
}

enum fit read_first_boundary(const struct span *span, struct value *value)
{
    return read_yes(span, value, "mode.first_boundary");
}

enum fit read_last_boundary(const struct span *span, struct value *value)
{
    return read_yes(span, value, "page.last_boundary");
}

enum fit read_frame(const struct span *span, struct value *value)
{
    int at = span_first_number(span);
    if (at < 0) {
        return FIT_NONE;
    }
    enum unit unit;
    int next;
    double ms = span_quantity(span, at, &unit, &next);
    const struct field *field = field_named("mode.frame_ms");
    if (unit != UNIT_MS && (unit != UNIT_NONE || ms < field->low)) {
        return FIT_NONE;
    }
    if (ms < field->low || ms > field->high) {
        return WRONG(at, next, "frame length %.4g ms: %g to %g ms exist", ms, field->low,
                     field->high);
    }
    return TAKE(at, next, "mode.frame_ms", ms, "%.6g ms", ms);
}

enum fit read_symbols(const struct span *span, struct value *value)
{
    return read_whole(span, value, "second.data_symbols", "data symbols", 1, 9999);
}

enum fit read_carriers(const struct span *span, struct value *value)
{
    return read_whole(span, value, "second.carriers", "carriers", 6529, 27649);
}

/* "HTI 4", "HTI 2 inter"; "HTI" alone does not tell how far it spreads. */
static enum fit read_hybrid(const struct span *span, int at, struct value *value)
{
    int number = at + 1 + span_is_mark(span, at + 1, "-_:");
    bool inter = span_is_word(span, number + 1, "inter");
    char name[24];
    text_format(name, sizeof name, "HTI %.0f%s",
                span_is_whole(span, number) ? span_number(span, number) : 0.0,
                inter ? " inter" : "");
    int interleaver = interleaver_from_name(name);
    if (interleaver < 0) {
        return TAKE(at, at + 1, "page.hybrid_interleaver", 1, "hybrid");
    }
    return TAKE(at, number + 1 + inter, "mode.interleaver", interleaver, "%s", name);
}

enum fit read_interleaver(const struct span *span, struct value *value)
{
    static const char *const hybrid[] = {"hti", "hybrid", NULL};
    int at = span_find_word(span, hybrid);
    if (at >= 0) {
        return read_hybrid(span, at, value);
    }
    at = span_first_number(span);
    if (at >= 0 && span_is_whole(span, at)) {
        int from = at > span->from && span_is_word(span, at - 1, "cti") ? at - 1 : at;
        for (int i = 1; i < INTERLEAVER_COUNT; i++) {
            if (span_number(span, at) == interleaver_rows((enum interleaver)i)) {
                return TAKE(from, at + 1, "mode.interleaver", i, "%s",
                            interleaver_name((enum interleaver)i));
            }
        }
        int taken;
        if (unit_at(span, at + 1, &taken) == UNIT_NONE && span_number(span, at) >= 100.0) {
            return WRONG(from, at + 1,
                         "time interleaver depth %.0f: 512 724 887 1024 1254 and 1448 rows exist",
                         span_number(span, at));
        }
        return FIT_NONE;
    }
    at = span_find_word(span, words_no);
    if (at >= 0) {
        return TAKE(at, at + 1, "mode.interleaver", INTERLEAVER_NONE, "none");
    }
    return FIT_NONE;
}
