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

/* The doubts that a receiver has of its survivors at that SNR, or where the code needs it if that
 * is more: below nothing is decoded. */
vsb_doubts_at vsb_decision_survivors_doubt;

/* What wrong decisions cost: the output SNR that an equaliser must leave with error-free feedback,
 * over what the code needs in white noise. `backward`: the `count` feedback taps of the equaliser
 * (vsb_equaliser.backward), latest symbol first; of one that takes decisions for error-free for the
 * nearest level, of one that doubts them for the trellis decoder. 0 dB without feedback.
 * STATUS_NO_MEMORY. Some tens of microseconds. */
enum status vsb_decision_loss(enum vsb_feedback feedback, const double *backward, int count,
                              struct vsb_room *room, double *loss_db);

/* At what SNR a receiver holds itself whose taps learn from decisions, and what these make of it:
 * of a wrong decision the part that sides with the error before it slows learning down, and the
 * rest is chance that moves the taps. */
struct vsb_teacher {
    double snr;    /* of the data at the decision, in the end: a ratio */
    double speed;  /* of learning, over that from what was really sent */
    double unrest; /* mean square of what moves the taps, over the error's */
};

/* Where decisions can hold it: fills in one or more. The trellis decoder's hold it at `snr`, what
 * is left behind the equaliser, or where it needs no less. */
#define VSB_TEACHERS 4
int vsb_decision_teachers(enum vsb_feedback feedback, double snr,
                          struct vsb_teacher teachers[VSB_TEACHERS]);

/* How fast taps learn: 0, 0 where they do not. */
struct vsb_pace {
    double step; /* as in adaptation.h */
    double mu;   /* the same, of a symbol */
};

/* The same loss, of taps that learn at that pace, and what such teaching costs more than teaching
 * by `teacher`: held there, or NULL: by the nearest level wherever it costs least, by the trellis
 * decoder where nothing is wrong. */
struct vsb_decision_costs {
    double loss_db, unrest_db;
};
#define VSB_TRELLIS_MOST_DB 8.0 /* loss that is told at most, by the trellis decoder's feedback */
#define VSB_SLICER_MOST_DB 15.0 /* by that of the nearest level, and so the unrest */
enum status vsb_decision_costs(enum vsb_feedback feedback, const double *backward, int count,
                               const struct vsb_teacher *teacher, struct vsb_pace pace,
                               struct vsb_room *room, struct vsb_decision_costs *costs);

/* Whether such wrong decisions keep each other alive where error-free feedback would leave `snr`, a
 * ratio, of the data alone: not a few segments are lost then but all. */
bool vsb_decision_diverges(double loss_db, double snr);

#endif
