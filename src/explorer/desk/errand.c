/* Boxes change hands: wanted, being worked on, answered. */
#include "explorer/desk/errand.h"

#include <math.h>
#include <stdlib.h>
#include <time.h>

static void drop(struct errand *errand, void **box)
{
    if (*box && errand->drop) {
        errand->drop(*box);
    }
    free(*box);
    *box = NULL;
}

bool errand_look(struct errand *errand)
{
    bool answered = false;
    if (job_finished(&errand->job)) {
        if (errand->next || !errand->pending) { /* no longer wanted */
            drop(errand, &errand->doing);
        } else {
            drop(errand, &errand->done);
            errand->done = errand->doing;
            errand->doing = NULL;
            errand->pending = false;
            answered = true;
        }
    }
    if (errand->next && !errand->job.started) {
        errand->doing = errand->next;
        errand->next = NULL;
        if (!job_start(&errand->job, errand->work, errand->doing)) {
            drop(errand, &errand->doing);
            drop(errand, &errand->done);
            errand->pending = false;
        }
    }
    return answered;
}

static double now_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return 1e3 * (double)now.tv_sec + 1e-6 * (double)now.tv_nsec;
}

/* Answered, though not yet looked at; or there is nothing to wait for. */
static bool is_ripe(const struct errand *errand)
{
    return !errand->pending || (!errand->next && !job_is_running(&errand->job));
}

static void look_until(struct errand *errand, double end_ms)
{
    const struct timespec pause = {.tv_nsec = 100000};
    while (!is_ripe(errand) && now_ms() < end_ms) {
        nanosleep(&pause, NULL);
        if (errand->next) {
            errand_look(errand);
        }
    }
}

void errand_want(struct errand *errand, void *box, double wait_ms)
{
    drop(errand, &errand->next);
    job_ask_stop(&errand->job);
    errand->next = box;
    errand->pending = box != NULL;
    if (!box) {
        drop(errand, &errand->done);
    }
    errand_look(errand);
    look_until(errand, now_ms() + wait_ms);
}

void errand_wait(struct errand *errand)
{
    look_until(errand, INFINITY);
}

void errand_free(struct errand *errand)
{
    job_stop(&errand->job);
    drop(errand, &errand->next);
    drop(errand, &errand->doing);
    drop(errand, &errand->done);
}
