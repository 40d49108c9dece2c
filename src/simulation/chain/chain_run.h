#ifndef SIMULATION_CHAIN_CHAIN_RUN_H
#define SIMULATION_CHAIN_CHAIN_RUN_H

#include "simulation/chain/chain.h"
#include "simulation/run.h"

/* A run of the second generation's chain at one SNR: a unit is one code word. */
struct chain_point {
    const struct chain *chain;
    double snr_db;
};

/* `point` must outlive the job. */
struct run_job chain_run_job(const struct chain_point *point);

#endif
