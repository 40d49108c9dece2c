#ifndef STUDY_PAGE_TERMS_TERMS_H
#define STUDY_PAGE_TERMS_TERMS_H

#include "study/page/reader.h"
#include "study/page/settling.h"
#include "study/page/span.h"

/* How receivers' pages speak of the systems of a pair: a row a pair, which reading and settling
 * ask. Private to study/page. */

/* Reads a value that needs no label at one atom. */
typedef enum fit evident_reader(const struct span *span, int at, struct value *value);

struct terms {
    topic_reader *const *readers;        /* by topic; NULL there: the one of all pairs, if any */
    evident_reader *const *unmistakable; /* what no label behind it may claim; ends with NULL */
    evident_reader *const *evident;      /* what one may; ends with NULL */
    bool (*read_line)(struct reader *r); /* a line of a kind of its own */
    int bandwidth_least_mhz;
    const char *bandwidths; /* "6, 7 and 8" */
    /* Once all entries are there: to the settings of the one system that they are of. NULL: they
     * are so from the start. */
    void (*join)(struct page *page);
    /* What the page says in other ways than by settings, and what goes together. */
    void (*settle)(struct settling *s);
    /* A setting that counts beside the others; NULL: all do. */
    bool (*counts)(const struct scenario *scenario, const struct field *field);
};
const struct terms *terms_of(enum pair pair);
extern const struct terms terms_atsc, terms_dvb;

/* ---- Which systems a page speaks of. ---- */

/* What the words and forms of a page tell, by name or because only one system has them. */
struct signs {
    int named[PAIR_COUNT], seen[PAIR_COUNT];
    int of[PAIR_COUNT][GENERATION_COUNT];
    bool dump_of_t2; /* fields of its signalling */
};
void signs_count(struct signs *signs, const struct atom *atoms, int count);
/* The pair that the signs tell of; `otherwise` where they tell of none. */
enum pair signs_pair(const struct signs *signs, enum pair otherwise);
/* GENERATION_COUNT: they do not tell, or tell of both. */
enum generation signs_generation(const struct signs *signs, enum pair pair);

/* The line has a constellation, a number of carriers or a label of the mode: bare fractions in it
 * are guard intervals and code rates, and no dates. */
bool line_is_of_mode(const struct atom *atoms, int count);

/* A system's name that starts at an atom: what of it `value.text` gets, as page_system_number tells
 * it in `number`, NAN where it is several systems' ("DVB-T/T2"). Returns the atoms that it takes.
 */
int system_name_at(const struct span *span, int at, const char **name, double *number);

/* ---- Forms that pairs share. ---- */

/* "3/5" at an atom: no part of a date or of a list ("PLP 1/2"), and no two values that a stroke
 * parts ("32K / 64"). */
bool atoms_are_fraction(const struct atom *atoms, int count, int at);

/* Points of the constellation at an atom ("QPSK", "256QAM", "4K QAM", "QAM-256"), which takes atoms
 * [from, to); NAN: there is none. */
double constellation_at(const struct span *span, int at, int *to);

/* Takes a constellation of so many points, said by atoms [from, to), as the system's. */
typedef enum fit constellation_taker(const struct span *span, struct value *value, int from, int to,
                                     double points);
/* The constellation at an atom; and the first in the span, else a bare number that is a power of 4
 * up to `points_most`, which a label names. */
enum fit constellation_read_at(const struct span *span, int at, struct value *value,
                               constellation_taker *take);
enum fit constellation_read(const struct span *span, struct value *value, double points_most,
                            constellation_taker *take);
/* A bare number behind a label, with nothing that makes something else of it; -1: none. */
int bare_number(const struct span *span);

#endif
