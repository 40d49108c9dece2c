#ifndef STANDARD_LDPC_H
#define STANDARD_LDPC_H

#include <stddef.h>
#include <stdint.h>

#include "base/status.h"

/* Low-density parity-check codes of any system in their quasi-cyclic form: with the parity bits in
 * transmitted order (before a group-wise interleaver) the parity-check matrix falls into squares of
 * 360 by 360, each empty or a cyclic shift of the identity (or a sum of up to three, in some
 * codes). */

/* The parity addresses of a code as its document prints them. */
enum ldpc_structure { LDPC_STRUCTURE_A, LDPC_STRUCTURE_B };

struct ldpc_table {
    enum ldpc_structure structure;
    int information_bits;      /* K */
    int accumulated_checks;    /* M1 of structure A; all M checks of structure B */
    size_t words;              /* length of `addresses` */
    const uint16_t *addresses; /* row after row: how many addresses, then the addresses */
};

#define LDPC_LANES 360

/* Check lane s of the edge's block row joins bit lane (s + shift) mod 360 of block column
 * `column`, that is bit 360 * column + (s + shift) mod 360 of the codeword. */
struct ldpc_edge {
    uint16_t column;
    uint16_t shift; /* 0..359 */
};

struct ldpc_code {
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

/* Builds the code of `bits` bits from its table. STATUS_OUT_OF_RANGE where there is none (NULL),
 * STATUS_NO_MEMORY; `code` is then empty. The owner calls ldpc_code_free. */
enum status ldpc_code_make(struct ldpc_code *code, const struct ldpc_table *table, int bits);

/* Frees what ldpc_code_make allocated and empties `code`; harmless on an empty one. */
void ldpc_code_free(struct ldpc_code *code);

#endif
