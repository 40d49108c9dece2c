#ifndef STANDARD_ATSC3_BIT_INTERLEAVER_H
#define STANDARD_ATSC3_BIT_INTERLEAVER_H

#include <stdint.h>

#include "standard/atsc3/code.h"

/* The bit interleaver between code and constellation, ATSC A/322:2024-04 section 6.2 and Annex B:
 * groups of 360 bits are permuted, then a block interleaver deals them out to the bits of cells.
 * The parity is expected in its transmitted order (see standard/ldpc.h). */

#define INTERLEAVER_GROUP_BITS 360
#define CODE_BITS_MAX 64800

/* Block interleaver of Tables 6.8-6.11. Both kinds have as many columns as a cell has bits. */
enum block_interleaver {
    BLOCK_A, /* written column by column, part 2 after part 1, read row by row */
    BLOCK_B  /* one group a column at a time, read row by row; part 2 passes in order */
};

struct bit_interleaver {
    enum block_interleaver block;
    int columns;           /* bits per cell */
    int groups;            /* of 360 bits in a code word */
    int part_1_rows;       /* rows of columns bits each; rows of all rounds together for type B */
    int part_2_bits;       /* what is left */
    const uint8_t *source; /* source[j]: the input group that becomes group j; constant data */
};

/* The interleaver of a pair of code and constellation, which must be an allowed one. */
struct bit_interleaver bit_interleaver_of(enum code_length length, enum constellation constellation,
                                          int rate_15ths);

/* order[i] = the code bit that is sent as i-th bit: cell i / columns, bit y(i mod columns).
 * `order` has room for the code word's bits. */
void bit_interleaver_fill(const struct bit_interleaver *interleaver, uint16_t *order);

#endif
