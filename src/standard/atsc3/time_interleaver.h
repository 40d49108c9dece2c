#ifndef STANDARD_ATSC3_TIME_INTERLEAVER_H
#define STANDARD_ATSC3_TIME_INTERLEAVER_H

#include <stdbool.h>

#include "standard/atsc3/code.h"

/* The convolutional time interleaver, ATSC A/322:2024-04 section 7.1.4. */

enum interleaver { /* depths in rows; EXTENDED is for QPSK only */
                   INTERLEAVER_NONE,
                   CTI_512,
                   CTI_724,
                   CTI_887,
                   CTI_1024,
                   CTI_1254_EXTENDED,
                   CTI_1448_EXTENDED,
                   INTERLEAVER_COUNT
};

/* "CTI 1024", "none"; the other way -1 where no name fits. */
const char *interleaver_name(enum interleaver interleaver);
int interleaver_from_name(const char *name);

int interleaver_rows(enum interleaver interleaver); /* 0 for none */
bool interleaver_is_allowed(enum constellation constellation, enum interleaver interleaver);

/* Time that neighbouring cells are spread over, in ms at a rate of cells: rows * (rows - 1) cells;
 * 0 without. And the memory in cells. */
double interleaver_span_ms(enum interleaver interleaver, double cell_rate_hz);
long interleaver_memory_cells(enum interleaver interleaver);

#endif
