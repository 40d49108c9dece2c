#ifndef EXPLORER_PROVE_STATE_H
#define EXPLORER_PROVE_STATE_H

#include <time.h>

#include "explorer/desk/desk.h"
#include "explorer/desk/job.h"
#include "explorer/frame/cursor.h"
#include "explorer/frame/layout.h"
#include "present/picture/picture.h"
#include "study/proof/sweep.h"

/* The state of the proving view: what is simulated, and how far it has come. */

enum prove_row { PROVE_CHANNEL, PROVE_GENERATION, PROVE_DECODER, PROVE_ROW_COUNT };

enum prove_phase {
    PROVE_READY,
    PROVE_RUNNING,
    PROVE_STOPPING, /* asked to stop, the last words are being decoded */
    PROVE_STOPPED,
    PROVE_DONE,
    PROVE_FAILED,
    PROVE_PHASE_COUNT
};

/* What goes on at one moment, for the interface. */
struct prove_progress {
    struct proof_step step;
    long frames, errors;    /* of this step */
    double share;           /* 0..1 of it */
    double rate_hz, mbit_s; /* frames and payload bits a second since the start */
};

/* The worker's, made and freed by the interface. */
struct prove_work {
    struct scenario scenario;
    struct timespec begin;
    int threads;
    struct run_watch watch; /* of the step; its `stop` reaches into a step */
    pthread_mutex_t lock;   /* over the three that follow, and over clearing the watch */
    struct proof_sweep sweep;
    struct proof_step step;
    struct run_counts spent; /* of all steps that ended */
    enum status status;      /* after the end */
    struct fault fault;
};

struct prove_state {
    struct cursor rows; /* at: enum prove_row */
    struct proof_choice choice;
    char what[200];    /* that the sweep simulates */
    unsigned revision; /* of the scenario that it has */
    struct proof_sweep sweep;
    enum prove_phase phase;
    struct prove_progress progress; /* while running */
    struct fault fault;             /* with PROVE_FAILED */
    struct picture picture;

    struct job job;
    struct prove_work *work; /* owned; NULL: nothing runs */
};

struct prove_layout {
    struct rect choices; /* as many rows as are shown: all, or only the selected one */
    struct rect divider, status, rule, picture;
    struct rect table_divider, table; /* at the right of the picture, on wide screens */
};
struct prove_layout prove_layout(struct rect area);

/* The next value of the selected row that can be simulated. */
void prove_turn(const struct desk *desk, struct prove_state *state, int by);

/* "rayleigh", "first", "sum-product". */
const char *prove_choice_label(enum prove_row row);
const char *prove_choice_value(const struct desk *desk, const struct prove_state *state,
                               enum prove_row row);

#endif
