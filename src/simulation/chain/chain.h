#ifndef SIMULATION_CHAIN_CHAIN_H
#define SIMULATION_CHAIN_CHAIN_H

#include <stdbool.h>
#include <stdint.h>

#include "base/status.h"
#include "simulation/chain/air.h"
#include "simulation/chain/coding.h"
#include "simulation/ldpc/decoder.h"
#include "simulation/modem/kernels.h"
#include "standard/atsc3/transmission.h"

/* The second generation's transmission of one code word after another: random payload, outer code,
 * LDPC code, bit interleaver, constellation, channel, and all the way back. */

#define CHAIN_ITERATIONS_MAX 1000

struct chain_setup {
    const struct coding *coding; /* another system's, copied; NULL: A/322's by what follows */
    enum code_length length;
    enum constellation constellation;
    int rate_15ths;
    enum outer_code outer; /* BCH corrects 12 bits; a word with CRC or none must be all right */
    enum ldpc_algorithm algorithm;
    int iterations;  /* at most */
    bool early_stop; /* when all parity checks hold */
    enum demapper_method demapper;
    enum chain_channel channel;
    /* CHANNEL_CARRIERS: by carrier, SNR over the mean SNR asked for; copied. Cells take the
     * carriers in a fixed random order, each code word from a random place on, as frequency and
     * time interleavers of ideal depth would have it; or where `in_order`, they are those of the
     * cells of some code words in their order, as a standard's own interleavers have it. */
    const float *gain_power;
    int carriers;
    bool in_order;
};

/* 64800 256QAM 10/15 with BCH, sum-product with 50 iterations, exact demapping, AWGN. */
struct chain_setup chain_setup_default(void);

/* What is the same for every code word and thread: read-only after creation. */
struct chain;

/* STATUS_ILLEGAL for a pair that the standard does not have, STATUS_OUT_OF_RANGE for iterations
 * outside 1..1000 or carriers missing, STATUS_NO_MEMORY. The owner calls chain_free. */
enum status chain_create(const struct chain_setup *setup, struct chain **chain);
void chain_free(struct chain *chain);

int chain_payload_bits(const struct chain *chain); /* information bits a code word carries */
int chain_cells(const struct chain *chain);        /* cells a code word takes */

/* The buffers and the decoder of one thread; NULL without memory. The owner calls
 * chain_worker_free before chain_free. */
struct chain_worker *chain_worker_create(const struct chain *chain);
void chain_worker_free(struct chain_worker *worker);

struct chain_outcome {
    bool frame_error; /* after the outer code */
    int bit_errors;   /* in the payload, after the outer code */
    int ldpc_errors;  /* in the LDPC code's information bits, before it */
    int iterations;
    bool converged;
};

/* Sends code word number `word` of a seed at a mean SNR (signal power over noise power in a cell).
 * The same chain, seed, number and SNR give the same outcome always. */
struct chain_outcome chain_send(struct chain_worker *worker, double snr_db, uint64_t seed,
                                uint64_t word);

/* The parts of chain_send up to the decoder's input, for tests and benchmarks: fills in the sent
 * code word and the log-likelihood ratios in code order (chain_worker_llr). */
void chain_transmit(struct chain_worker *worker, double snr_db, uint64_t seed, uint64_t word);
const float *chain_worker_llr(const struct chain_worker *worker);
const uint8_t *chain_worker_sent(const struct chain_worker *worker);

/* ---- The same step by step, for who sends two layers at once (layers.h). ---- */

struct modem;
const struct modem *chain_modem(const struct chain *chain);

/* Draws and encodes a code word and makes its cells, of the modem's mean power. */
void chain_draw_word(struct chain_worker *worker, struct random *random);

/* The worker's cells and log-likelihood ratios by cell: chain_cells(chain) of them and padding. */
struct air_cells *chain_worker_cells(struct chain_worker *worker);
struct bit_planes chain_worker_planes(struct chain_worker *worker);

/* From received cells to log-likelihood ratios in code order; who fills the ratios by cell orders
 * them alone. Then to the word. */
void chain_demap(struct chain_worker *worker);
void chain_order_bits(struct chain_worker *worker);
struct chain_outcome chain_decode(struct chain_worker *worker);

/* The cells of the word that was decoded, as its outer code leaves it, encoded again. */
void chain_remap(struct chain_worker *worker);

#endif
