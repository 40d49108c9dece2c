#ifndef STANDARD_DVBT_INNER_H
#define STANDARD_DVBT_INNER_H

#include <stdint.h>

#include "standard/dvbt/signal.h"

/* Inner code and inner interleaver, ETSI EN 300 744 4.3.3 and 4.3.4. */

#define DVBT_CONSTRAINT 7
#define DVBT_STATES 64
#define DVBT_X_OCTAL 0171 /* G1 */
#define DVBT_Y_OCTAL 0133 /* G2 */

/* Table 2: bits sent of X and Y, by step of a period, sent in the order X1 Y1 X2 Y2 ... */
struct dvbt_puncture {
    int period;
    uint8_t x, y; /* bit k: sent in step k */
};
struct dvbt_puncture dvbt_puncture(enum dvbt_rate rate);

/* Streams of the bits of a cell: bit k of the coded stream goes to stream streams[k mod bits]. */
struct dvbt_demux {
    int bits;
    uint8_t streams[6];
};
struct dvbt_demux dvbt_demux(const struct dvbt *mode);

#define DVBT_BIT_BLOCK 126
/* What stream e's place w of a block is read from. */
int dvbt_bit_from(int stream, int w);

/* Symbol interleaver: H(q) for all cells of a symbol. */
void dvbt_symbol_order(enum dvbt_fft fft, uint16_t *order);

/* Levels of an axis of unit cell power by its bits, the first the most significant: 2, 4, 8 of
 * them. Even bits of a cell are the real axis's. */
#define DVBT_LEVELS_MAX 8
int dvbt_levels(const struct dvbt *mode, double *levels);

/* Outer code and interleaver (4.3.1, 4.3.2). */
#define DVBT_RS_BYTES 204
#define DVBT_RS_CORRECTABLE 8
#define DVBT_OUTER_BRANCHES 12
#define DVBT_OUTER_UNIT 17

#endif
