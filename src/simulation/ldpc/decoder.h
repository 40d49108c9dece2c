#ifndef SIMULATION_LDPC_DECODER_H
#define SIMULATION_LDPC_DECODER_H

#include <stdbool.h>
#include <stdint.h>

#include "simulation/simd/kind.h"
#include "standard/ldpc.h"

/* Layered decoding of one codeword on 360 lanes.
 *
 * The sum-product decoder is the reference for `ideal`: exact check-node rule in single precision.
 * The box-plus decoder is for sweeps: the same rule in fixed point, two bytes a value, nearly
 * exact. The min-sum decoder is for speed: fixed point, one byte a value, with an offset. Each
 * gives the same bits and iterations with every kind of vector instructions. */

enum ldpc_algorithm { LDPC_SUM_PRODUCT, LDPC_MIN_SUM, LDPC_BOX_PLUS, LDPC_ALGORITHM_COUNT };
const char *ldpc_algorithm_name(enum ldpc_algorithm algorithm); /* "sum-product", "min-sum" .. */

struct ldpc_decoder;

struct ldpc_outcome {
    int iterations; /* that were run */
    bool converged; /* every parity check holds */
};

/* A decoder for `code`, which must outlive it, with the widest vector instructions available; it
 * serves one thread. NULL: no memory. The owner calls ldpc_decoder_free. */
struct ldpc_decoder *ldpc_decoder_create(const struct ldpc_code *code,
                                         enum ldpc_algorithm algorithm);

/* The same with a chosen kind of instructions, for tests and benchmarks; NULL also where the kind
 * is not available. */
struct ldpc_decoder *ldpc_decoder_create_with(const struct ldpc_code *code,
                                              enum ldpc_algorithm algorithm, enum simd_kind kind);

void ldpc_decoder_free(struct ldpc_decoder *decoder); /* NULL is allowed */

/* Decodes N log-likelihood ratios (natural logarithm, positive: 0 is likelier) into N bits, one a
 * byte. Stops after max_iterations (at least 1), with early_stop as soon as all parity checks hold.
 * An infinite ratio is limited, a NaN counts as 0. */
struct ldpc_outcome ldpc_decode(struct ldpc_decoder *decoder, const float *llr, int max_iterations,
                                bool early_stop, uint8_t *bits);

/* The min-sum decoder's fixed point: a ratio of 1 is this many steps, channel ratios are limited to
 * +-LDPC_CHANNEL_LIMIT steps. */
#define LDPC_STEPS 4.0F
#define LDPC_CHANNEL_LIMIT 31

/* As ldpc_decode, for a min-sum decoder, from ready steps within the channel limit. */
struct ldpc_outcome ldpc_decode_steps(struct ldpc_decoder *decoder, const int8_t *steps,
                                      int max_iterations, bool early_stop, uint8_t *bits);

#endif
