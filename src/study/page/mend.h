#ifndef STUDY_PAGE_MEND_H
#define STUDY_PAGE_MEND_H

#include <stdbool.h>
#include <stddef.h>

/* Tokens that came damaged off a photograph or a bad copy: letters in the place of digits ("2l.5",
 * "3O", "SPl2") and digits in the place of letters ("5NR", "256OAM"). A token is taken whole:
 * mended where there is one way to, and then a guess; else not read at all. Never its sound half.
 */

enum mend {
    MEND_SOUND,  /* nothing is wrong, or it is no number and no known word */
    MEND_NUMBER, /* a damaged number with one repair */
    MEND_WORD,   /* a damaged word with one repair */
    MEND_LOST    /* a damaged number with none */
};

#define MEND_BYTES 24

struct mended {
    enum mend kind;
    size_t length;         /* bytes of the line that it takes */
    char text[MEND_BYTES]; /* the repair: digits, or a word in small letters */
};

/* Looks at the token that starts at `at`. Sound parts before and after the damage ("sp" of "SPl2",
 * "db" of "2l.5dB") are left out: `before` tells how many bytes stand before the damaged part. */
struct mended mend_token(const char *line, size_t length, size_t at, size_t *before);

#endif
