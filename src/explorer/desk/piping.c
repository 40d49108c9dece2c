/* The worker makes the verdicts on all pipes. */
#include "explorer/desk/piping.h"

#include <stdlib.h>

struct box {
    struct scenario scenario;
    struct pipes pipes; /* none where they could not be made */
};

static void work(struct job *job, void *opaque)
{
    struct box *box = opaque;
    if (!job_is_stopped(job)) {
        pipes_make(&box->scenario, GENERATION_SECOND, &box->pipes, NULL);
    }
}

static void drop(void *opaque)
{
    struct box *box = opaque;
    pipes_free(&box->pipes);
}

void piping_want(struct piping *piping, const struct scenario *scenario)
{
    bool several = transmission_plps(&scenario->transmission) > 1;
    struct box *box = several ? calloc(1, sizeof *box) : NULL;
    if (box) {
        box->scenario = *scenario;
    }
    piping->errand.work = work;
    piping->errand.drop = drop;
    errand_want(&piping->errand, box, 0.0);
}

const struct verdict *piping_verdict(const struct piping *piping, int pipe)
{
    const struct box *box = piping->errand.pending ? NULL : piping->errand.done;
    return box && pipe < box->pipes.count ? &box->pipes.verdicts[pipe] : NULL;
}

void piping_free(struct piping *piping)
{
    errand_free(&piping->errand);
}
