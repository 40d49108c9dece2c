#ifndef PHYSICS_VSB_DECISION_H
#define PHYSICS_VSB_DECISION_H

#include <stdbool.h>

#include "base/status.h"
#include "physics/receiver.h"
#include "physics/vsb/equaliser.h"

/* Decisions that can be wrong. A decision-feedback equaliser takes off what it believes was sent;
 * where the belief is wrong it adds what it should have removed. */

/* "trellis", "slicer", "error-free"; "?" beyond. */
const char *vsb_feedback_name(enum vsb_feedback feedback);

/* Mean square error of what is fed back over the symbols' power, at `snr` (a ratio, of the data
 * alone) in white noise. `age` counts symbols of the same trellis encoder since: 0 the last
 * one. */
double vsb_decision_error(enum vsb_feedback feedback, int age, double snr);

/* Fills in the doubts of `interference` for decisions at that SNR. */
void vsb_decision_doubt(enum vsb_feedback feedback, double snr,
                        struct vsb_interference *interference);

/* What wrong decisions cost: the output SNR that an equaliser must leave with error-free feedback,
 * over what the code needs in white noise. */
struct vsb_decision {
    double loss_db;
    bool diverges; /* at the SNR in question wrong decisions keep each other alive */
};

/* `backward`: the `count` feedback taps of the equaliser that takes decisions for error-free
 * (vsb_equaliser.backward), latest symbol first; `snr` its unbiased output SNR, a ratio, of the
 * data alone. 0 dB without feedback. STATUS_NO_MEMORY. Some tens of microseconds. */
enum status vsb_decision_solve(enum vsb_feedback feedback, const double *backward, int count,
                               double snr, struct vsb_decision *decision);

#endif
