/* The second generation's chain as a job that many threads share. */
#include "simulation/chain/chain_run.h"

#include <stdlib.h>

struct point_worker {
    const struct chain_point *point;
    struct chain_worker *chain;
};

static void *point_worker_create(const void *context)
{
    struct point_worker *worker = malloc(sizeof *worker);
    if (!worker) {
        return NULL;
    }
    worker->point = context;
    worker->chain = chain_worker_create(worker->point->chain);
    if (!worker->chain) {
        free(worker);
        return NULL;
    }
    return worker;
}

static void point_worker_free(void *context)
{
    struct point_worker *worker = context;
    chain_worker_free(worker->chain);
    free(worker);
}

static struct run_counts point_unit(void *context, uint64_t seed, uint64_t number)
{
    struct point_worker *worker = context;
    double snr_db = worker->point->snr_db;
    struct chain_outcome outcome =
        chain_send(worker->chain, snr_db, run_seed_of_snr(seed, snr_db), number);
    return (struct run_counts){.frames = 1,
                               .frame_errors = outcome.frame_error,
                               .bits = chain_payload_bits(worker->point->chain),
                               .bit_errors = outcome.bit_errors,
                               .iterations = outcome.iterations};
}

struct run_job chain_run_job(const struct chain_point *point)
{
    return (struct run_job){.context = point,
                            .worker_create = point_worker_create,
                            .worker_free = point_worker_free,
                            .unit = point_unit,
                            .frames_per_unit = 1};
}
