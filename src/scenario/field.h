#ifndef SCENARIO_FIELD_H
#define SCENARIO_FIELD_H

#include <stdbool.h>
#include <stddef.h>

#include "base/status.h"

/* The one table of what a user can set: a row for each key of a profile. Reading, saving, --set,
 * the ranges in messages, the defaults of a scenario, pages, the explorer and the words use it. A
 * new key is a row here and a sentence in study/explain. */

enum field_type {
    FIELD_NUMBER,
    FIELD_WHOLE,
    FIELD_YES_NO,
    FIELD_CHOICE, /* one of some names */
    FIELD_RATE,   /* in fifteenths: "10/15" */
    FIELD_TEXT,   /* a name, of NAME_MAX_BYTES at `offset`; as a number it is NAN */
    FIELD_PATH,   /* a file's name, of PATH_MAX_BYTES; else as a text */
    FIELD_TYPE_COUNT
};

struct field {
    const char *section; /* section.h */
    const char *name;
    const char *unit;
    const char *title; /* "guard interval" */
    const char *label; /* a shorter title, at most 14 columns; NULL: the title is short enough */
    enum field_type type;
    double low, high;
    double plain;     /* the default; NAN: nothing is said */
    const char *word; /* how NAN is written, "none" or "any"; NULL: a value must stand there */
    double step;      /* of a key press, for a number: what it adds */
    double finest;    /* near 0 it adds less, down to this; 0: it does not */
    double ratio;     /* instead of a step: what it multiplies by */
    double turn;      /* -turn to turn is accepted, 0 to turn is told; a step goes round */
    const char *(*choice)(int i); /* the names of a choice's values, from 0 on */
    const char *told;             /* how messages tell of them where they are many; NULL: each */
    /* A key that this one stands in place of, never beside it; while that one is said, this one
     * follows from it. */
    const char *instead_of;
    /* A key of [mode] that counts only while no section of this name stands ("plp"). */
    const char *unless;
    /* The same value under another name: of two such keys one may stand in a profile. */
    const char *same_as;
    const char *names_of; /* of a text: it names an item of this section ("subframe") */
    /* Which of the values in the range there are, where that hangs on what else `base` says; tells
     * them in any case. NULL: all. */
    bool (*may_be)(const void *base, double number, char *allowed, size_t size);
    unsigned pairs; /* 1 << enum pair; of a section that pairs have one each of; 0: of all */
    bool on_page;   /* a receiver's page can tell it: study/page */
    size_t offset;  /* in struct scenario, or in a station or an echo */
    void (*put)(void *base, double number); /* where more hangs together than lies at `offset` */
};

#define FIELDS_MAX 192 /* more than there are */

size_t field_count(void);
const struct field *field_at(size_t i);
/* NULL: there is none. Case does not matter. Where pairs have a section each it is that of the
 * first: who has a section asks section_field_of. */
const struct field *field_find(const char *section, const char *name);
const struct field *field_named(const char *section_and_name); /* "mode.guard" */
/* Of the same section as another; NULL: there is none. */
const struct field *field_beside(const struct field *field, const char *name);

/* "guard", "measured SNR": for a narrow column. */
const char *field_label(const struct field *field);
/* "mode.guard". */
void field_name(const struct field *field, char *buffer, size_t size);

/* ---- Values as numbers: of a choice its place among the names, of yes 1; NAN: not said. `base` is
 * the struct that `offset` counts in, of a key of [mode] the scenario. */
double field_number(const struct field *field, const void *base);
void field_put(const struct field *field, void *base, double number);
/* Something to write: what follows from another key is not said, nor is NAN where that is plain. */
bool field_is_said(const struct field *field, const void *base);
bool field_is_same(const struct field *field, const void *a, const void *b);
/* To what it is when nothing is said. */
void field_clear(const struct field *field, void *base);
/* A name or a path: it has no number, and is typed. */
bool field_is_text(const struct field *field);

/* In range, or not said where that may be. */
enum status field_check(const struct field *field, const void *base, const char *place,
                        struct fault *fault);

/* ---- Values as text, as they stand in a profile. ---- */
#define FIELD_TEXT_BYTES 128

void field_write(const struct field *field, double number, char *buffer, size_t size);
void field_format(const struct field *field, const void *base, char *buffer, size_t size);
/* With its unit: "250 ms", "none". */
void field_format_unit(const struct field *field, const void *base, char *buffer, size_t size);

/* STATUS_MALFORMED, STATUS_OUT_OF_RANGE; `number` is then left alone. */
enum status field_read(const struct field *field, const char *text, double *number);
/* Reads and puts. `place` is what the fault names. */
enum status field_take(const struct field *field, void *base, const char *place, const char *text,
                       struct fault *fault);

/* What a user may write there: "6|7|8 MHz", "0 to 80 dB, or none". */
void field_allowed(const struct field *field, char *buffer, size_t size);

/* A number in the range that may stand there. */
bool field_may_be(const struct field *field, const void *base, double number);

/* ---- Steps of a number. ---- */

/* The number one key press up (+1) or down (-1), ten times as far where `coarse`: the next multiple
 * of the step. Stays in range; from NAN it goes to the middle of the range. */
double field_stepped(const struct field *field, double number, int direction, bool coarse);
/* The same over what may not stand there; the number itself where nothing is left that way. */
double field_stepped_at(const struct field *field, const void *base, double number, int direction,
                        bool coarse);
/* The multiple of the step (or the number itself) nearest to a share 0..1 of the range. */
double field_at_share(const struct field *field, double share);

#endif
