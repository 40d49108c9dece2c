/* Permutations by a feedback register (ETSI EN 300 744 4.3.4.2; EN 302 755 clauses 6.4 and 8.5).
 * The first two words are 0, the third is 1. Worked number: DVB-T's 2K begins 0, 1024, 16, 1025,
 * 128; DVB-T2's 32400 cells begin 0, 16384, 1, 24576, 4096. */
#include "standard/register_order.h"

#include <stddef.h>

static unsigned parity_of(unsigned word)
{
    unsigned parity = 0;
    for (; word; word &= word - 1) {
        parity ^= 1;
    }
    return parity;
}

static unsigned wired(const struct register_order *rule, unsigned word)
{
    unsigned place = 0;
    for (int b = 0; b < rule->bits && rule->wires != NULL; b++) {
        place |= (word >> (rule->bits - 1 - b) & 1u) << rule->wires[b];
    }
    return rule->wires != NULL ? place : word;
}

void register_order_fill(const struct register_order *rule, int cells, uint16_t *order)
{
    unsigned word = 0;
    int q = 0;
    for (unsigned i = 0; i < 2u << rule->bits; i++) {
        if (i == 2) {
            word = 1;
        } else if (i > 2) {
            word = word >> 1 | parity_of(word & rule->feedback) << (rule->bits - 1);
        }
        unsigned place = (i % 2) << rule->bits | wired(rule, word);
        if (place < (unsigned)cells) {
            order[q++] = (uint16_t)place;
        }
    }
}
