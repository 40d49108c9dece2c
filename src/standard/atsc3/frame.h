#ifndef STANDARD_ATSC3_FRAME_H
#define STANDARD_ATSC3_FRAME_H

#include "standard/atsc3/cells.h"
#include "standard/atsc3/transmission.h"

/* What follows from a transmission: symbols, cells, durations, and what a PLP carries. The
 * project's reference frame: bootstrap, preamble with the subframe's FFT size and guard interval,
 * the subframe, as many symbols as fit the asked length. ATSC A/322:2024-04 sections 6.5, 7.2, 8;
 * A/321 for the bootstrap. */

struct frame {
    double duration_ms;   /* bootstrap and whole symbols, at most the asked length */
    int preamble_symbols; /* at least 1 */
    int data_symbols;     /* the subframe's symbols, boundary ones included */
    int boundary_symbols; /* 1 or 2 of them */
    int preamble_payload; /* preamble cells left after L1 */
    long cells;           /* payload cells in a frame */
    double cell_rate_hz;  /* payload cells a second */
};

/* STATUS_ILLEGAL when not even one data symbol fits; the transmission must be legal. */
enum status frame_build(const struct transmission *transmission, struct frame *frame,
                        struct fault *fault);

/* The same from counts made before by cells_count for the subframe's waveform. */
enum status frame_build_counted(const struct transmission *transmission,
                                const struct cell_counts *counts, struct frame *frame,
                                struct fault *fault);

/* What a code carries in so many cells a second. */
struct carried {
    double plp_mbps; /* after the outer code is taken off */
    double net_mbps; /* after baseband packet headers */
};
struct carried code_carried(const struct code *code, double cell_rate_hz);

#endif
