/* From a topic to its reader, and values that need no label. */
#include "study/page/terms/terms.h"

static const struct {
    topic_reader *read; /* whatever the pair; NULL: its terms have one, or none */
    bool of_plp;        /* said of a PLP under that PLP's heading */
    bool choice;        /* a second, different value contradicts the first */
    bool statement;     /* the label alone says yes */
} topics[TOPIC_COUNT] = {
    [TOPIC_FFT] = {NULL, .choice = true},
    [TOPIC_GUARD] = {NULL, .choice = true},
    [TOPIC_PILOTS] = {NULL, .choice = true},
    [TOPIC_BOOST] = {NULL, .choice = true},
    [TOPIC_EXTENDED] = {NULL, .choice = true, .statement = true},
    [TOPIC_ROTATION] = {NULL, .of_plp = true, .choice = true, .statement = true},
    [TOPIC_EFFICIENCY] = {NULL, .choice = true, .statement = true},
    [TOPIC_HIERARCHY] = {NULL, .choice = true},
    [TOPIC_PRIORITY] = {NULL, .choice = true},
    [TOPIC_L1_POST] = {NULL, .choice = true},
    [TOPIC_FRAME_SYMBOLS] = {NULL, .choice = true},
    [TOPIC_REDUCTION] = {NULL, .choice = true},
    [TOPIC_BANDWIDTH] = {read_bandwidth, .choice = true},
    [TOPIC_CHANNEL] = {read_channel, .choice = true},
    [TOPIC_RF] = {read_rf, .choice = true},
    [TOPIC_VIRTUAL] = {read_virtual},
    [TOPIC_FREQUENCY] = {read_frequency, .choice = true},
    [TOPIC_SNR] = {read_snr},
    [TOPIC_LEVEL] = {read_level},
    [TOPIC_QUALITY] = {read_quality},
    [TOPIC_CONSTELLATION] = {NULL, .of_plp = true, .choice = true},
    [TOPIC_RATE] = {NULL, .of_plp = true, .choice = true},
    [TOPIC_LOW_RATE] = {NULL, .choice = true},
    [TOPIC_LENGTH] = {NULL, .of_plp = true, .choice = true},
    [TOPIC_OUTER] = {NULL, .of_plp = true, .choice = true},
    [TOPIC_PLP] = {read_plp},
    [TOPIC_PLP_COUNT] = {read_plp_count, .choice = true},
    [TOPIC_SUBFRAME] = {read_subframe},
    [TOPIC_SUBFRAME_COUNT] = {read_subframe_count, .choice = true},
    [TOPIC_L1_BASIC] = {NULL, .choice = true},
    [TOPIC_L1_DETAIL] = {NULL, .choice = true},
    [TOPIC_L1] = {NULL, .choice = true},
    [TOPIC_FIRST_BOUNDARY] = {NULL, .choice = true},
    [TOPIC_LAST_BOUNDARY] = {NULL, .choice = true},
    [TOPIC_FRAME] = {NULL, .choice = true},
    [TOPIC_SYMBOLS] = {NULL, .choice = true},
    [TOPIC_CARRIERS] = {NULL, .choice = true},
    [TOPIC_INTERLEAVER] = {NULL, .of_plp = true, .choice = true},
    [TOPIC_SYSTEM] = {read_system, .choice = true},
    [TOPIC_LOCK] = {read_lock, .of_plp = true},
    [TOPIC_ERROR_RATE] = {read_error_rate, .of_plp = true},
    [TOPIC_ERROR_RATE_BEFORE] = {read_error_rate_before, .of_plp = true},
    [TOPIC_ERROR_RATE_INNER] = {read_error_rate_inner, .of_plp = true},
    [TOPIC_ERROR_RATE_AFTER] = {read_error_rate_after, .of_plp = true},
    [TOPIC_ERRORS] = {read_errors, .of_plp = true},
    [TOPIC_CORRECTED] = {read_corrected, .of_plp = true},
    [TOPIC_ITERATIONS] = {read_iterations, .of_plp = true},
    [TOPIC_MARGIN] = {read_receiver_margin, .of_plp = true},
    [TOPIC_NEEDED] = {read_receiver_need, .of_plp = true},
    [TOPIC_LAYER] = {read_layer, .of_plp = true, .choice = true},
    [TOPIC_INJECTION] = {read_injection, .of_plp = true, .choice = true},
    [TOPIC_CELLS] = {read_plp_cells, .of_plp = true, .choice = true},
    [TOPIC_BLOCKS] = {read_plp_blocks, .of_plp = true},
    [TOPIC_SHARE] = {read_plp_share, .of_plp = true, .choice = true},
    [TOPIC_BIT_RATE] = {read_bit_rate, .of_plp = true},
    [TOPIC_SNR_BEFORE] = {read_snr_before},
    [TOPIC_IDENTITY] = {read_identity},
    [TOPIC_UNMODELLED] = {read_unmodelled},
};

