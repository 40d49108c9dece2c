#ifndef STANDARD_ATSC3_FRAME_H
#define STANDARD_ATSC3_FRAME_H

#include "standard/atsc3/cells.h"
#include "standard/atsc3/transmission.h"
#include "standard/ofdm_grid.h"

/* What follows from a transmission: symbols, cells, durations, where each PLP lies, and what it
 * carries. A frame is the bootstrap, the preamble, and the subframes one after the other. ATSC
 * A/322:2024-04 sections 6.5, 7.2, 8; A/321 for the bootstrap. */

#define FRAME_UNIT_MS 5.0 /* what a frame aligned to time lasts a multiple of */

/* A subframe's symbols and its list of data cells. */
struct pool {
    struct cell_counts counts;
    int symbols, boundary_symbols;
    double start_ms, duration_ms; /* in the frame */
    long cells;                   /* preamble cells left after L1 included, in the first */
    long dummies;                 /* that no PLP uses */
};

/* Where a PLP lies in its subframe's list. */
struct slot {
    int subframe, core; /* core: the PLP whose cells it uses, itself if it is one */
    long start, cells;
    int subslices;       /* 1: in one piece */
    long subslice_cells; /* of all but the last */
    long interval;       /* from start to start */
    double blocks;       /* code blocks in it; whole with a hybrid interleaver */
    double cell_rate_hz; /* over the whole frame */
    double on_air_ms;    /* from its first to its last cell */
};

struct frame {
    double duration_ms;   /* bootstrap and whole symbols, or the time asked for */
    int preamble_symbols; /* at least 1 */
    int l1_detail_bits;
    int preamble_payload; /* preamble cells left after L1 */
    int data_symbols;     /* the first subframe's symbols, boundary ones included */
    int boundary_symbols; /* of them */
    int excess_samples;   /* that alignment to time adds to every guard interval */
    long cells;           /* payload cells of all subframes, dummies included */
    double cell_rate_hz;  /* payload cells a second */
    struct pool pools[SUBFRAMES_MAX];
    struct slot slots[PLPS_MAX];
};

/* STATUS_ILLEGAL where something finds no room or PLPs overlap; the fault names the key. The
 * transmission must be legal. Large: keep it off small stacks. */
enum status frame_build(const struct transmission *transmission, struct frame *frame,
                        struct fault *fault);

/* A subframe's symbols as its receivers see them: the guard interval with what alignment to time
 * adds to it, less what MISO's filters use up. */
struct ofdm_grid frame_grid(const struct transmission *transmission, const struct frame *frame,
                            int subframe);

/* The part of the carriers, from the lowest on, 0 to 1, on which a PLP's cells lie: all of them but
 * where its subframe does without the frequency interleaver and each of its subslices lies on the
 * same ones, less than a symbol long. */
struct carrier_part {
    double from, to;
};
struct carrier_part plp_carriers(const struct transmission *transmission, const struct frame *frame,
                                 int plp);

/* Cells of a waveform's symbols, less those that are reserved in this transmission. */
struct cell_counts frame_counts(const struct transmission *transmission,
                                const struct waveform *waveform);

/* What a code carries in so many cells a second. */
struct carried {
    double plp_mbps; /* after the outer code is taken off */
    double net_mbps; /* after baseband packet headers */
};
struct carried code_carried(const struct code *code, double cell_rate_hz);

/* The same of a PLP, both channels of a bonded one together. */
struct carried plp_carried(const struct transmission *transmission, const struct frame *frame,
                           int plp);

/* What its time interleaver does. */
struct interleaving {
    double span_ms;     /* that the cells of a code block are spread over */
    double latency_ms;  /* from sender to receiver, the code block included */
    double start_up_ms; /* at worst, from switching on to the first code block */
    long memory_cells, memory_most;
};
struct interleaving plp_interleaving(const struct transmission *transmission,
                                     const struct frame *frame, int plp);

#endif
