#ifndef STUDY_FIGURE_H
#define STUDY_FIGURE_H

#include <stdbool.h>
#include <stddef.h>

/* A figure: one value of a result, told by one row. Text, CSV, JSON, Markdown, the explorer's
 * columns, sheets and orders all read the row, for every study; a new figure is a row and its words
 * (study/explain). A table of rows goes with one type of result. */

enum figure_kind {
    FIGURE_NUMBER, /* with its decimals */
    FIGURE_WHOLE,  /* a number that is always whole */
    FIGURE_RATE,   /* a share that may be tiny: people read it as a power of ten */
    FIGURE_WORD,
    FIGURE_YES_NO
};

struct figure {
    const char *name;  /* in JSON and CSV: "net_mbps" */
    const char *label; /* for people: "Net rate" */
    const char *brief; /* the same in 14 columns; NULL: the label is brief enough */
    const char *unit;  /* "Mbit/s"; "" for none */
    const char *group; /* the heading under which screens gather it; NULL: shown where it is asked
                          for by name alone */
    enum figure_kind kind;
    int decimals;
    int better;  /* +1: more is better, -1: less is better, 0: neither */
    bool beside; /* told of whatever is compared: it stands in every comparison */
    /* How to get it: at an offset of the result, a double or, of a word, a pointer to it. Where
     * `number` or `word` is given, that is asked instead. */
    size_t offset;
    double (*number)(const void *result); /* of FIGURE_YES_NO: 0 or 1 */
    const char *(*word)(const void *result);
    /* What it is called of this very result, where that is not always the same; NULL, as its
     * answer too: the label. */
    const char *(*label_of)(const void *result);
    /* How people read it where the number alone does not tell ("beyond 1000 km"); NULL: plainly. */
    void (*text)(const void *result, char *buffer, size_t size);
};

struct figure_table {
    const struct figure *rows;
    size_t count;
};

/* A choice of figures, in order. */
#define FIGURES_MAX 80
struct figure_list {
    size_t count;
    const struct figure *rows[FIGURES_MAX];
};

const struct figure *figure_find(const struct figure_table *table, const char *name); /* or NULL */

/* The figures of these names, which end in NULL; all of them must exist. */
struct figure_list figures_named(const struct figure_table *table, const char *const *names);
struct figure_list figures_all(const struct figure_table *table);

/* As a number: NAN for words and for what is not known. */
double figure_number(const struct figure *figure, const void *result);

/* The word of a FIGURE_WORD; NULL: unknown, or no word. */
const char *figure_word(const struct figure *figure, const void *result);

/* As people read it: "-" for what is not known, never "-0.0". */
void figure_text(const struct figure *figure, const void *result, char *buffer, size_t size);

/* A number of this unit as people read it: without "-0.0", "none" for -INFINITY dB, where no power
 * or no margin is left, "-" where it is not finite else. JSON and CSV have null or nothing for
 * both. */
void figure_number_text(double number, const char *unit, int decimals, char *buffer, size_t size);

/* What it is called of a result. */
const char *figure_label(const struct figure *figure, const void *result);

/* The label, or the brief one. */
const char *figure_brief(const struct figure *figure);

/* ---- For rows: {"snr_db", "SNR", FIGURE_AT(struct account_step, snr_db, "dB", 1)} */
#define FIGURE_AT(result, member, unit_, decimals_) \
    .unit = unit_, .decimals = decimals_, .offset = offsetof(result, member)
#define FIGURE_WHOLE_AT(result, member) \
    .unit = "", .kind = FIGURE_WHOLE, .offset = offsetof(result, member)
#define FIGURE_WORD_AT(result, member) \
    .unit = "", .kind = FIGURE_WORD, .offset = offsetof(result, member)

#endif
