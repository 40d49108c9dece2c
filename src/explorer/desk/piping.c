/* The worker makes the verdicts on all pipes. */
#include "explorer/desk/piping.h"

#include <stdlib.h>

struct box {
    struct scenario scenario;
    struct pipes pipes; /* as many as could be made, in order */
};

int piping_count(const struct scenario *scenario)
{
    const struct system *system = system_of(scenario, GENERATION_SECOND);
    return system->pipes ? system->pipes(scenario) : 1;
}

static void work(struct job *job, void *opaque)
{
    struct box *box = opaque;
    int count = piping_count(&box->scenario);
    struct pipes *made = &box->pipes;
    made->verdicts = malloc((size_t)count * sizeof *made->verdicts);
    while (made->verdicts && made->count < count && !job_is_stopped(job) &&
           verdict_make_pipe(&box->scenario, GENERATION_SECOND, made->count,
                             &made->verdicts[made->count], NULL) == STATUS_OK) {
        made->count++;
    }
}

static void drop(void *opaque)
{
    struct box *box = opaque;
    pipes_free(&box->pipes);
}

void piping_want(struct piping *piping, const struct scenario *scenario)
{
    struct box *box = piping_count(scenario) > 1 ? calloc(1, sizeof *box) : NULL;
    if (box) {
        box->scenario = *scenario;
    }
    piping->errand.work = work;
    piping->errand.drop = drop;
    errand_want(&piping->errand, box, 0.0);
}

const struct pipes *piping_pipes(const struct piping *piping)
{
    const struct box *box = piping->errand.pending ? NULL : piping->errand.done;
    return box ? &box->pipes : NULL;
}

void piping_free(struct piping *piping)
{
    errand_free(&piping->errand);
}
