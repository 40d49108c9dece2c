#ifndef PHYSICS_VSB_DECISION_H
#define PHYSICS_VSB_DECISION_H

#include <stdbool.h>

#include "base/status.h"
#include "physics/receiver.h"
#include "physics/vsb/equaliser.h"
#include "physics/vsb/room.h"

/* Decisions that can be wrong. A decision-feedback equaliser takes off what it believes was sent;
 * where the belief is wrong it adds what it should have removed. */

/* "trellis", "slicer", "error-free"; "?" beyond. */
const char *vsb_feedback_name(enum vsb_feedback feedback);

/* Mean square error of what is fed back over the symbols' power, at `snr` (a ratio, of the data
 * alone) in white noise. `age` counts symbols of the same trellis encoder since: 0 the last
 * one. */
double vsb_decision_error(enum vsb_feedback feedback, int age, double snr);

/* Fills in the doubts of `interference` for decisions at that SNR. */
void vsb_decision_doubt(enum vsb_feedback feedback, double snr, struct vsb_doubts *doubts);

/* What wrong decisions cost: the output SNR that an equaliser must leave with error-free feedback,
 * over what the code needs in white noise. `backward`: the `count` feedback taps of the equaliser
 * that takes decisions for error-free (vsb_equaliser.backward), latest symbol first. 0 dB without
 * feedback. STATUS_NO_MEMORY. Some tens of microseconds. */
enum status vsb_decision_loss(enum vsb_feedback feedback, const double *backward, int count,
                              struct vsb_room *room, double *loss_db);

/* Whether such wrong decisions keep each other alive where error-free feedback would leave `snr`, a
 * ratio, of the data alone: not a few segments are lost then but all. */
bool vsb_decision_diverges(double loss_db, double snr);

#endif
