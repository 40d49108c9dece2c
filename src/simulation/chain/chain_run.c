/* The second generation's chain as a job that many threads share. */
#include "simulation/chain/chain_run.h"

static void *worker_create(const void *context)
{
    const struct chain_point *point = context;
    return chain_worker_create(point->chain);
}

static void worker_free(void *worker)
{
    chain_worker_free(worker);
}

static struct run_counts unit(const void *context, void *worker, uint64_t seed, uint64_t number)
{
    const struct chain_point *point = context;
    struct chain_outcome outcome =
        chain_send(worker, point->snr_db, run_seed_of_snr(seed, point->snr_db), number);
    return (struct run_counts){.frames = 1,
                               .frame_errors = outcome.frame_error,
                               .bits = chain_payload_bits(point->chain),
                               .bit_errors = outcome.bit_errors,
                               .iterations = outcome.iterations};
}

struct run_job chain_run_job(const struct chain_point *point)
{
    return (struct run_job){.context = point,
                            .worker_create = worker_create,
                            .worker_free = worker_free,
                            .unit = unit,
                            .frames_per_unit = 1};
}
