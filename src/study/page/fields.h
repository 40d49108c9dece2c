#ifndef STUDY_PAGE_FIELDS_H
#define STUDY_PAGE_FIELDS_H

#include "study/page/atoms.h"
#include "study/page/page.h"

/* What a page can speak of, the labels that announce it, and how its values are written. Private
 * to study/page*.c. */

enum field {
    FIELD_NOTHING, /* a label without meaning of its own: "parameter", "value" */
    FIELD_FFT,
    FIELD_GUARD,
    FIELD_PILOTS,
    FIELD_BOOST,
    FIELD_REDUCTION,
    FIELD_BANDWIDTH,
    FIELD_CHANNEL,
    FIELD_RF,      /* a channel, a frequency or a level, by its unit */
    FIELD_VIRTUAL, /* the number that viewers see */
    FIELD_FREQUENCY,
    FIELD_SNR,
    FIELD_LEVEL,
    FIELD_QUALITY,
    FIELD_CONSTELLATION,
    FIELD_RATE,
    FIELD_LENGTH,
    FIELD_OUTER,
    FIELD_PLP,
    FIELD_PLP_COUNT,
    FIELD_SUBFRAME,
    FIELD_L1_BASIC,
    FIELD_L1_DETAIL,
    FIELD_L1, /* both */
    FIELD_FIRST_BOUNDARY,
    FIELD_LAST_BOUNDARY,
    FIELD_FRAME,
    FIELD_SYMBOLS,
    FIELD_CARRIERS,
    FIELD_INTERLEAVER,
    FIELD_SYSTEM,
    FIELD_LOCK,
    FIELD_ERROR_RATE,
    FIELD_ERRORS,
    FIELD_BIT_RATE,
    FIELD_IDENTITY,
    FIELD_UNMODELLED, /* MISO, LDM, PAPR reduction: known, not computed with */
    FIELD_COUNT
};

enum unit {
    UNIT_NONE,
    UNIT_DB,
    UNIT_DBM,
    UNIT_DBUV,
    UNIT_DBMV,
    UNIT_PERCENT,
    UNIT_HZ,
    UNIT_KHZ,
    UNIT_MHZ,
    UNIT_US,
    UNIT_MS,
    UNIT_KBPS,
    UNIT_MBPS,
    UNIT_K,
    UNIT_OTHER /* a unit that fits nothing here: dBuV/m, kW */
};

enum fit { FIT_NONE, FIT_READ, FIT_WRONG };

struct value {
    const char *key; /* of the entry */
    char text[48];
    double number;
    char wrong[160]; /* for FIT_WRONG */
    int first, last; /* the atoms that it took */
};

/* Atoms [from, to) of a line. */
struct span {
    const char *line;
    struct atom *atoms;
    int from, to;
    enum unit hint; /* a unit given with the label */
    bool labelled;
};

/* Reads the first value of the field in the span and marks its atoms as consumed. */
enum fit field_read(enum field field, const struct span *span, struct value *value);

/* Reads a value that needs no label ("GI5_1024", "256QAM", "-57 dBm") at atom `at`. */
enum fit field_read_evident(const struct span *span, int at, struct value *value);

/* Whether values under a PLP's heading are that PLP's, and whether the field is a choice, of which
 * a second and different value on the page is a contradiction. */
bool field_is_of_plp(enum field field);
bool field_is_choice(enum field field);

/* The field is part of the mode; so is a value without a label (FIELD_NOTHING). */
bool field_is_of_mode(enum field field);

/* The unit that starts at an atom; `taken` receives its number of atoms. */
enum unit unit_at(const struct span *span, int at, int *taken);

/* The longest label that starts at atom `at` of `count`: its field, and the atoms it takes. 0 taken
 * where no label starts. */
enum field label_at(const struct atom *atoms, int count, int at, int *taken);

/* Words that say nothing: "technical", "information", "mode". */
bool word_is_noise(const char *word);

#endif
