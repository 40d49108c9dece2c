#ifndef SIMULATION_VSB_CHAIN_H
#define SIMULATION_VSB_CHAIN_H

#include <stdint.h>

#include "base/status.h"
#include "simulation/run.h"
#include "simulation/vsb/receiver/receiver.h"

/* The first generation's transmission: bytes through twelve interleaved trellis encoders, noise,
 * Viterbi decoders, the byte deinterleaver and the Reed-Solomon code (207, 187), which corrects 10
 * bytes: a segment with more wrong bytes is wrong. The bytes behind the interleaver are random, as
 * those of random packets are (Reed-Solomon decoding is by counting, so its parity need not be
 * sent); where each lies in its segment is that of the interleaver.
 *
 * The S/N counts the pilot as signal, as published thresholds do: 10 log10 of (21 + 1.25^2) over
 * the noise power, 0.3 dB more than the data's own. */

/* Segments of a unit: one field, sent with what the interleaver needs before and after it. */
#define VSB_UNIT_SEGMENTS 312

/* NULL: no memory; the owner calls vsb_worker_free. Behind a channel and a whole receiver, whose
 * SNR then counts, or, with NULL, in white noise alone. `receiver` must outlive the worker. */
struct vsb_worker;
struct vsb_worker *vsb_worker_create(const struct vsb_receiver_setup *receiver);
void vsb_worker_free(struct vsb_worker *worker);

struct vsb_outcome {
    enum status status; /* STATUS_NO_MEMORY; STATUS_NO_SOLUTION where the rays of this unit cancel:
                           all is wrong */
    int segment_errors; /* of VSB_UNIT_SEGMENTS */
    int byte_errors;    /* after the trellis decoder, in those segments */
    long long bit_errors;                /* the same in bits */
    uint16_t most_errors;                /* bytes in the worst segment */
    struct vsb_receiver_measure measure; /* with a receiver */
};

/* Sends unit number `unit` of a seed. The same seed, number and S/N give the same outcome. */
struct vsb_outcome vsb_send(struct vsb_worker *worker, double snr_db, uint64_t seed, uint64_t unit);

/* Where the byte behind the interleaver at place p (0: the first of a field) came from: its place
 * in the stream of segments; negative: from a field before. Convolutional, 52 branches, 4 bytes a
 * step. */
long vsb_deinterleaved(long p);

struct vsb_point {
    double snr_db;
    const struct vsb_receiver_setup *receiver; /* of that SNR; NULL: white noise alone */
};

/* A run at one S/N; `point` must outlive the job. Frames are segments, bits those of the trellis
 * decoder's output. */
struct run_job vsb_run_job(const struct vsb_point *point);

#endif
