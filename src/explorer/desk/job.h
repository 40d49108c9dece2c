#ifndef EXPLORER_DESK_JOB_H
#define EXPLORER_DESK_JOB_H

#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>

/* A long computation beside the interface. Start from `struct job job = {0};`. The worker reports
 * progress and looks at job_is_stopped often; what it computes lies behind `context`, which the
 * interface may read without a lock only after job_finished (the worker guards anything that is
 * shown while it grows). */
struct job {
    pthread_t thread;
    bool started; /* and not yet joined */
    atomic_bool stop, done;
    atomic_int permille;
    void (*work)(struct job *job, void *context);
    void *context;
};

/* False when no thread can be had or one is still running. */
bool job_start(struct job *job, void (*work)(struct job *job, void *context), void *context);

/* For the worker. */
bool job_is_stopped(const struct job *job);
void job_set_progress(struct job *job, double share); /* 0..1 */

/* For the interface. */
bool job_is_running(const struct job *job);
double job_progress(const struct job *job); /* 0..1 */

/* True once after the work has ended: joins the thread. */
bool job_finished(struct job *job);

/* Asks the worker to stop and goes on; job_finished tells when it has. */
void job_ask_stop(struct job *job);

/* Asks the worker to stop and waits for it; harmless when nothing runs. */
void job_stop(struct job *job);

#endif
