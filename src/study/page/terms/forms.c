/* Forms in which pages of any pair write constellations, code lengths, whole numbers, yes and no.
 */
#include <math.h>

#include "study/page/terms/terms.h"

static bool is_qam_word(const struct span *span, int at)
{
    return span_is_word(span, at, "qam") || span_is_word(span, at, "nuc") ||
           span_is_word(span, at, "nuqam") || span_is_word(span, at, "kqam") ||
           span_is_word(span, at, "qamnuc") ||
           (span_is_word(span, at, "q") && span_atom(span, at)->glued); /* "64Q" */
}

double constellation_at(const struct span *span, int at, int *to)
{
    *to = at + 1;
    if (span_is_word(span, at, "qpsk")) {
        return 4.0;
    }
    if (span_is_whole(span, at)) {
        int word = at + 1 + span_is_mark(span, at + 1, "-_");
        bool k = span_is_word(span, word, "k") || span_is_word(span, word, "kqam");
        word += span_is_word(span, word, "k");
        if (is_qam_word(span, word)) {
            *to = word + 1;
            while (span_is_mark(span, *to, "-_") && is_qam_word(span, *to + 1)) {
                *to += 2;
            }
            *to += is_qam_word(span, *to);
            return span_number(span, at) * (k ? 1024 : 1);
        }
    }
    int number = at + 1 + span_is_mark(span, at + 1, "-_/");
    if (is_qam_word(span, at) && span_is_whole(span, number) &&
        !span_is_mark(span, number + 1, "/")) {
        bool k = span_is_word(span, number + 1, "k");
        *to = number + 1 + k;
        return span_number(span, number) * (k ? 1024 : 1);
    }
    return NAN;
}

enum fit constellation_read_at(const struct span *span, int at, struct value *value,
                               constellation_taker *take)
{
    int to;
    double points = constellation_at(span, at, &to);
    return isnan(points) ? FIT_NONE : take(span, value, at, to, points);
}

enum fit constellation_read(const struct span *span, struct value *value, double points_most,
                            constellation_taker *take)
{
    for (int at = span->from; at < span->to; at++) {
        enum fit fit = constellation_read_at(span, at, value, take);
        if (fit != FIT_NONE) {
            return fit;
        }
    }
    int at = bare_number(span);
    double points = at >= 0 ? span_number(span, at) : NAN, power = 4.0;
    while (power < points && power < points_most) {
        power *= 4.0;
    }
    return points == power ? take(span, value, at, at + 1, points) : FIT_NONE;
}

int bare_number(const struct span *span)
{
    int at = span_first_number(span), taken;
    bool bare = at >= 0 && span_is_whole(span, at) && unit_at(span, at + 1, &taken) == UNIT_NONE &&
                !span_is_mark(span, at + 1, "/") && !span_goes_on(span, at + 1);
    return bare ? at : -1;
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

enum fit read_yes(const struct span *span, struct value *value, const char *key)
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

enum fit read_bare_length_at(const struct span *span, int at, struct value *value, const char *key)
{
    int taken;
    struct span own = *span;
    own.from = at;
    own.to = at + 1;
    bool size = span_is_whole(span, at) &&
                (span_number(span, at) == 64800.0 || span_number(span, at) == 16200.0);
    bool bare = size && span->of_mode && unit_at(span, at + 1, &taken) == UNIT_NONE &&
                !span_goes_on(span, at + 1);
    return bare ? read_length_as(&own, value, key) : FIT_NONE;
}

enum fit read_length_as(const struct span *span, struct value *value, const char *key)
{
    static const char *const long_words[] = {"long",  "normal", "lang",  "largo",
                                             "larga", "longo",  "longa", NULL};
    static const char *const short_words[] = {"short", "kurz",  "corto", "corta",
                                              "curto", "curta", "court", NULL};
    static const int lengths[] = {64800, 16200};
    for (int at = span->from; at < span->to; at++) {
        if (!span_is_whole(span, at) || span_is_mark(span, at + 1, "/")) {
            continue;
        }
        double number = span_number(span, at);
        bool k = span_is_word(span, at + 1, "k");
        for (int i = 0; i < 2; i++) {
            if (number == lengths[i] || (k && number == floor(lengths[i] / 1000.0))) {
                return TAKE(at, at + 1 + k, key, i, "%d", lengths[i]);
            }
        }
        if (k) {
            return WRONG(at, at + 2, "code length %.0fK: 64800 (64K) and 16200 (16K) exist",
                         number);
        }
    }
    int at = span_find_word(span, long_words);
    if (at >= 0) {
        return TAKE(at, at + 1, key, 0, "64800");
    }
    at = span_find_word(span, short_words);
    if (at >= 0) {
        return TAKE(at, at + 1, key, 1, "16200");
    }
    return FIT_NONE;
}
