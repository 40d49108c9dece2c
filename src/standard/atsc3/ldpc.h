#ifndef STANDARD_ATSC3_LDPC_H
#define STANDARD_ATSC3_LDPC_H

#include <stdint.h>

#include "base/status.h"
#include "standard/atsc3/code.h"
#include "standard/atsc3/table/ldpc.h"

/* The low-density parity-check codes of ATSC A/322:2024-04, 6.1.3 and Annex A, in their
 * quasi-cyclic form: with the parity bits in transmitted order (before the group-wise interleaver)
 * the parity-check matrix falls into squares of 360 by 360, each empty or a cyclic shift of the
 * identity (or a sum of up to three, in some codes of 16200 bits). */

#define LDPC_LANES 360

/* Check lane s of the edge's block row joins bit lane (s + shift) mod 360 of block column
 * `column`, that is bit 360 * column + (s + shift) mod 360 of the codeword. */
struct ldpc_edge {
    uint16_t column;
    uint16_t shift; /* 0..359 */
};

struct ldpc_code {
    enum code_length length;
    int rate_15ths;
    enum ldpc_structure structure;
    int bits;             /* N */
    int information_bits; /* K, the first bits of a codeword */
    int checks;           /* M = N - K */
    int block_columns;    /* N / 360 */
    int block_rows;       /* M / 360 */
    /* Block rows 0..accumulated_rows-1 form an accumulator (structure B: all of them, A: M1 / 360);
     * the parity bits of the others are plain sums. Block row t makes the parity bits of block
     * column K / 360 + t. */
    int accumulated_rows;
    int edge_count;
    int *row_start;          /* block_rows + 1 places in `edges` */
    struct ldpc_edge *edges; /* block row by block row, columns ascending */
    /* The edge of block row 0 whose lane 0 does not exist: the accumulator's first check has no
     * predecessor. */
    int open_edge;
};

/* Builds the code of a length and rate (2..13 fifteenths). STATUS_OUT_OF_RANGE for another rate,
 * STATUS_NO_MEMORY; `code` is then empty. The owner calls ldpc_code_free. */
enum status ldpc_code_build(struct ldpc_code *code, enum code_length length, int rate_15ths);

/* Frees what ldpc_code_build allocated and empties `code`; harmless on an empty one. */
void ldpc_code_free(struct ldpc_code *code);

#endif
