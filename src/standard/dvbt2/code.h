#ifndef STANDARD_DVBT2_CODE_H
#define STANDARD_DVBT2_CODE_H

#include <stdbool.h>
#include <stdint.h>

#include "standard/ldpc.h"

/* Code and constellation of DVB-T2, ETSI EN 302 755 V1.4.1 clause 6. Rates of the short code are
 * labels: "1/2" is 4/9. */

enum t2_length { T2_64800, T2_16200, T2_LENGTH_COUNT };
enum t2_rate { /* those of a PLP first; 1/4 is L1-pre's, 1/3 and 2/5 are T2-Lite's */
               T2_1_2,
               T2_3_5,
               T2_2_3,
               T2_3_4,
               T2_4_5,
               T2_5_6,
               T2_PLP_RATES,
               T2_1_4 = T2_PLP_RATES,
               T2_1_3,
               T2_2_5,
               T2_RATE_COUNT
};
enum t2_constellation { T2_QPSK, T2_16QAM, T2_64QAM, T2_256QAM, T2_CONSTELLATION_COUNT };

struct t2_code {
    enum t2_length length;
    enum t2_rate rate;
    enum t2_constellation constellation;
    bool rotation;
};

/* Names as in profiles: "64800", "2/3", "256QAM"; "?" for none. */
const char *t2_length_name(enum t2_length length);
const char *t2_rate_name(enum t2_rate rate);
const char *t2_constellation_name(enum t2_constellation constellation);

int t2_length_bits(enum t2_length length);
int t2_constellation_bits(enum t2_constellation constellation); /* a cell: 2, 4, 6, 8 */
int t2_block_cells(const struct t2_code *code);                 /* that one code word takes */

/* Tables 6 and 7: bits of a code word that are information of the LDPC code, and of the BCH code;
 * 0: there is no such code. */
int t2_ldpc_bits(enum t2_length length, enum t2_rate rate);
int t2_bch_bits(enum t2_length length, enum t2_rate rate);
int t2_bch_correctable(enum t2_length length, enum t2_rate rate); /* 10 or 12 */
double t2_true_rate(enum t2_length length, enum t2_rate rate);    /* LDPC information over length */

/* Annexes A and B; NULL: none. */
const struct ldpc_table *t2_ldpc_table(enum t2_length length, enum t2_rate rate);

/* ---- Constellations: tables 14 to 16. Products of the same levels on both axes. ---- */

#define T2_LEVELS_MAX 16
/* The levels of an axis for a unit mean power of the cell, indexed by the axis's bits, the first
 * the most significant; returns how many. Even bits of a cell are the real axis's. */
int t2_levels(enum t2_constellation constellation, double *levels);
double t2_rotation_degrees(enum t2_constellation constellation);

/* ---- Bit interleaver and demultiplexer: clauses 6.1.3 and 6.2.1. ---- */

/* order[i], i = cell * bits + y: which bit of the code word is bit y of a cell, the code word's
 * parity in its quasi-cyclic order (standard/ldpc.h). Room for the length. */
void t2_bit_order(const struct t2_code *code, uint16_t *order);

#endif
