#ifndef EXPLORER_DESK_PIPING_H
#define EXPLORER_DESK_PIPING_H

#include "explorer/desk/errand.h"
#include "study/report/report.h"

/* Verdicts on the pipes (PLPs) of the second generation where there are several, found out beside
 * the interface. Starts zeroed. */
struct piping {
    struct errand errand;
};

/* How many pipes the second generation has: 1 where its signal is one. */
int piping_count(const struct scenario *scenario);

/* Of another scenario from now on. */
void piping_want(struct piping *piping, const struct scenario *scenario);

/* NULL: it is under way, or there is none. */
const struct pipes *piping_pipes(const struct piping *piping);

void piping_free(struct piping *piping);

#endif
