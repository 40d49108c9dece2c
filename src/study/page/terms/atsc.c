/* How the settings of an ATSC 3.0 mode are written on a page: the short forms of the trade. A
 * reader looks at the atoms of its span, takes those that it understands and leaves the rest. */
#include <math.h>
#include <string.h>

#include "scenario/field.h"
#include "study/page/terms/atsc_settle.h"
#include "study/page/terms/terms.h"

static enum fit read_fft(const struct span *span, struct value *value)
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
static enum fit read_guard_pair(const struct span *span, int at, struct value *value)
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

static enum fit read_guard(const struct span *span, struct value *value)
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
static enum fit read_pilots_at(const struct span *span, int at, struct value *value)
{
    int second = at + 1;
    second += span_is_mark(span, second, "_-/") || span_is_word(span, second, "x") ||
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

static enum fit read_pilots(const struct span *span, struct value *value)
{
    int at = span_first_number(span);
    return at < 0 ? FIT_NONE : read_pilots_at(span, at, value);
}

/* A whole number that a setting can have. */
static enum fit read_setting(const struct span *span, struct value *value, const char *key)
{
    const struct field *field = field_named(key);
    return read_whole(span, value, key, field->title, (int)field->low, (int)field->high);
}

static enum fit read_boost(const struct span *span, struct value *value)
{
    return read_setting(span, value, "mode.boost");
}

static enum fit read_reduction(const struct span *span, struct value *value)
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

static enum fit read_constellation_at(const struct span *span, int at, struct value *value)
{
    return constellation_read_at(span, at, value, take_constellation);
}

static enum fit read_constellation(const struct span *span, struct value *value)
{
    return constellation_read(span, value, 4096.0, take_constellation);
}

static enum fit take_rate(const struct span *span, struct value *value, int from, int to, double n)
{
    return TAKE(from, to, "mode.rate", n, "%.0f/15", n);
}

/* "9/15", and under a label "3/5" and "0.6" at a number. */
static enum fit read_rate_at(const struct span *span, int at, struct value *value)
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
    if (span->labelled && !span_is_whole(span, at)) {
        double n = round(span_number(span, at) * 15.0);
        if (n >= RATE_MIN_15THS && n <= RATE_MAX_15THS &&
            fabs(span_number(span, at) - n / 15.0) < 0.006) {
            return take_rate(span, value, at, at + 1, n);
        }
    }
    return FIT_NONE;
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

static enum fit read_length(const struct span *span, struct value *value)
{
    return read_length_as(span, value, "mode.length");
}

static enum fit read_outer(const struct span *span, struct value *value)
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
    at = span_find_word(span, words_no);
    if (at >= 0) {
        return TAKE(at, at + 1, "mode.outer", OUTER_NONE, "%s", outer_code_name(OUTER_NONE));
    }
    return FIT_NONE;
}

static enum fit read_l1_basic(const struct span *span, struct value *value)
{
    return read_setting(span, value, "mode.l1_basic_mode");
}

static enum fit read_l1_detail(const struct span *span, struct value *value)
{
    return read_setting(span, value, "mode.l1_detail_mode");
}

static enum fit read_first_boundary(const struct span *span, struct value *value)
{
    return read_yes(span, value, "mode.first_boundary");
}

static enum fit read_last_boundary(const struct span *span, struct value *value)
{
    return read_yes(span, value, "page.last_boundary");
}

static enum fit read_frame(const struct span *span, struct value *value)
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

static enum fit read_symbols(const struct span *span, struct value *value)
{
    return read_whole(span, value, "second.data_symbols", "data symbols", 1, 9999);
}

static enum fit read_carriers(const struct span *span, struct value *value)
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

static enum fit read_interleaver(const struct span *span, struct value *value)
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

/* "64K 9/15", "16K 9/15": a code length, because a code rate follows. */
static enum fit read_length_before_rate(const struct span *span, int at, struct value *value)
{
    bool is_length = span_is_whole(span, at) && span_is_word(span, at + 1, "k") &&
                     (span_number(span, at) == 64.0 ||
                      (span_number(span, at) == 16.0 && span_is_mark(span, at + 3, "/")));
    struct span own = *span;
    own.from = at;
    own.to = at + 2;
    return is_length ? read_length(&own, value) : FIT_NONE;
}

/* "256QAM BCH" */
static enum fit read_outer_at(const struct span *span, int at, struct value *value)
{
    struct span own = *span;
    own.from = at;
    bool here = span_is_word(span, at, "bch") || span_is_word(span, at, "crc");
    return here ? read_outer(&own, value) : FIT_NONE;
}

/* "256QAM 9/15 HTI": a number behind it may be of blocks or of subframes, so it is left. */
static enum fit read_hybrid_at(const struct span *span, int at, struct value *value)
{
    struct span own = *span;
    own.to = at + 1;
    return span_is_word(span, at, "hti") ? read_hybrid(&own, at, value) : FIT_NONE;
}

/* "PLP 0 (core)", "enhanced layer" */
static enum fit read_layer_at(const struct span *span, int at, struct value *value)
{
    struct span own = *span;
    own.from = at;
    own.to = at + 1;
    bool word = span_is_word(span, at, "core") || span_is_word(span, at, "enhanced");
    bool named = span_is_mark(span, at - 1, "(") || span_is_word(span, at + 1, "layer") ||
                 span_is_word(span, at + 1, "plp");
    return word && named ? read_layer(&own, value) : FIT_NONE;
}

/* "64QAM 8/15 64800": a code length behind a code. */
static enum fit read_length_at(const struct span *span, int at, struct value *value)
{
    return read_bare_length_at(span, at, value, "mode.length");
}

/* ---- The pair's row. ---- */

static topic_reader *const readers[TOPIC_COUNT] = {
    [TOPIC_FFT] = read_fft,
    [TOPIC_GUARD] = read_guard,
    [TOPIC_PILOTS] = read_pilots,
    [TOPIC_BOOST] = read_boost,
    [TOPIC_REDUCTION] = read_reduction,
    [TOPIC_CONSTELLATION] = read_constellation,
    [TOPIC_RATE] = read_rate,
    [TOPIC_LENGTH] = read_length,
    [TOPIC_OUTER] = read_outer,
    [TOPIC_L1_BASIC] = read_l1_basic,
    [TOPIC_L1_DETAIL] = read_l1_detail,
    [TOPIC_L1] = read_l1_basic,
    [TOPIC_FIRST_BOUNDARY] = read_first_boundary,
    [TOPIC_LAST_BOUNDARY] = read_last_boundary,
    [TOPIC_FRAME] = read_frame,
    [TOPIC_SYMBOLS] = read_symbols,
    [TOPIC_CARRIERS] = read_carriers,
    [TOPIC_INTERLEAVER] = read_interleaver,
};
static evident_reader *const unmistakable[] = {
    read_constellation_at, read_guard_pair, read_pilots_at, read_rate_at, read_outer_at, NULL};
static evident_reader *const evident[] = {read_length_before_rate, read_length_at, read_layer_at,
                                          read_hybrid_at, NULL};

const struct terms terms_atsc = {
    .readers = readers,
    .unmistakable = unmistakable,
    .evident = evident,
    .read_line = codes_read_line,
    .bandwidth_least_mhz = 6,
    .bandwidths = "6, 7 and 8",
    .settle = atsc_settle,
};
