/* How readings and the frame around a mode are written on a page: channel, level, SNR, PLPs. */
#include <math.h>
#include <string.h>

#include "scenario/field.h"
#include "standard/rf.h"
#include "study/page/span.h"

enum fit read_bandwidth(const struct span *span, struct value *value)
{
    int at = span_first_number(span);
    if (at < 0) {
        return FIT_NONE;
    }
    enum unit unit;
    int next;
    double mhz = span_quantity(span, at, &unit, &next);
    if (unit != UNIT_MHZ && !(unit == UNIT_NONE && span->labelled)) {
        return FIT_NONE;
    }
    if (mhz == 6.0 || mhz == 7.0 || mhz == 8.0) {
        return TAKE(at, next, "site.bandwidth_mhz", mhz, "%.0f MHz", mhz);
    }
    if (mhz > 5.0 && mhz < 8.0) {
        return TAKE(at, next, "second.occupied_mhz", mhz, "%.4g MHz", mhz);
    }
    return span->labelled && mhz < 30.0
               ? WRONG(at, next, "bandwidth %.4g MHz: 6, 7 and 8 MHz exist", mhz)
               : FIT_NONE;
}

enum fit read_frequency(const struct span *span, struct value *value)
{
    int at = span_first_number(span);
    if (at < 0) {
        return FIT_NONE;
    }
    enum unit unit;
    int next;
    double number = span_quantity(span, at, &unit, &next);
    if (unit == UNIT_NONE && span->labelled) {
        unit = number < 1e4 ? UNIT_MHZ : number < 1e7 ? UNIT_KHZ : UNIT_HZ;
    }
    if (unit != UNIT_MHZ && unit != UNIT_KHZ && unit != UNIT_HZ) {
        return FIT_NONE;
    }
    double mhz = number * (unit == UNIT_MHZ ? 1.0 : unit == UNIT_KHZ ? 1e-3 : 1e-6);
    if (mhz < 40.0 || mhz > 1000.0) {
        return span->labelled
                   ? WRONG(at, next, "frequency %.6g MHz: television lies between 54 and 608 MHz",
                           mhz)
                   : FIT_NONE;
    }
    return TAKE(at, next, "site.center_mhz", mhz, "%.10g MHz", mhz);
}

enum fit read_virtual(const struct span *span, struct value *value)
{
    int at = span_first_number(span);
    if (at < 0) {
        return FIT_NONE;
    }
    int end = at + 1;
    if (span_is_mark(span, end, "-.") && span_is_whole(span, end + 1)) {
        end += 2;
    }
    return TAKE(at, end, "page.virtual_channel", NAN, "%.*s",
                span->atoms[end - 1].end - span->atoms[at].start,
                span->line + span->atoms[at].start);
}

enum fit read_channel(const struct span *span, struct value *value)
{
    int at = span_first_number(span), taken;
    if (at < 0 || unit_at(span, at + 1, &taken) != UNIT_NONE) {
        return FIT_NONE;
    }
    double number = span_number(span, at);
    bool minor = span_is_mark(span, at + 1, "-") && span_is_whole(span, at + 2);
    if (!span_is_whole(span, at) || minor) {
        return number > 0.0 ? read_virtual(span, value) : FIT_NONE;
    }
    if (number < RF_CHANNEL_MIN || number > RF_CHANNEL_MAX) {
        return WRONG(at, at + 1, "RF channel %.0f: %d to %d exist", number, RF_CHANNEL_MIN,
                     RF_CHANNEL_MAX);
    }
    return TAKE(at, at + 1, "site.rf_channel", number, "%.0f", number);
}

enum fit read_snr(const struct span *span, struct value *value)
{
    int at = span_first_number(span);
    if (at < 0) {
        return FIT_NONE;
    }
    enum unit unit;
    int next;
    double db = span_quantity(span, at, &unit, &next);
    if (unit == UNIT_PERCENT) {
        return TAKE(at, next, "page.quality_percent", db, "%.4g %%", db);
    }
    if (unit != UNIT_DB && unit != UNIT_NONE) {
        return FIT_NONE;
    }
    const struct field *field = field_named("receiver.snr_db");
    if (db < field->low || db > field->high) {
        return WRONG(at, next, "SNR %.4g dB: %g to %g dB are possible", db, field->low,
                     field->high);
    }
    return TAKE(at, next, "receiver.snr_db", db, "%.4g dB", db);
}

