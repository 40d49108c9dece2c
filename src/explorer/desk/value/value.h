#ifndef EXPLORER_DESK_VALUE_VALUE_H
#define EXPLORER_DESK_VALUE_VALUE_H

#include "scenario/section.h"

/* A value that can be edited: a field of an item of its section, or the item's name. What it may
 * become is asked here, whoever shows it. */

struct value {
    const struct section *section;
    const struct field *field; /* NULL: the name of the item */
    int item;                  /* 0 where the section stands once */
};

/* Of what stands once. */
struct value value_of(const struct field *field);

/* The n-th value of an item, its name first; false beyond the last. */
bool value_at(const struct section *section, int item, int n, struct value *value);

void value_label(const struct value *value, char *buffer, size_t size); /* at most 14 columns */
void value_name(const struct value *value, char *buffer, size_t size);  /* "plp.rate"; "" */
/* With its unit: "16K", "250 ms", "none". */
void value_text(const struct value *value, const struct scenario *scenario, char *buffer,
                size_t size);
/* As it is typed; "" where nothing is said. */
void value_typed(const struct value *value, const struct scenario *scenario, char *buffer,
                 size_t size);
/* What a user may write there. */
void value_allowed(const struct value *value, char *buffer, size_t size);

/* How it is changed: chosen from a few, a number in a range, or a text that is typed. */
enum value_kind { VALUE_CHOSEN, VALUE_NUMBER, VALUE_TYPED };
enum value_kind value_kind(const struct value *value);

/* The choices that are legal now, earlier values (FFT size before guard interval before pilots,
 * code length before constellation) staying as they are. Not for numbers. */
#define CHOICES_MAX 64
#define CHOICES_FEW 16 /* whole numbers of which there are more are typed in */
struct choices {
    int count, at; /* at: the present one; -1: it is none of them */
    char text[CHOICES_MAX][NAME_MAX_BYTES];
};
void value_choices(const struct value *value, const struct scenario *scenario,
                   struct choices *choices);

/* Where a number stands in its range, 0..1; NAN when it is not known. */
double value_position(const struct value *value, const struct scenario *scenario);

/* Makes `next` from `scenario` with another value; moves what no longer goes with it. Whether all
 * finds room is scenario_check's to say. */
enum status value_set(const struct value *value, const struct scenario *scenario, const char *text,
                      struct scenario *next, struct fault *fault);
/* To what it is when nothing is said. False where something must be said. */
bool value_forget(const struct value *value, const struct scenario *scenario,
                  struct scenario *next);

/* The value one step up (+1) or down (-1), or where a share 0..1 of the range points (numbers), or
 * the n-th legal choice. A number that would leave no room for something goes as far as it can:
 * then `short_of` (STATUS_OK otherwise; may be NULL) says for what. False where nothing changes. */
bool value_step(const struct value *value, const struct scenario *scenario, int direction,
                struct scenario *next, struct fault *short_of);
bool value_set_share(const struct value *value, const struct scenario *scenario, double share,
                     struct scenario *next, struct fault *short_of);
bool value_set_choice(const struct value *value, const struct scenario *scenario, int choice,
                      struct scenario *next);

/* "Guard GI7_2048, Pilots SP6_2": what else than the value differs. */
void value_moved(const struct value *value, const struct scenario *before,
                 const struct scenario *after, char *buffer, size_t size);

#endif
