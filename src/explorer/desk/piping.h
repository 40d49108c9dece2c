#ifndef EXPLORER_DESK_PIPING_H
#define EXPLORER_DESK_PIPING_H

#include "explorer/desk/errand.h"
#include "study/report/report.h"

/* The pipes (PLPs) of the second generation where there are several: what each is made of at once,
 * how it fares as soon as that has been found out beside the interface. Starts zeroed. */
struct piping {
    struct errand errand;
    struct pipes described;
};

/* Of another scenario from now on. */
void piping_want(struct piping *piping, const struct scenario *scenario);

/* 0: there is one pipe, or they cannot be described. */
int piping_count(const struct piping *piping);
/* Its verdict: not known as long as it is under way. */
const struct verdict *piping_verdict(const struct piping *piping, int pipe);

void piping_free(struct piping *piping);

#endif
