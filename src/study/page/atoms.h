#ifndef STUDY_PAGE_ATOMS_H
#define STUDY_PAGE_ATOMS_H

#include <stdbool.h>
#include <stddef.h>

/* The pieces of a line of a page: words of letters, numbers, marks, and breaks between cells.
 * "GI5_1024" is the word gi, 5, the mark _, 1024. Private to study/page*.c. */

enum atom_kind { ATOM_WORD, ATOM_NUMBER, ATOM_MARK, ATOM_BREAK };

#define ATOM_WORD_BYTES 20

struct atom {
    enum atom_kind kind;
    bool glued;    /* nothing stands between it and the atom before */
    bool consumed; /* understood */
    bool guess;    /* damaged, and mended in the one way there is */
    bool whole;    /* a number without a decimal point or sign */
    char mark;
    char word[ATOM_WORD_BYTES]; /* in small letters, cut where longer */
    double number;
    int start, end; /* bytes of the line */
};

/* More atoms than a line of page_clean's can have. */
#define ATOMS_MAX 4100

/* Splits a line; returns how many atoms. */
int atoms_split(const char *line, size_t length, struct atom *atoms);

/* The atom is this word. */
bool atom_is(const struct atom *atom, const char *word);

#endif
