/* A thread that can be asked to stop, and that tells how far it is. */
#include "explorer/desk/job.h"

#include <signal.h>

static void *run(void *argument)
{
    struct job *job = argument;
    job->work(job, job->context);
    atomic_store(&job->done, true);
    return NULL;
}

bool job_start(struct job *job, void (*work)(struct job *job, void *context), void *context)
{
    if (job->started) {
        return false;
    }
    atomic_store(&job->stop, false);
    atomic_store(&job->done, false);
    atomic_store(&job->permille, 0);
    job->work = work;
    job->context = context;
    /* Signals are the interface's business: the worker is born with all of them blocked. */
    sigset_t all, before;
    sigfillset(&all);
    pthread_sigmask(SIG_BLOCK, &all, &before);
    job->started = pthread_create(&job->thread, NULL, run, job) == 0;
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    return job->started;
}

bool job_is_stopped(const struct job *job)
{
    return atomic_load(&job->stop);
}

void job_set_progress(struct job *job, double share)
{
    atomic_store(&job->permille, share <= 0.0 ? 0 : share >= 1.0 ? 1000 : (int)(share * 1000.0));
}

bool job_is_running(const struct job *job)
{
    return job->started && !atomic_load(&job->done);
}

double job_progress(const struct job *job)
{
    return atomic_load(&job->permille) / 1000.0;
}

bool job_finished(struct job *job)
{
    if (!job->started || !atomic_load(&job->done)) {
        return false;
    }
    pthread_join(job->thread, NULL);
    job->started = false;
    return true;
}

void job_ask_stop(struct job *job)
{
    atomic_store(&job->stop, true);
}

void job_stop(struct job *job)
{
    if (job->started) {
        job_ask_stop(job);
        pthread_join(job->thread, NULL);
        job->started = false;
    }
}
