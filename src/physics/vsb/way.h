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

/* What the last looks saw, the latest last: SNR of the data left before wrong decisions, and the
 * taps as they stood. What wrong decisions cost these is found where it is asked for. */
struct way {
    int count;
    struct way_look {
        struct vsb_learning learning; /* as it was */
        struct vsb_teacher teacher;
        double symbols; /* when */
        double snr_db;
        float *taps;
        bool judged;
        double left_db, mends_db; /* left after all losses, and how much more is left again later */
    } looks[WAY_LOOKS];
    float *memory; /* owned: what taps lie in */
};

/* For taps of that curve: STATUS_NO_MEMORY; the owner calls way_free either way. */
enum status way_make(struct way *way, const struct curve *curve);
void way_free(struct way *way);

/* Looks at taps on their way, at the instant `symbols`, in the channel of which the curve is left.
 */
void way_look(struct way *way, struct curve *curve, double symbols, const float *taps);

/* Instants count from so many symbols later on. */
void way_go_on(struct way *way, double symbols);

/* What is left at most at its end, where `snr_db` is left before wrong decisions, and these cost
 * so much. Looks that cannot matter any more are not judged: INFINITY, or more than is left now.
 * STATUS_NO_MEMORY. */
enum status way_held_db(struct way *way, struct curve *curve, double snr_db,
                        const struct vsb_decision_costs *now, struct vsb_room *room,
                        double *held_db);

#endif
