#ifndef EXPLORER_WEIGH_JOB_H
#define EXPLORER_WEIGH_JOB_H

#include "explorer/desk/errand.h"
#include "study/weigh/weigh.h"

/* Margins of all modes with a scenario's echoes: too long for a key press, so they are made beside
 * the interface. */

void weigh_job_begin(struct errand *errand, const struct scenario *scenario);

/* True once it has ended: with STATUS_OK in the fault the space is handed over, margins made. */
bool weigh_job_end(struct errand *errand, struct weigh_space *space, struct fault *fault);

#endif
