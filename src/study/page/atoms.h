#ifndef STUDY_PAGE_ATOMS_H
#define STUDY_PAGE_ATOMS_H

#include <stdbool.h>
#include <stddef.h>

/* The pieces of a line of a page: words of letters, numbers, marks, and breaks between cells.
 * "GI5_1024" is the word gi, 5, the mark _, 1024. Private to study/page*.c. */

enum atom_kind { ATOM_WORD, ATOM_NUMBER, ATOM_MARK, ATOM_BREAK };

#define ATOM_WORD_BYTES 32

struct atom {
    enum atom_kind kind;
    bool glued;    /* nothing stands between it and the atom before */
    bool consumed; /* understood */
    bool guess;    /* damaged, and mended in the one way there is */
    bool whole;    /* a number without a decimal point or sign */
    int comma;    /* bytes from its start to a decimal comma that could part two numbers; 0: none */
    int decimals; /* digits behind its point or comma */
    int parts;    /* of a break: how many cells end there, empty ones counted */
    char mark;
    char word[ATOM_WORD_BYTES]; /* in small letters, cut where longer */
    double number;
    int start, end; /* bytes of the line */
};

/* More atoms than a line of page_clean's can have. */
#define ATOMS_MAX 4100

/* Splits a line; returns how many atoms. Commas part cells where `commas_part` says so or the line
 * itself shows it; else one between digits is a decimal point. */
int atoms_split(const char *line, size_t length, bool commas_part, struct atom *atoms);

/* Cells of the line end with commas: "0,QPSK,4/15". */
bool line_parts_by_commas(const char *line, size_t length);

/* Parts a number with a decimal comma into the two numbers it may be; returns the new count. */
int atoms_part_comma(const char *line, struct atom *atoms, int count, int at);

/* The atom is this word. */
bool atom_is(const struct atom *atom, const char *word);

#endif
