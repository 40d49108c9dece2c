/* One worker for both sweeps; what it makes becomes a picture once it has ended. */
#include "explorer/echo/sweeps.h"

#include <math.h>

#include "present/picture/echo.h"

static void work(struct job *job, void *context)
{
    struct echo_sweeps *sweeps = context;
    double span_us = picture_echo_span_us(&sweeps->verdicts);
    double now_us =
        sweeps->running == SWEEP_MARGINS
            ? sweeps->verdicts.of[0].conditions.channel.rays[sweeps->running_echo + 1].delay_us
            : NAN;
    for (size_t i = 0; i < SWEEP_POINTS && !job_is_stopped(job); i++) {
        double at_us = echo_sweep_at_us(span_us, i, SWEEP_POINTS, now_us);
        sweeps->status = sweeps->running == SWEEP_MARGINS
                             ? echo_sweep_margins(&sweeps->verdicts, sweeps->running_echo, at_us,
                                                  at_us, 1, &sweeps->points.margins[i])
                             : echo_sweep_tolerated(&sweeps->verdicts, at_us, at_us, 1,
                                                    &sweeps->points.tolerated[i]);
        if (sweeps->status != STATUS_OK) {
            return;
        }
        sweeps->count = i + 1;
        job_set_progress(job, (double)(i + 1) / SWEEP_POINTS);
    }
}

static void take_over(struct echo_sweeps *sweeps)
{
    enum sweep_kind kind = sweeps->running;
    if (sweeps->status == STATUS_OK && sweeps->count < SWEEP_POINTS) {
        return; /* stopped: something newer is wanted */
    }
    struct picture *picture = &sweeps->done[kind].picture;
    picture_free(picture);
    if (sweeps->status == STATUS_OK && kind == SWEEP_MARGINS) {
        picture_echo_margins(
            &sweeps->verdicts, sweeps->points.margins, SWEEP_POINTS,
            sweeps->verdicts.of[0].conditions.channel.rays[sweeps->running_echo + 1].delay_us,
            picture);
    } else if (sweeps->status == STATUS_OK) {
        picture_echo_tolerated(&sweeps->verdicts, sweeps->points.tolerated, SWEEP_POINTS, picture);
    }
    sweeps->done[kind].tried = true;
    sweeps->done[kind].revision = sweeps->running_revision;
    sweeps->done[kind].echo = sweeps->running_echo;
}

bool echo_sweeps_fresh(const struct echo_sweeps *sweeps, enum sweep_kind kind, unsigned revision,
                       int echo)
{
    return sweeps->done[kind].tried && sweeps->done[kind].revision == revision &&
           (kind != SWEEP_MARGINS || sweeps->done[kind].echo == echo);
}

void echo_sweeps_want(struct echo_sweeps *sweeps, enum sweep_kind kind,
                      const struct verdicts *verdicts, unsigned revision, int echo)
{
    if (job_finished(&sweeps->job)) {
        take_over(sweeps);
    }
    if (echo_sweeps_fresh(sweeps, kind, revision, echo)) {
        return;
    }
    if (sweeps->job.started) {
        bool stale = sweeps->running_revision != revision ||
                     (sweeps->running == SWEEP_MARGINS && sweeps->running_echo != echo);
        if (stale) {
            job_ask_stop(&sweeps->job); /* not waited for: keys must not wait */
        }
        return;
    }
    sweeps->running = kind;
    sweeps->running_revision = revision;
    sweeps->running_echo = echo;
    sweeps->verdicts = *verdicts;
    sweeps->count = 0;
    sweeps->status = STATUS_OK;
    job_start(&sweeps->job, work, sweeps);
}

bool echo_sweeps_busy(const struct echo_sweeps *sweeps)
{
    return sweeps->job.started;
}

void echo_sweeps_clear(struct echo_sweeps *sweeps)
{
    job_stop(&sweeps->job);
    for (int kind = 0; kind < SWEEP_KINDS; kind++) {
        picture_free(&sweeps->done[kind].picture);
    }
}
