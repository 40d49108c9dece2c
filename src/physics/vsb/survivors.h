#ifndef PHYSICS_VSB_SURVIVORS_H
#define PHYSICS_VSB_SURVIVORS_H

#include "base/status.h"
#include "physics/vsb/room.h"

/* What wrong decisions of the trellis decoder's survivors cost taps that feed them back, in dB: of
 * the taps that the receiver takes, those of vsb_equaliser_design_doubting. For decision.c.
 * STATUS_NO_MEMORY. */
enum status survivors_loss(const double *taps, int count, struct vsb_room *room, double *loss_db);

/* What the model sees of taps: for tests/proof/survivors.c too, from which it is made. */
#define SURVIVORS_INPUTS 8
struct survivors_look {
    double guess_db;                 /* of loss, by energy and rhythm */
    double values[SURVIVORS_INPUTS]; /* for the correction of it */
};

/* STATUS_NO_MEMORY. */
enum status survivors_look(const double *taps, int count, struct vsb_room *room,
                           struct survivors_look *look);

#endif