/* Of one volt across 75 ohm: 0 dBm are 108.75 dBuV and 48.75 dBmV. */
#define DBUV_OF_DBM 108.75
#define DBMV_OF_DBM 48.75

enum fit read_level(const struct span *span, struct value *value)
{
    int at = span_first_number(span);
    if (at < 0) {
        return FIT_NONE;
    }
    enum unit unit;
    int next;
    double number = span_quantity(span, at, &unit, &next);
    if (unit == UNIT_PERCENT || (unit == UNIT_NONE && number >= 0.0 && span->labelled)) {
        return TAKE(at, next, "page.level_percent", number, "%.4g%s", number,
                    unit == UNIT_PERCENT ? " %" : "");
    }
    double off = unit == UNIT_DBUV ? DBUV_OF_DBM : unit == UNIT_DBMV ? DBMV_OF_DBM : 0.0;
    if (unit != UNIT_DBM && off == 0.0 && !(unit == UNIT_NONE && span->labelled)) {
        return FIT_NONE;
    }
    double dbm = number - off;
    const struct field *field = field_named("receiver.level_dbm");
    if (dbm < field->low || dbm > field->high) {
        return WRONG(at, next, "level %.5g dBm: %g to %g dBm are possible", dbm, field->low,
                     field->high);
    }
    if (off != 0.0) {
        return TAKE(at, next, "receiver.level_dbm", dbm, "%.5g dBm (%.5g %s in 75 ohm)", dbm,
                    number, unit == UNIT_DBUV ? "dBuV" : "dBmV");
    }
    return TAKE(at, next, "receiver.level_dbm", dbm, "%.5g dBm", dbm);
}

/* "RF 10", "RF: 195 MHz", "RF: -57 dBm". */
enum fit read_rf(const struct span *span, struct value *value)
{
    int at = span_first_number(span), taken;
    if (at < 0) {
        return FIT_NONE;
    }
    switch (unit_at(span, at + 1, &taken)) {
    case UNIT_NONE:
        return read_channel(span, value);
    case UNIT_MHZ:
    case UNIT_KHZ:
    case UNIT_HZ:
        return read_frequency(span, value);
    case UNIT_DBM:
    case UNIT_DBUV:
    case UNIT_DBMV:
    case UNIT_PERCENT:
        return read_level(span, value);
    default:
        return FIT_NONE;
    }
}

enum fit read_quality(const struct span *span, struct value *value)
{
    int at = span_first_number(span);
    if (at < 0) {
        return FIT_NONE;
    }
    enum unit unit;
    int next;
    double number = span_quantity(span, at, &unit, &next);
    if (unit == UNIT_DB) {
        return read_snr(span, value);
    }
    if (unit != UNIT_NONE && unit != UNIT_PERCENT) {
        return FIT_NONE;
    }
    return TAKE(at, next, "page.quality_percent", number, "%.4g%s", number,
                unit == UNIT_PERCENT ? " %" : "");
}

enum fit read_plp(const struct span *span, struct value *value)
{
    return read_whole(span, value, "page.plp", "PLP", 0, PAGE_PLP_MAX);
}

enum fit read_plp_count(const struct span *span, struct value *value)
{
    return read_whole(span, value, "page.plp_count", "number of PLPs", 1, PAGE_PLP_MAX + 1);
}

enum fit read_subframe(const struct span *span, struct value *value)
{
    return read_whole(span, value, "page.subframe", "subframe", 0, 255);
}

