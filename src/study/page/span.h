#ifndef STUDY_PAGE_SPAN_H
#define STUDY_PAGE_SPAN_H

#include "base/text.h"
#include "study/page/topics.h"

/* Looking at the atoms of a span and taking those that were understood. Atoms outside of the span
 * and consumed ones look like a break. Private to study/page*.c. */

const struct atom *span_atom(const struct span *span, int at);
bool span_is_mark(const struct span *span, int at, const char *marks);
bool span_is_number(const struct span *span, int at);
bool span_is_whole(const struct span *span, int at);
bool span_is_word(const struct span *span, int at, const char *word);
double span_number(const struct span *span, int at);
/* What stands at `at` is glued to the number before it and makes something else of it: "16x". A
 * bracket or a full stop does not. */
bool span_goes_on(const struct span *span, int at);

/* The place of the first number, or of the first of these words (a list that ends with NULL); -1:
 * none. */
int span_first_number(const struct span *span);
int span_find_word(const struct span *span, const char *const *words);

/* A number with its unit (its own, else the label's), past which reading goes on at `*next`. */
double span_quantity(const struct span *span, int at, enum unit *unit, int *next);

/* Marks atoms [from, to) as consumed and fills the value but for its text; returns FIT_READ. */
enum fit span_take(const struct span *span, struct value *value, int from, int to, const char *key,
                   double number);

/* The same with the text; for readers with a `span` and a `value`. */
#define TAKE(from, to, key, number, ...)                        \
    (text_format(value->text, sizeof value->text, __VA_ARGS__), \
     span_take(span, value, from, to, key, number))
#define WRONG(from, to, ...)                                      \
    (text_format(value->wrong, sizeof value->wrong, __VA_ARGS__), \
     span_take(span, value, from, to, "", NAN), FIT_WRONG)

extern const char *const words_no[];
extern const char *const words_yes[];

/* A reader takes the first value of its kind. */
typedef enum fit topic_reader(const struct span *span, struct value *value);

topic_reader read_bandwidth, read_channel, read_rf, read_virtual, read_frequency, read_snr,
    read_level, read_quality, read_plp, read_plp_count, read_subframe, read_subframe_count,
    read_layer, read_injection, read_system, read_lock, read_error_rate, read_error_rate_before,
    read_error_rate_inner, read_error_rate_after, read_errors, read_corrected, read_iterations,
    read_receiver_margin, read_receiver_need, read_plp_cells, read_plp_blocks, read_plp_share,
    read_bit_rate, read_identity, read_snr_before, read_unmodelled;

/* A system's name that starts, or a number before it does, at an atom. */
enum fit read_system_at(const struct span *span, int at, struct value *value);

/* Of yes and no. */
enum fit read_yes(const struct span *span, struct value *value, const char *key);

/* A code word's length as this key, whose values are 64800 and 16200 in that order. */
enum fit read_length_as(const struct span *span, struct value *value, const char *key);

/* The same of a bare 64800 or 16200 at an atom, in a line of a mode. */
enum fit read_bare_length_at(const struct span *span, int at, struct value *value, const char *key);

/* A whole number from low to high; `what` for the message. */
enum fit read_whole(const struct span *span, struct value *value, const char *key, const char *what,
                    int low, int high);

#endif
