#ifndef PHYSICS_VSB_WAY_H
#define PHYSICS_VSB_WAY_H

#include "physics/vsb/curve.h"

/* What wrong decisions make of taps that lag behind echoes that turn, and of what happened to them
 * on the way. For learning.c, which follows them. */

/* What wrong decisions cost taps as they stand, in the channel set, where `best` ones cost what
 * they do at rest; NULL: no better ones are known. STATUS_NO_MEMORY. */
enum status way_costs(struct curve *curve, const float *taps, const float *best,
                      struct vsb_room *room, struct vsb_decision_costs *costs);

/* How far back falls are remembered, in symbols. */
#define WAY_SYMBOLS (6.0 * VSB_FIELD_SEGMENTS * VSB_SEGMENT_SYMBOLS)
#define WAY_LOOKS 8

/* What the last looks saw, the latest last: SNR of the data left after all losses, and how much
 * more is left again after it. */
struct way {
    int count;
    struct {
        double left_db, mends_db;
    } seen[WAY_LOOKS];
};

/* Looks at taps on their way, at the instant `symbols`. */
enum status way_look(struct way *way, struct curve *curve, double symbols, const float *taps,
                     struct vsb_room *room);

/* What is left at most at its end, where `snr_db` is left before wrong decisions, and these cost
 * `loss_db`. */
double way_held_db(const struct way *way, const struct vsb_learning *learning, double snr_db,
                   double loss_db);

#endif
