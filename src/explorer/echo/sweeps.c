/* A sweep's worker makes its points and the picture of them. */
#include "explorer/echo/sweeps.h"

#include <math.h>
#include <stdlib.h>

#include "present/picture/echo.h"
#include "present/picture/verdict.h"

#define SWEEP_POINTS 61

struct box {
    enum sweep_kind kind;
    struct verdicts verdicts;
    int echo;
    union {
        struct echo_margins margins[SWEEP_POINTS];
        struct echo_tolerated tolerated[SWEEP_POINTS];
    } points;
    struct picture picture;
};

static void work(struct job *job, void *opaque)
{
    struct box *box = opaque;
    if (box->kind == SWEEP_TIME) {
        picture_time(&box->verdicts, &box->picture);
        return;
    }
    bool margins = box->kind == SWEEP_MARGINS;
    double span_us = picture_echo_span_us(&box->verdicts);
    double now_us =
        margins ? box->verdicts.of[0].conditions.channel.rays[box->echo + 1].delay_us : NAN;
    for (size_t i = 0; i < SWEEP_POINTS; i++) {
        double at_us = echo_sweep_at_us(span_us, i, SWEEP_POINTS, now_us);
        enum status status = margins ? echo_sweep_margins(&box->verdicts, box->echo, at_us, at_us,
                                                          1, &box->points.margins[i])
                                     : echo_sweep_tolerated(&box->verdicts, at_us, at_us, 1,
                                                            &box->points.tolerated[i]);
        if (status != STATUS_OK || job_is_stopped(job)) {
            return;
        }
    }
    if (margins) {
        picture_echo_margins(&box->verdicts, box->points.margins, SWEEP_POINTS, now_us,
                             &box->picture);
    } else {
        picture_echo_tolerated(&box->verdicts, box->points.tolerated, SWEEP_POINTS, &box->picture);
    }
}

static void drop(void *opaque)
{
    struct box *box = opaque;
    picture_free(&box->picture);
}

void echo_sweep_want(struct echo_sweep *sweep, enum sweep_kind kind,
                     const struct verdicts *verdicts, unsigned judged, int echo)
{
    if (sweep->asked && sweep->judged == judged && sweep->echo == echo) {
        return;
    }
    struct box *box = calloc(1, sizeof *box);
    if (box) {
        box->kind = kind;
        box->verdicts = *verdicts;
        box->echo = echo;
    }
    sweep->asked = true;
    sweep->judged = judged;
    sweep->echo = echo;
    sweep->errand.work = work;
    sweep->errand.drop = drop;
    errand_want(&sweep->errand, box, 0.0);
}

const struct picture *echo_sweep_picture(const struct echo_sweep *sweep)
{
    const struct box *box = sweep->errand.done;
    return box && box->picture.series_count > 0 ? &box->picture : NULL;
}
