#ifndef STUDY_PAGE_PAGE_H
#define STUDY_PAGE_PAGE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/status.h"
#include "base/text.h"
#include "scenario/field.h"
#include "scenario/scenario.h"

/* A receiver's technical page, pasted or piped as text, turned into entries: which setting or
 * reading each piece of it gives. No particular receiver is the model: labels and values are found
 * by a vocabulary of the trade in any order, one or many a line, in tables of either direction.
 *
 * Reading never guesses a contradiction away: page.h says what stands there, page_settle says what
 * follows, what is missing and what cannot be true. */

#define PAGE_BYTES_MAX 10000000
#define PAGE_ENTRIES_MAX 2000
#define PAGE_UNREAD_MAX 500
#define PAGE_TEXT_BYTES 120
#define PAGE_LINE_BYTES 400
#define PAGE_PLP_MAX 63
#define PAGE_TITLE_BYTES 64

struct page_entry {
    char text[PAGE_TEXT_BYTES]; /* as on the page, cleaned */
    char key[32];      /* "mode.fft", "receiver.snr_db", "page.lock": explain.h has words */
    char value[48];    /* in the program's own form: "32K", "24.3" */
    char unit[12];     /* "dB"; "" where it has none */
    char note[48];     /* what else the page had: "-1.5 dBmV in 75 ohm"; "" for nothing */
    double number;     /* the value where it is a number or a choice; else NAN */
    bool guess;        /* damaged on the page, and mended in the one way there is */
    int plp, subframe; /* -1: said of none in particular */
    int block;         /* the PLP under whose heading it stands; -1: under none */
    int line;          /* from 1 */
};

struct page_lines { /* a list of short texts; the owner is the page or the settlement */
    size_t count;
    size_t left_out; /* more of them than are kept */
    char (*rows)[PAGE_LINE_BYTES];
};

struct page {
    enum pair pair;             /* whose terms it was read by */
    enum generation generation; /* of it; GENERATION_COUNT: settling tells by what was said */
    bool generation_assumed;    /* either could be: no more than what both have stands there */
    size_t entry_count, entries_left_out;
    struct page_entry *entries;
    struct page_lines unread;         /* what was not understood */
    struct page_lines wrong;          /* values that cannot be: "code rate 14/15: ..." */
    bool wrong_mode;                  /* one of them belongs to the mode, of no PLP in particular */
    bool wrong_plp[PAGE_PLP_MAX + 1]; /* or to this PLP */
};

/* Adds a line, or counts it as left out; STATUS_NO_MEMORY. */
enum status page_add_line(struct page_lines *lines, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* How an entry "page.system" tells a system as a number. */
static inline double page_system_number(enum pair pair, enum generation generation)
{
    return pair * GENERATION_COUNT + generation;
}

/* Cleans and reads `length` bytes by the terms of the pair that they speak of, `otherwise` where
 * they do not tell. Faults: STATUS_OUT_OF_RANGE above PAGE_BYTES_MAX,
 * STATUS_MALFORMED for bytes that are not text; their place is "page". An empty page is no error.
 * The page may be page_free'd in any case. */
enum status page_read(const char *bytes, size_t length, enum pair otherwise, struct page *page,
                      struct fault *fault);
void page_free(struct page *page);

/* The cleaning alone: UTF-8 without escape sequences and control characters except '\n' and '\t';
 * trade punctuation in ASCII. */
enum status page_clean(const char *bytes, size_t length, struct text *out, struct fault *fault);

/* The first entry with this key for a PLP: one said of that PLP, else one said of none. NULL: none.
 */
const struct page_entry *page_find(const struct page *page, const char *key, int plp);

/* The PLP numbers that the page speaks of, ascending; returns how many (0: it names none). */
int page_plps(const struct page *page, int plps[PAGE_PLP_MAX + 1]);

/* What the page says of one PLP, as a scenario. What it does not say is never taken for known: the
 * scenario has a value there, because it needs one, and `said` tells the two apart. */
struct page_settled {
    enum generation generation; /* GENERATION_COUNT: the page does not tell */
    bool speaks_of_mode;        /* at least one setting of the mode stands there */
    bool legal;                 /* no contradiction: the scenario can be computed with */
    bool said[FIELDS_MAX];      /* by the field's number: on the page, or changed in `base` */
    struct scenario scenario;
    struct page_lines missing;        /* "code rate: not on the page" */
    struct page_lines assumed;        /* "code length 64800" */
    struct page_lines contradictions; /* "FFT size 8K does not go with guard interval GI12_4864" */
};

/* `base` gives what the page does not say. `plp` -1: what is said of none in particular. */
enum status page_settle(const struct page *page, int plp, const struct scenario *base,
                        struct page_settled *settled);
void page_settled_free(struct page_settled *settled);

/* The page tells which system it is, and nothing of that can be chosen. */
bool page_has_one_mode(const struct page_settled *settled);

/* What a field is called on a page, which is of one generation: its title without which. */
void page_field_title(const struct field *field, char *buffer, size_t size);

/* The page, or who called, says this key: "mode.fft". */
bool page_says(const struct page_settled *settled, const char *key);
/* The same of a setting of the system that the page is of: "fft". */
bool page_says_choice(const struct page_settled *settled, const char *name);
/* That system has such a setting. */
bool page_has_choice(const struct page_settled *settled, const char *name);

#endif
