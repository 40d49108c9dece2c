/* A sweep's worker makes its points and the picture of them. */
#include "explorer/echo/sweeps.h"

#include <math.h>
#include <stdlib.h>

#include "present/picture/echo.h"
#include "present/picture/verdict.h"

struct box {
    enum sweep_kind kind;
    struct verdicts verdicts;
    struct sweep_part part;
    struct echo_lines lines;
    struct picture picture;
};

static bool is_stopped(const void *asker)
{
    return job_is_stopped(asker);
}

static void work(struct job *job, void *opaque)
{
    struct box *box = opaque;
    if (box->kind == SWEEP_TIME) {
        picture_time(&box->verdicts, &box->picture);
        return;
    }
    bool margins = box->kind == SWEEP_MARGINS;
    double span_us = picture_echo_span_us(&box->verdicts), part = exp2(-fmax(box->part.zoom, 0));
    const struct channel *channel = &box->verdicts.of[0].conditions.channel;
    const struct echo_lines_wish wish = {
        .kind = margins ? ECHO_LINES_MARGINS : ECHO_LINES_TOLERATED,
        .echo = box->part.echo,
        .from_us = -span_us * part,
        .to_us = span_us * part,
        .now_us = margins ? channel->rays[box->part.echo + 1].delay_us : NAN,
        .is_stopped = is_stopped,
        .asker = job};
    if (echo_lines_make(&box->verdicts, &wish, &box->lines) == STATUS_OK && !job_is_stopped(job) &&
        picture_echo_lines(&box->verdicts, &wish, box->part.name, &box->lines, &box->picture)) {
        picture_join_alike(&box->picture);
        box->picture.x.low = -span_us; /* as the gallery zooms it */
        box->picture.x.high = span_us;
    }
}

static void drop(void *opaque)
{
    struct box *box = opaque;
    picture_free(&box->picture);
}

void echo_sweep_want(struct echo_sweep *sweep, enum sweep_kind kind,
                     const struct verdicts *verdicts, unsigned judged, struct sweep_part part)
{
    if (sweep->asked && sweep->judged == judged && sweep->part.echo == part.echo &&
        sweep->part.zoom == part.zoom) {
        return;
    }
    struct box *box = calloc(1, sizeof *box);
    if (box) {
        box->kind = kind;
        box->verdicts = *verdicts;
        box->part = part;
    }
    sweep->asked = true;
    sweep->judged = judged;
    sweep->part = part;
    sweep->errand.work = work;
    sweep->errand.drop = drop;
    errand_want(&sweep->errand, box, 0.0);
}

const struct picture *echo_sweep_picture(const struct echo_sweep *sweep)
{
    const struct box *box = sweep->errand.done;
    return box && box->picture.series_count > 0 ? &box->picture : NULL;
}
