#ifndef STANDARD_ATSC3_FRAME_H
#define STANDARD_ATSC3_FRAME_H

#include "standard/atsc3/mode.h"

/* Cells of symbols, and the project's reference frame: bootstrap, preamble with the subframe's FFT
 * size and guard interval, one subframe with one PLP, as many symbols as fit the asked length.
 * ATSC A/322:2024-04 sections 6.5, 7.2, 8, Annex F; A/321 for the bootstrap. */

/* All counts at once. They follow from FFT size, guard interval, pilots, boost and reduction alone,
 * so who walks through many codes and constellations computes them once and hands them on. */
struct cell_counts {
    int carriers;
    int data;           /* data cells of a data symbol (Tables 7.3, 7.4) */
    int boundary_total; /* of a subframe boundary symbol */
    int boundary;       /* its active ones (Annex F) */
    int first_preamble; /* Table 7.2, c = 4 */
    int preamble;       /* Table 7.2, further preamble symbols */
};
struct cell_counts cells_count(const struct mode *mode);

int cells_data(const struct mode *mode); /* data cells of a data symbol (Tables 7.3, 7.4) */
int cells_boundary_total(const struct mode *mode); /* of a subframe boundary symbol */
int cells_boundary(const struct mode *mode);       /* its active ones (Annex F) */
int cells_first_preamble(const struct mode *mode); /* Table 7.2, c = 4 */
int cells_preamble(const struct mode *mode);       /* Table 7.2, further preamble symbols */

int cells_l1_basic(int l1_basic_mode);                       /* Table 6.17, modes 1..7 */
int cells_l1_detail(int l1_detail_mode, int l1_detail_bits); /* section 6.5.2.8 */

struct frame {
    double duration_ms;   /* bootstrap and whole symbols, at most the asked length */
    int preamble_symbols; /* at least 1 */
    int data_symbols;     /* the subframe's symbols, boundary ones included */
    int boundary_symbols; /* 1 or 2 of them */
    int preamble_payload; /* preamble cells left after L1 */
    long cells;           /* payload cells in a frame */
    double cell_rate_hz;  /* payload cells a second */
    double plp_mbps;      /* after the outer code is taken off */
    double net_mbps;      /* after baseband packet headers */
};

/* STATUS_ILLEGAL when not even one data symbol fits; the mode must be legal. */
enum status frame_build(const struct mode *mode, struct frame *frame, struct fault *fault);

/* The same from counts made before by cells_count for the mode's geometry. */
enum status frame_build_counted(const struct mode *mode, const struct cell_counts *counts,
                                struct frame *frame, struct fault *fault);

/* A baseband packet's header, one packet a code block: ATSC A/322:2024-04 section 5.2. */
#define PACKET_HEADER_BITS 16

/* Payload bits of one code block: kbch, K - 32 with CRC, K without outer code (Tables 6.5-6.7). */
int payload_bits(enum code_length length, int rate_15ths, enum outer_code outer);

/* Time that a cell spends spread by the convolutional time interleaver, in ms at the frame's cell
 * rate: rows * (rows - 1) cells (section 7.1.4); 0 without. And its memory in cells. */
double interleaver_span_ms(const struct mode *mode, const struct frame *frame);
long interleaver_memory_cells(enum interleaver interleaver);

#endif