enum fit read_system(const struct span *span, struct value *value)
{
    for (int at = span->from; at < span->to; at++) {
        int number = at + 1 + span_is_mark(span, at + 1, "-");
        bool numbered = span_is_number(span, number);
        double version = span_number(span, number);
        if (span_is_word(span, at, "atsc") && numbered && (version == 3.0 || version == 1.0)) {
            return TAKE(at, number + 1, "page.system", version, "ATSC %.1f", version);
        }
        if (span_is_word(span, at, "vsb")) {
            bool eight = at >= 2 && span_is_mark(span, at - 1, "-") && span_is_whole(span, at - 2);
            int from = eight ? at - 2 : at > 0 && span_is_whole(span, at - 1) ? at - 1 : at;
            return TAKE(from, at + 1, "page.system", 1.0, "8-VSB");
        }
    }
    return FIT_NONE;
}

enum fit read_lock(const struct span *span, struct value *value)
{
    static const char *const good[] = {"yes", "locked", "lock", "ok", "on", "true", "good", NULL};
    static const char *const bad[] = {"no",    "unlocked", "lost", "off",
                                      "false", "none",     "fail", NULL};
    int no = span_find_word(span, bad);
    int yes = span_find_word(span, good);
    int at = no >= 0 ? no : yes;
    if (at >= 0) {
        return TAKE(at, at + 1, "page.lock", no < 0, "%s", no < 0 ? "yes" : "no");
    }
    at = span_first_number(span);
    if (at >= 0 && (span_number(span, at) == 0.0 || span_number(span, at) == 1.0)) {
        bool locked = span_number(span, at) == 1.0;
        return TAKE(at, at + 1, "page.lock", locked, "%s", locked ? "yes" : "no");
    }
    return FIT_NONE;
}

/* "1.2e-6", "1.2 x 10^-6" is not read. */
enum fit read_error_rate(const struct span *span, struct value *value)
{
    int at = span_first_number(span);
    if (at < 0) {
        return FIT_NONE;
    }
    double number = span_number(span, at);
    int end = at + 1;
    if (span_is_word(span, end, "e")) {
        int power = end + 1 + span_is_mark(span, end + 1, "-+");
        if (!span_is_number(span, power)) {
            return FIT_NONE;
        }
        double sign = span_is_mark(span, end + 1, "-") ? -1.0 : 1.0;
        number *= pow(10.0, sign * span_number(span, power));
        end = power + 1;
    }
    if (!(number >= 0.0 && number <= 1.0)) {
        return WRONG(at, end, "error rate %.3g: 0 to 1 are possible", number);
    }
    return TAKE(at, end, "page.error_rate", number, "%.3g", number);
}

enum fit read_errors(const struct span *span, struct value *value)
{
    int at = span_first_number(span);
    if (at < 0 || !span_is_whole(span, at)) {
        return FIT_NONE;
    }
    return TAKE(at, at + 1, "page.errors", span_number(span, at), "%.0f", span_number(span, at));
}

enum fit read_bit_rate(const struct span *span, struct value *value)
{
    int at = span_first_number(span);
    if (at < 0) {
        return FIT_NONE;
    }
    enum unit unit;
    int next;
    double number = span_quantity(span, at, &unit, &next);
    if (unit != UNIT_MBPS && unit != UNIT_KBPS) {
        return FIT_NONE;
    }
    double mbps = unit == UNIT_MBPS ? number : number / 1e3;
    return TAKE(at, next, "page.bit_rate_mbps", mbps, "%.6g Mbit/s", mbps);
}

static enum fit take_all(const struct span *span, struct value *value, const char *key)
{
    int from = span->from, to = span->to;
    while (from < to && span->atoms[from].kind == ATOM_MARK) {
        from++;
    }
    if (from >= to) {
        return FIT_NONE;
    }
    return TAKE(from, to, key, NAN, "%.*s", span->atoms[to - 1].end - span->atoms[from].start,
                span->line + span->atoms[from].start);
}

enum fit read_identity(const struct span *span, struct value *value)
{
    return take_all(span, value, "page.identity");
}

enum fit read_unmodelled(const struct span *span, struct value *value)
{
    return take_all(span, value, "page.not_computed");
}
