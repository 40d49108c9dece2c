#ifndef EXPLORER_ECHO_SWEEPS_H
#define EXPLORER_ECHO_SWEEPS_H

#include "explorer/desk/job.h"
#include "present/picture/picture.h"
#include "study/verdict/sweep.h"

/* The sweeps that the echo editor shows: too long for a key press, so they run beside it. */

enum sweep_kind { SWEEP_MARGINS, SWEEP_TOLERATED, SWEEP_KINDS };

#define SWEEP_POINTS 61

struct echo_sweeps {
    struct job job;
    enum sweep_kind running;
    unsigned running_revision;
    int running_echo;
    struct verdicts verdicts;
    size_t count; /* computed so far; the worker's until it has ended */
    enum status status;
    union {
        struct echo_margins margins[SWEEP_POINTS];
        struct echo_tolerated tolerated[SWEEP_POINTS];
    } points;

    struct {
        bool tried; /* the picture is empty where it could not be made */
        unsigned revision;
        int echo;
        struct picture picture;
    } done[SWEEP_KINDS];
};

/* Takes over what has ended and starts what is wanted: the sweep of a kind for a scenario's
 * revision and, for margins, one of its echoes. */
void echo_sweeps_want(struct echo_sweeps *sweeps, enum sweep_kind kind,
                      const struct verdicts *verdicts, unsigned revision, int echo);

bool echo_sweeps_fresh(const struct echo_sweeps *sweeps, enum sweep_kind kind, unsigned revision,
                       int echo);
bool echo_sweeps_busy(const struct echo_sweeps *sweeps);

/* Stops and frees everything. */
void echo_sweeps_clear(struct echo_sweeps *sweeps);

#endif
