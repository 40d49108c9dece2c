#ifndef PHYSICS_VSB_SURVIVORS_H
#define PHYSICS_VSB_SURVIVORS_H

#include "base/status.h"
#include "physics/vsb/room.h"

/* What wrong decisions of the trellis decoder's survivors cost taps that feed them back, in dB: of
 * the taps that the receiver takes, those of vsb_equaliser_design_doubting. For decision.c.
 * STATUS_NO_MEMORY. */
enum status survivors_loss(const double *taps, int count, struct vsb_room *room, double *loss_db);

#endif
