#ifndef STANDARD_REGISTER_ORDER_H
#define STANDARD_REGISTER_ORDER_H

#include <stdint.h>

/* The permutations that DVB's interleavers are made of: a feedback register runs through all of its
 * words, its bits, put elsewhere by some, are the lower bits of a place whose top bit toggles, and
 * places beyond the last cell are left out. */
struct register_order {
    int bits;             /* of the register */
    unsigned feedback;    /* bits of a word that make the next one's top bit */
    const uint8_t *wires; /* where each bit, from the top one down, goes; NULL: where it is */
};

/* Fills order[q] for q = 0 to cells - 1, every place once; at most 2 << bits cells. */
void register_order_fill(const struct register_order *rule, int cells, uint16_t *order);

#endif
