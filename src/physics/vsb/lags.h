#ifndef PHYSICS_VSB_LAGS_H
#define PHYSICS_VSB_LAGS_H

#include <stdbool.h>

#include "physics/vsb/learning.h"

/* How taps lag behind moving echoes at many positions of the same rays. Each takes milliseconds to
 * follow; where those seen so far foretell it, later ones take what is foretold. */

struct vsb_lag {
    double ideal_db;                     /* SNR of the data behind the ideal equaliser */
    double static_db;                    /* what wrong decisions cost that one */
    double error;                        /* that lag adds (learning.h) */
    struct vsb_decision_costs decisions; /* of taps that lag */
    double held_db;                      /* left at most, or INFINITY (learning.h) */
};

#define VSB_LAG_POSITIONS 1024

/* Starts as {0}; the owner calls vsb_lags_free. */
struct vsb_lags {
    int count;
    double snr_db; /* at the input, of all of them */
    bool foretold; /* later ones follow from the lines below */
    double centre[2], log_error[3], loss[3], unrest[3];
    double low[2], high[2]; /* what ideal_db and static_db were between */
    struct vsb_lag lags[VSB_LAG_POSITIONS];
    struct vsb_learner *learners[VSB_TEACHERS]; /* where the last position's taps are */
};
void vsb_lags_free(struct vsb_lags *lags);

/* Fills in the lag of a position of which ideal_db and static_db are known: its own, found by
 * `learning` (of what was really sent: whatever teaches is looked for) and kept, or what those seen
 * foretell. Those of another SNR are forgotten. STATUS_NO_MEMORY, STATUS_NO_SOLUTION. */
enum status vsb_lags_find(struct vsb_lags *lags, const struct vsb_learning *learning, double snr_db,
                          struct vsb_room *room, struct vsb_lag *lag);

/* Unbiased SNR left behind a lag and the unrest of taps that learn with a `step` from what was
 * really sent, dB. */
double vsb_lag_left_db(const struct vsb_lag *lag, double step);

#endif
