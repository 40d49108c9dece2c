#ifndef EXPLORER_DESK_ERRAND_H
#define EXPLORER_DESK_ERRAND_H

#include <stddef.h>

#include "explorer/desk/job.h"

/* Work beside the interface of which only the newest is wanted: verdicts, sweeps, pictures. What is
 * asked and what is answered lie in one box, which the errand owns from the asking on. Starts
 * zeroed but for `work` and `drop`. */
struct errand {
    void (*work)(struct job *job, void *box);
    void (*drop)(void *box); /* frees what lies in a box; NULL: nothing does */
    struct job job;
    void *next, *doing, *done; /* boxes: to be begun; the worker's; answered, NULL: not yet */
    bool pending;              /* what was wanted last is not answered yet */
};

/* Asks for the answer to a box from calloc, in place of all before, and waits a little for it: what
 * is quick is there at once. NULL stands for a box that could not be had: there is no answer. */
void errand_want(struct errand *errand, void *box, double wait_ms);

/* Takes over what has ended, begins what is wanted. True once for each answer. */
bool errand_look(struct errand *errand);

/* Until the answer is there to be looked at. */
void errand_wait(struct errand *errand);

/* Stops and frees everything. */
void errand_free(struct errand *errand);

#endif
