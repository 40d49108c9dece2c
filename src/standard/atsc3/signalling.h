#ifndef STANDARD_ATSC3_SIGNALLING_H
#define STANDARD_ATSC3_SIGNALLING_H

#include "standard/atsc3/transmission.h"

/* What the preamble has to tell of a transmission, and how a receiver learns of the preamble. */

/* Bits of L1-Detail with its cyclic check, before they are filled up to bytes; and the length that
 * is sent: whole bytes, at least 25 (A/322:2024-04 Tables 9.2 and 9.8). */
int signalling_detail_count(const struct transmission *transmission);
int signalling_detail_bits(const struct transmission *transmission);

/* What the preamble is made of: its FFT, guard interval and reduction, by choice or as the first
 * subframe; pilots as the first subframe's. */
struct waveform signalling_preamble(const struct transmission *transmission);

/* The bootstrap's 8 bits that tell all this (Table H.1.1): -1 where none does, as with the modes 6
 * and 7 of L1-Basic. */
int signalling_structure(const struct transmission *transmission);

/* What a value 0..SIGNALLING_STRUCTURES-1 tells; those above are reserved. */
#define SIGNALLING_STRUCTURES 160
struct preamble_structure {
    enum fft_size fft;
    enum guard guard;
    int dx; /* of the preamble's pilots */
    int l1_basic_mode;
};
struct preamble_structure signalling_structure_of(int value);

#endif
