#ifndef PROOF_LADDER_H
#define PROOF_LADDER_H

/* Chains that differ in their decoder alone, the fastest first. Almost all words are decoded by the
 * first. A word that it gets wrong is sent again, with the same numbers, to the next better one, at
 * last to the exact decoder, and counts as wrong where that is wrong too. What a faster decoder
 * gets right and the exact one would not is missed: `counted --table` looks for such words. */
#include <stdlib.h>

#include "simulation/chain/chain_run.h"

static const enum ldpc_algorithm ladder_decoders[] = {LDPC_MIN_SUM, LDPC_BOX_PLUS,
                                                      LDPC_SUM_PRODUCT};
enum { LADDER_RUNGS = sizeof ladder_decoders / sizeof ladder_decoders[0] };

struct ladder {
    struct chain *chains[LADDER_RUNGS];
    double snr_db; /* of the point that is sent */
};

struct ladder_worker {
    struct chain_worker *chains[LADDER_RUNGS];
};

static inline void ladder_free(struct ladder *ladder)
{
    for (int i = 0; i < LADDER_RUNGS; i++) {
        chain_free(ladder->chains[i]);
    }
}

/* Of any decoder in the setup. */
static inline enum status ladder_create(struct chain_setup setup, struct ladder *ladder)
{
    enum status status = STATUS_OK;
    *ladder = (struct ladder){0};
    for (int i = 0; i < LADDER_RUNGS && status == STATUS_OK; i++) {
        setup.algorithm = ladder_decoders[i];
        status = chain_create(&setup, &ladder->chains[i]);
    }
    return status;
}

static inline void ladder_worker_free(void *context)
{
    struct ladder_worker *worker = context;
    for (int i = 0; i < LADDER_RUNGS; i++) {
        chain_worker_free(worker->chains[i]);
    }
    free(worker);
}

static inline void *ladder_worker_create(const void *context)
{
    const struct ladder *ladder = context;
    struct ladder_worker *worker = calloc(1, sizeof *worker);
    if (!worker) {
        return NULL;
    }
    for (int i = 0; i < LADDER_RUNGS; i++) {
        worker->chains[i] = chain_worker_create(ladder->chains[i]);
        if (!worker->chains[i]) {
            ladder_worker_free(worker);
            return NULL;
        }
    }
    return worker;
}

static inline struct run_counts ladder_unit(const void *context, void *own, uint64_t seed,
                                            uint64_t number)
{
    struct ladder_worker *worker = own;
    double snr_db = ((const struct ladder *)context)->snr_db;
    struct chain_outcome outcome = {.frame_error = true};
    seed = run_seed_of_snr(seed, snr_db);
    for (int i = 0; i < LADDER_RUNGS && outcome.frame_error; i++) {
        outcome = chain_send(worker->chains[i], snr_db, seed, number);
    }
    return (struct run_counts){.frames = 1, .frame_errors = outcome.frame_error};
}

/* `ladder` must outlive the job. */
static inline struct run_job ladder_job(const struct ladder *ladder)
{
    return (struct run_job){.context = ladder,
                            .worker_create = ladder_worker_create,
                            .worker_free = ladder_worker_free,
                            .unit = ladder_unit,
                            .frames_per_unit = 1};
}

#endif
