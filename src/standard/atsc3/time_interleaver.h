#ifndef STANDARD_ATSC3_TIME_INTERLEAVER_H
#define STANDARD_ATSC3_TIME_INTERLEAVER_H

#include <stdbool.h>

#include "standard/atsc3/code.h"

/* Time interleavers of ATSC A/322:2024-04 section 7.1: the convolutional one (CTI) of so many rows,
 * and the hybrid one (HTI) that gathers whole code blocks in so many blocks a subframe, or spreads
 * each subframe's block over so many subframes (inter). */

#define TI_BLOCKS_MAX 16 /* L1D_plp_HTI_num_ti_blocks has four bits */

enum interleaver { /* depths in rows; EXTENDED is for QPSK only */
                   INTERLEAVER_NONE,
                   CTI_512,
                   CTI_724,
                   CTI_887,
                   CTI_1024,
                   CTI_1254_EXTENDED,
                   CTI_1448_EXTENDED,
                   HTI_1, /* and on to HTI_16 */
                   HTI_16 = HTI_1 + TI_BLOCKS_MAX - 1,
                   HTI_2_INTER, /* and on to HTI_16_INTER */
                   HTI_16_INTER = HTI_2_INTER + TI_BLOCKS_MAX - 2,
                   INTERLEAVER_COUNT
};
enum interleaver_kind { INTERLEAVES_NOT, INTERLEAVES_ROWS, INTERLEAVES_BLOCKS };

/* "CTI 1024", "HTI 4", "HTI 4 inter", "none"; the other way -1 where no name fits. */
const char *interleaver_name(enum interleaver interleaver);
int interleaver_from_name(const char *name);

enum interleaver_kind interleaver_kind(enum interleaver interleaver);
int interleaver_rows(enum interleaver interleaver);      /* 0 where it is not convolutional */
int interleaver_ti_blocks(enum interleaver interleaver); /* 0 where it is not hybrid; of an inter
                                                            one the subframes of a block */
bool interleaver_is_inter(enum interleaver interleaver);
bool interleaver_is_extended(enum interleaver interleaver);
bool interleaver_is_allowed(enum constellation constellation, enum interleaver interleaver);

/* The convolutional one: time that neighbouring cells are spread over, in ms at a rate of cells:
 * rows * (rows - 1) cells, which is also how long it delays a cell together with its inverse; 0
 * where it is not convolutional. And the memory in cells. */
double interleaver_span_ms(enum interleaver interleaver, double cell_rate_hz);
long interleaver_memory_cells(enum interleaver interleaver);

/* The hybrid one on so many code blocks a subframe, each of so many cells. */
long hybrid_blocks_most(enum interleaver interleaver,
                        long fec_blocks); /* in its largest TI block */
long hybrid_memory_cells(enum interleaver interleaver, long fec_blocks, long block_cells);

/* Cells that all PLPs of one product may keep; twice as many where all is QPSK without layers. */
#define INTERLEAVER_MEMORY_CELLS (1L << 19)

long hybrid_memory_most(enum constellation constellation, bool layered);
/* The hybrid one nearest to the one asked for whose memory suffices for a subframe's cells: more
 * blocks a subframe, or fewer subframes; CTI_1024 where none does. */
enum interleaver hybrid_fitting(enum interleaver wanted, enum constellation constellation,
                                long cells, long block_cells);

#endif
