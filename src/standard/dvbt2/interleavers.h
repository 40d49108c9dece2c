#ifndef STANDARD_DVBT2_INTERLEAVERS_H
#define STANDARD_DVBT2_INTERLEAVERS_H

#include "standard/dvbt2/frame.h"

/* Where the cells of a code block of DVB-T2 are sent: cell, time and frequency interleaver, ETSI EN
 * 302 755 V1.4.1 clauses 6.4, 6.5 and 8.5. */

/* The first block's permutation of a code block of so many cells: 2025 to 32400, those that codes
 * have; and by how much block r of an interleaving block is shifted. Cell q goes to place
 * (order[q] + shift) mod cells. */
void t2_cell_order(int cells, uint16_t *order);
int t2_cell_shift(int cells, int r);

/* Where cell c of block r goes among the cells of an interleaving block of so many code blocks:
 * each is written to five columns, and all are read by rows. */
long t2_time_place(int cells, int blocks, int r, int c);

/* The permutation of a symbol's cells, of even and of odd symbols: cell p goes to order[p]. */
void t2_symbol_order(enum t2_fft fft, bool odd, int cells, uint16_t *order);

/* A symbol of the frame, counted from the first P2 symbol, and a carrier of it. */
struct t2_place {
    int symbol, carrier;
};

/* Where the PLPs' cells of a frame lie, frame->cells of them; those of P2 and closing symbols,
 * whose pilots are others, are put evenly over the carriers. The frame was built of the waveform.
 */
void t2_frame_places(const struct t2_waveform *waveform, const struct t2_frame *frame,
                     struct t2_place *places);

/* Which of its PLP's cells are those of a code block, 0 to slot->blocks - 1. */
#define T2_CELLS_MAX 32400
void t2_block_places(const struct t2_code *code, const struct t2_slot *slot, long block, long *at);

#endif
