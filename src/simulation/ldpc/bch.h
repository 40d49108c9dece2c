#ifndef SIMULATION_LDPC_BCH_H
#define SIMULATION_LDPC_BCH_H

#include <stdint.h>

/* The outer BCH code, ATSC A/322:2024-04 section 6.1.2 and ETSI EN 302 755 V1.4.1, 6.1.1: corrects
 * 12 (or 10) bits of the LDPC code's information bits. Encoding is real; decoding counts the wrong
 * bits against 12, which is what a bounded-distance decoder reaches (one that miscorrects would
 * report a wrong word as good; that happens to less than 1 in 12! of the words with more errors and
 * is not modelled). */

#define BCH_CORRECTABLE 12 /* at most */

struct bch {
    int code_bits;    /* = information bits of the LDPC code */
    int payload_bits; /* kbch of Tables 6.6 and 6.7 */
    int correctable;
    /* Of byte x^parity and of byte x^(parity + 8), highest power first, left-aligned. */
    uint64_t remainder[2][256][3];
};

/* For an LDPC code word of 64800 or 16200 bits, `code_bits` of them information. */
void bch_build(struct bch *bch, int word_bits, int code_bits, int correctable);

/* `bits`: one bit a byte, the first payload_bits given, the parity behind them filled in. */
void bch_encode(const struct bch *bch, uint8_t *bits);

/* The generator polynomial: coefficient[i] of x^i, room for 193. Returns its degree. */
int bch_generator(int word_bits, int correctable, uint8_t *coefficients);

/* Bits of the word that are wrong. */
int bch_count_errors(const struct bch *bch, const uint8_t *sent, const uint8_t *received);

#endif
