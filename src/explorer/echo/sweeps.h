#ifndef EXPLORER_ECHO_SWEEPS_H
#define EXPLORER_ECHO_SWEEPS_H

#include "explorer/desk/errand.h"
#include "present/picture/picture.h"
#include "study/verdict/sweep.h"

/* The sweeps that the echo editor shows: too long for a key press, so they run beside it. */

enum sweep_kind { SWEEP_MARGINS, SWEEP_TOLERATED, SWEEP_TIME, SWEEP_KINDS };

/* Which echo slides and its name, and how near its delays are looked at (picture_zoom): a part that
 * is looked at closely is asked for more closely. */
struct sweep_part {
    int echo, zoom;
    char name[NAME_MAX_BYTES];
};

struct echo_sweep {
    struct errand errand;
    bool asked; /* for what follows */
    unsigned judged;
    struct sweep_part part;
};

/* Wants the sweep of a kind with these verdicts (by their number). */
void echo_sweep_want(struct echo_sweep *sweep, enum sweep_kind kind,
                     const struct verdicts *verdicts, unsigned judged, struct sweep_part part);

/* The picture of the last one that ended; NULL: none, or none could be made. */
const struct picture *echo_sweep_picture(const struct echo_sweep *sweep);

#endif
