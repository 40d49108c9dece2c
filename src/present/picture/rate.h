#ifndef PRESENT_PICTURE_RATE_H
#define PRESENT_PICTURE_RATE_H

#include "present/picture/picture.h"
#include "study/weigh/weigh.h"

/* Net rate against required SNR over the whole legal space: the most that any mode carries at an
 * SNR, the most within the limits, and single modes. Can be zoomed. */

struct picture_rate {
    const struct weigh_space *space;
    const struct weigh_wish *wish;  /* NULL: no limits */
    const struct weigh_list *list;  /* modes to mark; NULL: none */
    const struct report *current;   /* NULL: none */
    const struct report *pinned;    /* NULL: none */
    const char *current_name;       /* NULL: "now" */
    const char *pinned_name;        /* NULL: "pinned" */
    long selected;                  /* a mode of the space; -1: none */
    double snr_low_db, snr_high_db; /* the part shown; NAN: all that is of interest */
};

/* False when memory runs out; the picture is then empty. The caller frees it. */
bool picture_rate_make(const struct picture_rate *shown, struct picture *out);

#endif
