#ifndef PHYSICS_VSB_LEARNING_H
#define PHYSICS_VSB_LEARNING_H

#include <stdbool.h>

#include "physics/receiver.h"
#include "physics/vsb/decision.h"
#include "physics/vsb/equaliser.h"
#include "physics/vsb/room.h"

/* How far taps that learn stay behind echoes that turn, once they have run in. */

struct vsb_learning {
    const struct echo *echoes; /* of the main signal; some of them turn */
    int count;
    double noise; /* as in equaliser.h, interference included */
    struct vsb_equaliser_spans spans;
    double mu;   /* the taps' step a symbol, their inputs in units of the symbols' power */
    double step; /* the same, as in adaptation.h */
    enum vsb_feedback feedback;
    const struct vsb_teacher *teacher; /* NULL: what was really sent */
    const struct vsb_lean *lean; /* of the best taps when the echoes have the phases given, for
                                    doubts of survivors; NULL: it is found */
    bool waves; /* the echoes are waves around a receiver that moves, many and each turning its own
                   way: followed no finer than what any decision hangs on */
};

struct vsb_learning_error {
    double least; /* mean square, of the best taps, over the symbols' power */
    double added; /* by taps that learn */
    struct vsb_decision_costs decisions; /* what wrong decisions cost them: they feed back otherwise
                                            than the best */
    double held_db; /* SNR of the data left after all that at most, for what happened on the way to
                       this instant; INFINITY: nothing did */
};

/* Taps as far as they have been followed. */
struct vsb_learner;
void vsb_learner_free(struct vsb_learner *learner);

/* When the echoes have the phases given, or means over a turn from then on. STATUS_NO_MEMORY,
 * STATUS_NO_SOLUTION. No error where nothing turns. A millisecond or some; less where `learner`,
 * NULL at first and then owned by the caller, was where the same echoes were a moment before. */
enum status vsb_learning_now(const struct vsb_learning *learning, struct vsb_learner **learner,
                             struct vsb_room *room, struct vsb_learning_error *lag);
enum status vsb_learning_turn(const struct vsb_learning *learning, struct vsb_room *room,
                              struct vsb_learning_error *lag);

/* The mean of such taps when the echoes have the phases given. They are not unbiased but pass
 * `gain` of the wanted symbol; their SNR is not told. The owner calls vsb_equaliser_free. */
enum status vsb_learning_taps(const struct vsb_learning *learning, struct vsb_equaliser *taps,
                              double *gain);

#endif
