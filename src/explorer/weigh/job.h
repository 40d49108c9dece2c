#ifndef EXPLORER_WEIGH_JOB_H
#define EXPLORER_WEIGH_JOB_H

#include "explorer/desk/job.h"
#include "study/weigh/weigh.h"

/* Margins of all modes with a scenario's echoes: too long for a key press, so they are made beside
 * the interface. Starts zeroed. */
struct weigh_job {
    struct job job;
    struct weigh_work *work; /* owned; NULL: nothing was begun */
};

/* Forgets what was begun before; false when it cannot be begun. */
bool weigh_job_begin(struct weigh_job *job, const struct scenario *scenario);

/* True once it has ended: with STATUS_OK in the fault the space is handed over, margins made. */
bool weigh_job_end(struct weigh_job *job, struct weigh_space *space, struct fault *fault);

/* Stopped and forgotten. */
void weigh_job_drop(struct weigh_job *job);

#endif
