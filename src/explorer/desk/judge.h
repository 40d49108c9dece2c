#ifndef EXPLORER_DESK_JUDGE_H
#define EXPLORER_DESK_JUDGE_H

#include "explorer/desk/job.h"
#include "study/verdict/verdict.h"

/* The verdicts on what lies on the desk. Many echoes take longer than a key press may: verdicts are
 * made beside the interface, which waits for them a moment only. Starts zeroed. */

/* The scenario, and the pinned one beside it. */
enum judged { JUDGED_NOW, JUDGED_PINNED, JUDGED_COUNT };

struct judgement {
    bool wanted;
    bool known; /* else `fault` says why there is none */
    struct verdicts verdicts;
    struct fault fault;
};

struct judge {
    struct job job;
    unsigned wanted, running; /* numbers of cases, in the order in which they were wanted */
    unsigned of;              /* the case of `given`; another than `wanted`: out of date */
    struct judge_case *next;  /* owned: wanted last; NULL: none was yet */
    struct judge_case *work;  /* owned: the worker's */
    struct judgement given[JUDGED_COUNT];
};

/* Asks for verdicts; `pinned` may be NULL. */
void judge_want(struct judge *judge, const struct scenario *now, const struct scenario *pinned);

/* Takes over what has ended, and begins anew where something newer is wanted. */
void judge_look(struct judge *judge);

/* What is given is about what was wanted last. */
bool judge_is_done(const struct judge *judge);

/* Looks until it is done. */
void judge_wait(struct judge *judge);

void judge_free(struct judge *judge);

#endif
