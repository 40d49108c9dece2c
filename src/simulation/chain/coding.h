#ifndef SIMULATION_CHAIN_CODING_H
#define SIMULATION_CHAIN_CODING_H

#include <stdbool.h>
#include <stdint.h>

#include "base/complex.h"
#include "standard/atsc3/code.h"
#include "standard/dvbt2/code.h"

/* How a system codes and maps, as the chain sees it: an LDPC code word of so many bits, an outer
 * BCH code, an order of bits, and points. */

struct coding {
    const struct ldpc_table *table; /* NULL: the system has no such code */
    int bits;                       /* of a code word */
    int correctable;                /* by the outer code */
    int cell_bits;
    /* Rotated points whose imaginary parts go a cell later than their real ones, in a circle
     * within the code word: so the two meet fades of their own. */
    bool axes_apart;
    /* Fills order[cell * cell_bits + y]: which bit of the code word is bit y of the cell. */
    void (*fill_order)(const struct coding *coding, uint16_t *order);
    /* Fills the points by their bits, y0 the most significant; returns whether they are a product
     * of the same levels on both axes. */
    int (*fill_points)(const struct coding *coding, double complex *points);
    union {
        struct code atsc3;
        struct t2_code t2;
    } of;
};

struct coding coding_of_atsc3(const struct code *code);
struct coding coding_of_t2(const struct t2_code *code);

#endif
