#ifndef STUDY_WEIGH_MOVES_H
#define STUDY_WEIGH_MOVES_H

#include "base/text.h"
#include "study/weigh/weigh.h"

/* Named moves from the present mode: what another mode would give, in figures. A move that finds no
 * better mode says so by `exists`. */

enum move_kind {
    MOVE_MORE_BITS,     /* as robust in SNR, echo and speed, more bits */
    MOVE_MORE_ROBUST,   /* as many bits, echo and speed, less SNR */
    MOVE_LONGER_GUARD,  /* the next longer guard interval, all else as far as it goes */
    MOVE_LONGER_ECHOES, /* the most bits with a longer guard interval at no more SNR */
    MOVE_FASTER,        /* the next shorter FFT, all else as far as it goes */
    MOVE_COUNT
};

struct move {
    const char *name;   /* "same robustness, more bits" */
    const char *absent; /* why there is none, where there is none */
    bool exists;
    uint32_t mode; /* in the space */
};

/* `from` is a place in the space (weigh_find). What breaks a limit of the wish, or what it keeps,
 * is no move; NULL: there are none. */
void moves_make(const struct weigh_space *space, const struct weigh_wish *wish, uint32_t from,
                struct move moves[MOVE_COUNT]);

/* "+1.22 Mbit/s, -0.3 dB, +37.0 us, +12 km/h". */
void moves_write_figures(const struct weigh_space *space, uint32_t from, uint32_t to,
                         struct text *out);

/* "FFT 16K to 32K, pilots SP12_2 to SP24_2"; "nothing" where the modes are equal. */
void moves_write_changes(const struct weigh_space *space, uint32_t from, uint32_t to,
                         struct text *out);

#endif
