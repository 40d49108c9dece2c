/* From a topic to its reader, and values that need no label. */
#include <math.h>
#include <string.h>

#include "study/page/span.h"

static const struct {
    topic_reader *read;
    bool of_plp; /* said of a PLP under that PLP's heading */
    bool choice; /* a second, different value contradicts the first */
} topics[TOPIC_COUNT] = {
    [TOPIC_FFT] = {read_fft, false, true},
    [TOPIC_GUARD] = {read_guard, false, true},
    [TOPIC_PILOTS] = {read_pilots, false, true},
    [TOPIC_BOOST] = {read_boost, false, true},
    [TOPIC_REDUCTION] = {read_reduction, false, true},
    [TOPIC_BANDWIDTH] = {read_bandwidth, false, true},
    [TOPIC_CHANNEL] = {read_channel, false, true},
    [TOPIC_RF] = {read_rf, false, true},
    [TOPIC_VIRTUAL] = {read_virtual, false, false},
    [TOPIC_FREQUENCY] = {read_frequency, false, true},
    [TOPIC_SNR] = {read_snr, false, false},
    [TOPIC_LEVEL] = {read_level, false, false},
    [TOPIC_QUALITY] = {read_quality, false, false},
    [TOPIC_CONSTELLATION] = {read_constellation, true, true},
    [TOPIC_RATE] = {read_rate, true, true},
    [TOPIC_LENGTH] = {read_length, true, true},
    [TOPIC_OUTER] = {read_outer, true, true},
    [TOPIC_PLP] = {read_plp, false, false},
    [TOPIC_PLP_COUNT] = {read_plp_count, false, true},
    [TOPIC_SUBFRAME] = {read_subframe, false, false},
    [TOPIC_L1_BASIC] = {read_l1_basic, false, true},
    [TOPIC_L1_DETAIL] = {read_l1_detail, false, true},
    [TOPIC_L1] = {read_l1_basic, false, true},
    [TOPIC_FIRST_BOUNDARY] = {read_first_boundary, false, true},
    [TOPIC_LAST_BOUNDARY] = {read_last_boundary, false, true},
    [TOPIC_FRAME] = {read_frame, false, true},
    [TOPIC_SYMBOLS] = {read_symbols, false, true},
    [TOPIC_CARRIERS] = {read_carriers, false, true},
    [TOPIC_INTERLEAVER] = {read_interleaver, true, true},
    [TOPIC_SYSTEM] = {read_system, false, true},
    [TOPIC_LOCK] = {read_lock, true, false},
    [TOPIC_ERROR_RATE] = {read_error_rate, true, false},
    [TOPIC_ERROR_RATE_BEFORE] = {read_error_rate_before, true, false},
    [TOPIC_ERROR_RATE_AFTER] = {read_error_rate_after, true, false},
    [TOPIC_ERRORS] = {read_errors, true, false},
    [TOPIC_CORRECTED] = {read_corrected, true, false},
    [TOPIC_MARGIN] = {read_receiver_margin, true, false},
    [TOPIC_LAYER] = {read_layer, true, true},
    [TOPIC_INJECTION] = {read_injection, true, true},
    [TOPIC_CELLS] = {read_plp_cells, true, true},
    [TOPIC_SHARE] = {read_plp_share, true, true},
    [TOPIC_BIT_RATE] = {read_bit_rate, true, false},
    [TOPIC_IDENTITY] = {read_identity, false, false},
    [TOPIC_UNMODELLED] = {read_unmodelled, false, false},
};

bool topic_is_of_plp(enum topic topic)
{
    return topics[topic].of_plp;
}

bool topic_is_choice(enum topic topic)
{
    return topics[topic].choice;
}

bool topic_is_of_mode(enum topic topic)
{
    return topic <= TOPIC_REDUCTION || (topic >= TOPIC_CONSTELLATION && topic <= TOPIC_OUTER) ||
           (topic >= TOPIC_L1_BASIC && topic <= TOPIC_INTERLEAVER);
}

enum fit topic_read(enum topic topic, const struct span *span, struct value *value)
{
    return topics[topic].read ? topics[topic].read(span, value) : FIT_NONE;
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
    static topic_reader *const readers[] = {read_bandwidth, read_frequency, read_level, read_fft};
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
    static topic_reader *const readers[] = {read_outer, read_system};
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

enum fit topic_read_unmistakable(const struct span *span, int at, struct value *value)
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
    return fit == FIT_NONE ? read_word(&plain, at, value) : fit;
}

enum fit topic_read_evident(const struct span *span, int at, struct value *value)
{
    struct span plain = *span;
    plain.labelled = false;
    plain.hint = UNIT_NONE;
    enum fit fit = topic_read_unmistakable(&plain, at, value);
    if (fit == FIT_NONE) {
        fit = read_length_before_rate(&plain, at, value);
    }
    return fit == FIT_NONE ? read_by_form(&plain, at, value) : fit;
}
