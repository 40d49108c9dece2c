/* Described at once; their verdicts follow by an errand. */
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
    struct box *box = NULL;
    pipes_free(&piping->described);
    if (transmission_plps(&scenario->transmission) > 1 &&
        pipes_describe(scenario, GENERATION_SECOND, &piping->described, NULL) == STATUS_OK) {
        box = calloc(1, sizeof *box);
    }
    if (box) {
        box->scenario = *scenario;
    }
    piping->errand.work = work;
    piping->errand.drop = drop;
    errand_want(&piping->errand, box, 0.0);
}

int piping_count(const struct piping *piping)
{
    return piping->described.count;
}

const struct verdict *piping_verdict(const struct piping *piping, int pipe)
{
    const struct box *box = piping->errand.pending ? NULL : piping->errand.done;
    return box && box->pipes.count > pipe ? &box->pipes.verdicts[pipe]
                                          : &piping->described.verdicts[pipe];
}

void piping_free(struct piping *piping)
{
    errand_free(&piping->errand);
    pipes_free(&piping->described);
}
