/* The worker and what it is working on; only a job that has ended is looked into. */
#include "explorer/weigh/job.h"

#include <stdlib.h>

struct weigh_work {
    struct scenario scenario;
    struct weigh_space space;
    enum status status;
    struct fault fault;
};

void weigh_job_drop(struct weigh_job *job)
{
    job_stop(&job->job);
    if (job->work) {
        weigh_space_free(&job->work->space);
        free(job->work);
        job->work = NULL;
    }
}

static bool keep_on(void *owner, double share)
{
    struct job *job = owner;
    job_set_progress(job, share);
    return !job_is_stopped(job);
}

static void run(struct job *job, void *context)
{
    struct weigh_work *work = context;
    const struct weigh_progress progress = {keep_on, job};
    work->status = weigh_space_make(&work->scenario, SNR_RECEIVER, &work->space, &work->fault);
    if (work->status == STATUS_OK) {
        work->status = weigh_echo_margins(&work->space, &progress, &work->fault);
    }
}

bool weigh_job_begin(struct weigh_job *job, const struct scenario *scenario)
{
    weigh_job_drop(job);
    job->work = calloc(1, sizeof *job->work);
    if (job->work) {
        job->work->scenario = *scenario;
        if (!job_start(&job->job, run, job->work)) {
            weigh_job_drop(job);
        }
    }
    return job->work != NULL;
}

bool weigh_job_end(struct weigh_job *job, struct weigh_space *space, struct fault *fault)
{
    if (!job->work || !job_finished(&job->job)) {
        return false;
    }
    *fault = job->work->fault;
    fault->status = job->work->status;
    if (fault->status == STATUS_OK) {
        *space = job->work->space;
        job->work->space = (struct weigh_space){0};
    }
    weigh_job_drop(job);
    return true;
}
