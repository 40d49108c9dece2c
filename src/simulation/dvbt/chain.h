#ifndef SIMULATION_DVBT_CHAIN_H
#define SIMULATION_DVBT_CHAIN_H

#include <stdint.h>

#include "base/status.h"
#include "simulation/chain/chain.h"
#include "simulation/run.h"
#include "standard/dvbt/signal.h"

/* DVB-T from the outer interleaver's bytes to carriers and back: inner code, inner interleaver,
 * constellation, channel, exact bit metrics, soft Viterbi decoder; Reed-Solomon words (204, 188)
 * are lost where more than 8 of their bytes, spread by the outer interleaver, are wrong. The bytes
 * are random, as Reed-Solomon decoding is by counting. Bit errors are those of the Viterbi decoder:
 * the document's measure is 2e-4 of them. */

struct dvbt_setup {
    struct dvbt mode;
    enum chain_channel channel;
    const float *gain_power; /* CHANNEL_CARRIERS: by carrier, over the mean; must outlive it */
};

#define DVBT_UNIT_WORDS 33 /* Reed-Solomon words of a unit */

/* NULL: no memory. The owner calls dvbt_worker_free. */
struct dvbt_worker;
struct dvbt_worker *dvbt_worker_create(const struct dvbt_setup *setup);
void dvbt_worker_free(struct dvbt_worker *worker);

struct dvbt_outcome {
    int word_errors; /* of DVBT_UNIT_WORDS */
    int bits, bit_errors;
};

/* Sends a unit at an SNR of a data cell. The same seed and number give the same outcome. */
struct dvbt_outcome dvbt_send(struct dvbt_worker *worker, double cell_snr_db, uint64_t seed,
                              uint64_t unit);

struct dvbt_point {
    double cell_snr_db;
    const struct dvbt_setup *setup;
};
/* A run at one SNR; `point` must outlive the job. Frames are Reed-Solomon words. */
struct run_job dvbt_run_job(const struct dvbt_point *point);

#endif
