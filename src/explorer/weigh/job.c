/* The worker makes a space of its own, so that the one shown stays whole meanwhile. */
#include "explorer/weigh/job.h"

#include <stdlib.h>

struct box {
    struct scenario scenario;
    struct weigh_space space;
    enum status status;
    struct fault fault;
};

static void drop(void *opaque)
{
    struct box *box = opaque;
    weigh_space_free(&box->space);
}

static bool keep_on(void *owner, double share)
{
    struct job *job = owner;
    job_set_progress(job, share);
    return !job_is_stopped(job);
}

static void work(struct job *job, void *opaque)
{
    struct box *box = opaque;
    const struct weigh_progress progress = {keep_on, job};
    box->status = weigh_space_make(&box->scenario, SNR_RECEIVER, &box->space, &box->fault);
    if (box->status == STATUS_OK) {
        box->status = weigh_echo_margins(&box->space, &progress, &box->fault);
    }
}

void weigh_job_begin(struct errand *errand, const struct scenario *scenario)
{
    struct box *box = calloc(1, sizeof *box);
    if (box) {
        box->scenario = *scenario;
    }
    errand->work = work;
    errand->drop = drop;
    errand_want(errand, box, 0.0);
}

bool weigh_job_end(struct errand *errand, struct weigh_space *space, struct fault *fault)
{
    struct box *box = errand_look(errand) ? errand->done : NULL;
    if (!box) {
        return false;
    }
    *fault = box->fault;
    fault->status = box->status;
    if (box->status == STATUS_OK) {
        *space = box->space;
        box->space = (struct weigh_space){0};
    }
    return true;
}
