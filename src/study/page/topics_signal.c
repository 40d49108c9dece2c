/* How readings and the frame around a mode are written on a page: channel, level, SNR, PLPs. */
#include <math.h>
#include <string.h>

#include "scenario/field.h"
#include "standard/rf.h"
#include "study/page/terms/terms.h"

enum fit read_bandwidth(const struct span *span, struct value *value)
{
    int at = span_first_number(span);
    if (at < 0) {
        return FIT_NONE;
    }
    enum unit unit;
    int next;
    double mhz = span_quantity(span, at, &unit, &next);
    bool bare = unit == UNIT_NONE; /* and labelled: what is not has a unit */
    if (unit == UNIT_HZ || (bare && mhz >= 1e6)) {
        mhz *= 1e-6;
    } else if (unit == UNIT_KHZ && span->labelled) {
        mhz *= 1e-3;
    } else if (unit != UNIT_MHZ && !bare) {
        return FIT_NONE;
    }
    const struct terms *terms = terms_of(span->pair);
    if (mhz >= terms->bandwidth_least_mhz && mhz <= 8.0 && mhz == floor(mhz)) {
        return TAKE(at, next, "site.bandwidth_mhz", mhz, "%.0f MHz", mhz);
    }
    if (mhz > 5.0 && mhz < 8.0) {
        return TAKE(at, next, "second.occupied_mhz", mhz, "%.4g MHz", mhz);
    }
    return span->labelled && mhz < 30.0
               ? WRONG(at, next, "bandwidth %.4g MHz: %s MHz exist", mhz, terms->bandwidths)
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
    if (unit == UNIT_NONE) {
        unit = number < 1e4 ? UNIT_MHZ : number < 1e7 ? UNIT_KHZ : UNIT_HZ;
    }
    if (unit != UNIT_MHZ && unit != UNIT_KHZ && unit != UNIT_HZ) {
        return FIT_NONE;
    }
    const struct atom *atom = span_atom(span, at);
    if (unit != UNIT_MHZ && atom->decimals == 3 && number < 1000.0) {
        number *= 1000.0; /* "605.000 kHz", "605,000 kHz": a mark of thousands */
    }
    double mhz = number * (unit == UNIT_MHZ ? 1.0 : unit == UNIT_KHZ ? 1e-3 : 1e-6);
    if (mhz < 40.0 || mhz > 1000.0) {
        double low_mhz, high_mhz;
        rf_span_mhz(pair_plan(span->pair), &low_mhz, &high_mhz);
        return span->labelled ? WRONG(at, next,
                                      "frequency %.6g MHz: television lies between %.0f and %.0f "
                                      "MHz",
                                      mhz, low_mhz, high_mhz)
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
    if (number < RF_CHANNEL_MIN || number > RF_CHANNEL_MAX ||
        !rf_channel_exists(pair_plan(span->pair), (int)number)) {
        char exist[64];
        rf_channels_words(pair_plan(span->pair), exist, sizeof exist);
        return WRONG(at, at + 1, "RF channel %.0f: %s exist", number, exist);
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
    bool fraction = next == at + 1 && atoms_are_fraction(span->atoms, span->to, at);
    if ((unit != UNIT_DB && unit != UNIT_NONE) || fraction) {
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
    if (unit == UNIT_PERCENT || (unit == UNIT_NONE && number >= 0.0)) {
        return TAKE(at, next, "page.level_percent", number, "%.4g%s", number,
                    unit == UNIT_PERCENT ? " %" : "");
    }
    double off = unit == UNIT_DBUV ? DBUV_OF_DBM : unit == UNIT_DBMV ? DBMV_OF_DBM : 0.0;
    if (unit != UNIT_DBM && off == 0.0 && unit != UNIT_NONE) {
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

/* No plan has a channel of three digits. */
#define RF_NUMBERS_MAX 99.0

/* "RF 10", "RF: 195 MHz", "RF: 569", "RF: -57 dBm". */
enum fit read_rf(const struct span *span, struct value *value)
{
    int at = span_first_number(span), taken;
    if (at < 0) {
        return FIT_NONE;
    }
    switch (unit_at(span, at + 1, &taken)) {
    case UNIT_NONE:
        return span_number(span, at) > RF_NUMBERS_MAX ? read_frequency(span, value)
                                                      : read_channel(span, value);
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
    static const char *const numbers[] = {"id", "no", "nr", "num", "number", "index", NULL};
    int at = span_first_number(span);
    for (int i = span->from; i < at; i++) { /* "PLP_NUM_BLOCKS_MAX 60" is no PLP's number */
        struct span word = {.line = span->line, .atoms = span->atoms, .from = i, .to = i + 1};
        if (span_atom(span, i)->kind == ATOM_WORD && span_find_word(&word, numbers) < 0) {
            return FIT_NONE;
        }
    }
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

enum fit read_subframe_count(const struct span *span, struct value *value)
{
    return read_whole(span, value, "page.subframe_count", "number of subframes", 1, 256);
}

enum fit read_system_at(const struct span *span, int at, struct value *value)
{
    const char *name;
    double number;
    int taken = system_name_at(span, at, &name, &number);
    return taken > 0 ? TAKE(at, at + taken, "page.system", number, "%s", name) : FIT_NONE;
}

enum fit read_system(const struct span *span, struct value *value)
{
    for (int at = span->from; at < span->to; at++) {
        enum fit fit = read_system_at(span, at, value);
        if (fit != FIT_NONE) {
            return fit;
        }
    }
    return FIT_NONE;
}

enum fit read_lock(const struct span *span, struct value *value)
{
    static const char *const good[] = {"locked", "lock", "ok", "good", "y", "verriegelt", NULL};
    static const char *const bad[] = {"unlocked", "unlock", "lost", "fail", "failed", "n", NULL};
    int no = span_find_word(span, bad), yes = span_find_word(span, good);
    no = no >= 0 ? no : span_find_word(span, words_no);
    yes = yes >= 0 ? yes : span_find_word(span, words_yes);
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

/* A power of ten behind a number: "e-6", "x 10^-6", "*10-6". Where it ends; `at` where there is
 * none. */
static int power_of_ten(const struct span *span, int at, double *power)
{
    int end = at;
    if (span_is_word(span, end, "e")) {
        end++;
    } else if (span_is_word(span, end, "x") || span_is_mark(span, end, "*|")) {
        end++;
        if (!span_is_whole(span, end) || span_number(span, end) != 10.0) {
            return at;
        }
        end += 1 + span_is_mark(span, end + 1, "^");
    } else {
        return at;
    }
    double sign = span_is_mark(span, end, "-") ? -1.0 : 1.0;
    end += span_is_mark(span, end, "-+");
    if (!span_is_number(span, end)) {
        return at;
    }
    *power = sign * span_number(span, end);
    return end + 1;
}

static enum fit read_rate_as(const struct span *span, struct value *value, const char *key)
{
    int at = span_first_number(span);
    if (at < 0) {
        return FIT_NONE;
    }
    double number = span_number(span, at), power = 0.0;
    int end = power_of_ten(span, at + 1, &power);
    number *= pow(10.0, power);
    if (span_is_mark(span, end, "%")) {
        number /= 100.0;
        end++;
    }
    if (!(number >= 0.0 && number <= 1.0)) {
        return WRONG(at, end, "error rate %.3g: 0 to 1 are possible", number);
    }
    return TAKE(at, end, key, number, "%.3g", number);
}

enum fit read_error_rate(const struct span *span, struct value *value)
{
    return read_rate_as(span, value, "page.error_rate");
}

enum fit read_error_rate_before(const struct span *span, struct value *value)
{
    return read_rate_as(span, value, "page.error_rate_before");
}

enum fit read_error_rate_inner(const struct span *span, struct value *value)
{
    return read_rate_as(span, value, "page.error_rate_inner");
}

enum fit read_error_rate_after(const struct span *span, struct value *value)
{
    return read_rate_as(span, value, "page.error_rate_after");
}

/* Three digits; numbers that follow one another are never glued. */
static bool is_group_of_three(const struct span *span, int at)
{
    const struct atom *atom = span_atom(span, at);
    return span_is_whole(span, at) && atom->end - atom->start == 3;
}

/* A count is whole: "12 934", "12,934" and "12.934" are the same. */
static enum fit read_count(const struct span *span, struct value *value, const char *key)
{
    int at = span_first_number(span), end = at + 1;
    double number = at < 0 ? NAN : span_number(span, at);
    if (at >= 0 && !span_is_whole(span, at)) {
        number = span_atom(span, at)->decimals == 3 ? round(1000.0 * number) : NAN;
    } else if (number < 1000.0) {
        for (; is_group_of_three(span, end); end++) {
            number = 1000.0 * number + span_number(span, end);
        }
    }
    bool of_several = span_is_mark(span, end, "/"); /* "0 / 19" */
    return number >= 0.0 && !of_several ? TAKE(at, end, key, number, "%.0f", number) : FIT_NONE;
}

enum fit read_corrected(const struct span *span, struct value *value)
{
    return read_count(span, value, "page.corrected");
}

enum fit read_iterations(const struct span *span, struct value *value)
{
    return read_count(span, value, "page.iterations");
}

static enum fit read_db(const struct span *span, struct value *value, const char *key,
                        double (*told)(double db))
{
    int at = span_first_number(span), next = 0;
    enum unit unit = UNIT_NONE;
    double db = at < 0 ? NAN : told(span_quantity(span, at, &unit, &next));
    if (isnan(db) || (unit != UNIT_DB && unit != UNIT_NONE)) {
        return FIT_NONE;
    }
    return TAKE(at, next, key, db, "%.4g dB", db);
}

static double as_it_is(double db)
{
    return db;
}

enum fit read_receiver_margin(const struct span *span, struct value *value)
{
    return read_db(span, value, "page.receiver_margin_db", as_it_is);
}

enum fit read_receiver_need(const struct span *span, struct value *value)
{
    return read_db(span, value, "page.needed_snr_db", as_it_is);
}

/* How far the enhanced layer lies below the core: some write it with a minus sign. */
enum fit read_injection(const struct span *span, struct value *value)
{
    return read_db(span, value, "plp.injection_db", fabs);
}

enum fit read_layer(const struct span *span, struct value *value)
{
    static const char *const core[] = {"core", "base", "lower", "cl", NULL};
    static const char *const enhanced[] = {"enhanced", "enhancement", "enh", "upper", "el", NULL};
    int at = span_find_word(span, core), number = span_first_number(span);
    bool is_core = at >= 0;
    at = is_core ? at : span_find_word(span, enhanced);
    if (at < 0 && number >= 0 &&
        (span_number(span, number) == 0.0 || span_number(span, number) == 1.0)) {
        at = number;
        is_core = span_number(span, number) == 0.0;
    }
    if (at >= 0) {
        return TAKE(at, at + 1, "plp.layer", !is_core, "%s", is_core ? "core" : "enhanced");
    }
    at = span_find_word(span, words_no);
    return at >= 0 ? TAKE(at, at + 1, "plp.layer", NAN, "none") : FIT_NONE;
}

enum fit read_plp_share(const struct span *span, struct value *value)
{
    int at = span_first_number(span), next = 0;
    enum unit unit = UNIT_NONE;
    double percent = at < 0 ? NAN : span_quantity(span, at, &unit, &next);
    if (isnan(percent) || unit != UNIT_PERCENT) {
        return FIT_NONE;
    }
    if (percent <= 0.0 || percent > 100.0) {
        return WRONG(at, next, "share of a PLP %.4g %%: 0 to 100 %% are possible", percent);
    }
    return TAKE(at, next, "plp.share_percent", percent, "%.4g %%", percent);
}

/* A number, or a part of all. */
enum fit read_plp_cells(const struct span *span, struct value *value)
{
    enum fit fit = read_whole(span, value, "plp.cells", "cells of a PLP", 1, 1 << 24);
    return fit == FIT_NONE ? read_plp_share(span, value) : fit;
}

enum fit read_plp_blocks(const struct span *span, struct value *value)
{
    return read_whole(span, value, "page.fec_blocks", "code blocks of a PLP", 1, 1023);
}

enum fit read_errors(const struct span *span, struct value *value)
{
    return read_count(span, value, "page.errors");
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

enum fit read_snr_before(const struct span *span, struct value *value)
{
    return take_all(span, value, "page.snr_before");
}

enum fit read_unmodelled(const struct span *span, struct value *value)
{
    return take_all(span, value, "page.not_computed");
}
