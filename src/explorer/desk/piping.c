/* The worker makes the verdicts on all pipes. */
#include "explorer/desk/piping.h"

#include <stdlib.h>

struct box {
    struct scenario scenario;
    int count;                /* made, in order */
    struct verdict *verdicts; /* owned; NULL: no memory */
};

static void work(struct job *job, void *opaque)
{
    struct box *box = opaque;
    int count = transmission_plps(&box->scenario.transmission);
    box->verdicts = malloc((size_t)count * sizeof *box->verdicts);
    while (box->verdicts && box->count < count && !job_is_stopped(job) &&
           verdict_make_pipe(&box->scenario, GENERATION_SECOND, box->count,
                             &box->verdicts[box->count], NULL) == STATUS_OK) {
        box->count++;
    }
}

static void drop(void *opaque)
{
    struct box *box = opaque;
    free(box->verdicts);
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
    return box && pipe < box->count ? &box->verdicts[pipe] : NULL;
}

void piping_free(struct piping *piping)
{
    errand_free(&piping->errand);
}
