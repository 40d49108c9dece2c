#ifndef SIMULATION_LDPC_ENCODER_H
#define SIMULATION_LDPC_ENCODER_H

#include <stdint.h>

#include "standard/ldpc.h"

/* Fills in the parity of a codeword (ATSC A/322:2024-04, 6.1.3). `bits` holds N values, one 0 or 1
 * a byte: the first K are given, the other N - K are written, in transmitted order (after the
 * parity reordering, before the group-wise interleaver). */
void ldpc_encode(const struct ldpc_code *code, uint8_t *bits);

#endif