bool topic_is_reading(enum topic topic)
{
    return topic == TOPIC_SNR || topic == TOPIC_LEVEL || topic == TOPIC_MARGIN ||
           (topic >= TOPIC_ERROR_RATE && topic <= TOPIC_CORRECTED);
}

bool topic_is_statement(enum topic topic)
{
    return topics[topic].statement;
}

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

static topic_reader *reader_of(enum topic topic, const struct span *span)
{
    topic_reader *own = terms_of(span->pair)->readers[topic];
    return own ? own : topics[topic].read;
}

enum fit topic_read(enum topic topic, const struct span *span, struct value *value)
{
    topic_reader *read = reader_of(topic, span);
    return read ? read(span, value) : FIT_NONE;
}

/* Readers for values that their unit or form gives away, on the atoms of one value only. */
static enum fit read_by_form(const struct span *span, int at, struct value *value)
{
    static const enum topic by_form[] = {TOPIC_BANDWIDTH, TOPIC_FREQUENCY, TOPIC_LEVEL, TOPIC_FFT};
    int taken;
    enum unit unit = unit_at(span, at + 1, &taken);
    if (!span_is_number(span, at) || unit == UNIT_NONE || unit == UNIT_PERCENT) {
        return FIT_NONE;
    }
    struct span own = *span;
    own.from = at;
    own.to = at + 1 + taken;
    for (size_t i = 0; i < sizeof by_form / sizeof by_form[0]; i++) {
        enum fit fit = topic_read(by_form[i], &own, value);
        if (fit != FIT_NONE) {
            return fit;
        }
    }
    return FIT_NONE;
}

/* "PLP 0 unlocked": a word that is a value and its own label. */
static enum fit read_lock_at(const struct span *span, int at, struct value *value)
{
    struct span own = *span;
    own.from = at;
    own.to = at + 1;
    bool here = span_is_word(span, at, "locked") || span_is_word(span, at, "unlocked");
    return here ? read_lock(&own, value) : FIT_NONE;
}

/* The first of the readers that finds its value at the atom. */
static enum fit read_first(evident_reader *const *readers, const struct span *span, int at,
                           struct value *value)
{
    struct span plain = *span;
    plain.labelled = false;
    plain.hint = UNIT_NONE;
    enum fit fit = FIT_NONE;
    for (size_t i = 0; readers[i] && fit == FIT_NONE; i++) {
        fit = readers[i](&plain, at, value);
    }
    return fit;
}

enum fit topic_read_unmistakable(const struct span *span, int at, struct value *value)
{
    static evident_reader *const system[] = {read_system_at, NULL};
    enum fit fit = read_first(terms_of(span->pair)->unmistakable, span, at, value);
    return fit == FIT_NONE ? read_first(system, span, at, value) : fit;
}

enum fit topic_read_evident(const struct span *span, int at, struct value *value)
{
    static evident_reader *const by_form[] = {read_by_form, read_lock_at, NULL};
    enum fit fit = topic_read_unmistakable(span, at, value);
    fit = fit == FIT_NONE ? read_first(terms_of(span->pair)->evident, span, at, value) : fit;
    return fit == FIT_NONE ? read_first(by_form, span, at, value) : fit;
}
