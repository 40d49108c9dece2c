/* From a field to its reader, and values that need no label. */
#include <math.h>
#include <string.h>

#include "study/page/span.h"

static const struct {
    field_reader *read;
    bool of_plp; /* said of a PLP under that PLP's heading */
    bool choice; /* a second, different value contradicts the first */
} fields[FIELD_COUNT] = {
    [FIELD_FFT] = {read_fft, false, true},
    [FIELD_GUARD] = {read_guard, false, true},
    [FIELD_PILOTS] = {read_pilots, false, true},
    [FIELD_BOOST] = {read_boost, false, true},
    [FIELD_REDUCTION] = {read_reduction, false, true},
    [FIELD_BANDWIDTH] = {read_bandwidth, false, true},
    [FIELD_CHANNEL] = {read_channel, false, true},
    [FIELD_RF] = {read_rf, false, true},
    [FIELD_VIRTUAL] = {read_virtual, false, false},
    [FIELD_FREQUENCY] = {read_frequency, false, true},
    [FIELD_SNR] = {read_snr, false, false},
    [FIELD_LEVEL] = {read_level, false, false},
    [FIELD_QUALITY] = {read_quality, false, false},
    [FIELD_CONSTELLATION] = {read_constellation, true, true},
    [FIELD_RATE] = {read_rate, true, true},
    [FIELD_LENGTH] = {read_length, true, true},
    [FIELD_OUTER] = {read_outer, true, true},
    [FIELD_PLP] = {read_plp, false, false},
    [FIELD_PLP_COUNT] = {read_plp_count, false, true},
    [FIELD_SUBFRAME] = {read_subframe, false, false},
    [FIELD_L1_BASIC] = {read_l1_basic, false, true},
    [FIELD_L1_DETAIL] = {read_l1_detail, false, true},
    [FIELD_L1] = {read_l1_basic, false, true},
    [FIELD_FIRST_BOUNDARY] = {read_first_boundary, false, true},
    [FIELD_LAST_BOUNDARY] = {read_last_boundary, false, true},
    [FIELD_FRAME] = {read_frame, false, true},
    [FIELD_SYMBOLS] = {read_symbols, false, true},
    [FIELD_CARRIERS] = {read_carriers, false, true},
    [FIELD_INTERLEAVER] = {read_interleaver, true, true},
    [FIELD_SYSTEM] = {read_system, false, true},
    [FIELD_LOCK] = {read_lock, true, false},
    [FIELD_ERROR_RATE] = {read_error_rate, true, false},
    [FIELD_ERRORS] = {read_errors, true, false},
    [FIELD_BIT_RATE] = {read_bit_rate, true, false},
    [FIELD_IDENTITY] = {read_identity, false, false},
    [FIELD_UNMODELLED] = {read_unmodelled, false, false},
};

bool field_is_of_plp(enum field field)
{
    return fields[field].of_plp;
}

bool field_is_choice(enum field field)
{
    return fields[field].choice;
}

bool field_is_of_mode(enum field field)
{
    return field <= FIELD_REDUCTION || (field >= FIELD_CONSTELLATION && field <= FIELD_OUTER) ||
           (field >= FIELD_L1_BASIC && field <= FIELD_INTERLEAVER);
}

enum fit field_read(enum field field, const struct span *span, struct value *value)
{
    return fields[field].read ? fields[field].read(span, value) : FIT_NONE;
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

/* Readers for values that their unit or form gives away, on the atoms of one value only. */
static enum fit read_by_form(const struct span *span, int at, struct value *value)
{
    static field_reader *const readers[] = {read_bandwidth, read_frequency, read_level, read_fft};
    int taken;
    if (!span_is_number(span, at) || unit_at(span, at + 1, &taken) == UNIT_NONE) {
        return FIT_NONE;
    }
    struct span own = *span;
    own.from = at;
    own.to = at + 1 + taken;
    for (size_t i = 0; i < sizeof readers / sizeof readers[0]; i++) {
        enum fit fit = readers[i](&own, value);
        if (fit != FIT_NONE) {
            return fit;
        }
    }
    return FIT_NONE;
}

static enum fit read_word(const struct span *span, int at, struct value *value)
{
    static field_reader *const readers[] = {read_outer, read_system};
    static const char *const words[] = {"bch", "crc", "atsc", "vsb"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (span_is_word(span, at, words[i])) {
            struct span own = *span;
            own.from = at - span->from >= 2 && span_is_mark(span, at - 1, "-") ? at - 2
                       : at > span->from && span_is_whole(span, at - 1)        ? at - 1
                                                                               : at;
            return readers[i / 2](&own, value);
        }
    }
    return FIT_NONE;
}

enum fit field_read_evident(const struct span *span, int at, struct value *value)
{
    struct span plain = *span;
    plain.labelled = false;
    plain.hint = UNIT_NONE;
    enum fit fit = read_constellation_at(&plain, at, value);
    if (fit == FIT_NONE && span_is_whole(&plain, at)) {
        fit = read_guard_pair(&plain, at, value);
    }
    if (fit == FIT_NONE && span_is_whole(&plain, at)) {
        fit = read_pilots_at(&plain, at, value);
    }
    if (fit == FIT_NONE && span_is_whole(&plain, at)) {
        fit = read_rate_at(&plain, at, value);
    }
    if (fit == FIT_NONE) {
        fit = read_length_before_rate(&plain, at, value);
    }
    if (fit == FIT_NONE) {
        fit = read_by_form(&plain, at, value);
    }
    if (fit == FIT_NONE) {
        fit = read_word(&plain, at, value);
    }
    return fit;
}
