/* The convolutional time interleaver: row i delays its cells by i times the number of rows, so that
 * neighbours come to lie up to rows * (rows - 1) cells apart (ATSC A/322:2024-04 section 7.1.4). */
#include "standard/atsc3/time_interleaver.h"

#include "standard/atsc3/names.h"

static const struct {
    const char *name;
    int rows;
} interleaver_table[INTERLEAVER_COUNT] = {[INTERLEAVER_NONE] = {"none", 0},
                                          [CTI_512] = {"CTI 512", 512},
                                          [CTI_724] = {"CTI 724", 724},
                                          [CTI_887] = {"CTI 887", 887},
                                          [CTI_1024] = {"CTI 1024", 1024},
                                          [CTI_1254_EXTENDED] = {"CTI 1254", 1254},
                                          [CTI_1448_EXTENDED] = {"CTI 1448", 1448}};

#define INTERLEAVER_NAME_OF(i) interleaver_table[i].name
NAME_FUNCTIONS(interleaver, interleaver, INTERLEAVER_COUNT, INTERLEAVER_NAME_OF)

int interleaver_rows(enum interleaver interleaver)
{
    return interleaver_table[interleaver].rows;
}

bool interleaver_is_allowed(enum constellation constellation, enum interleaver interleaver)
{
    return interleaver < CTI_1254_EXTENDED || constellation == QPSK;
}

double interleaver_span_ms(enum interleaver interleaver, double cell_rate_hz)
{
    double rows = interleaver_rows(interleaver);
    return rows > 0 ? rows * (rows - 1) / cell_rate_hz * 1e3 : 0.0;
}

long interleaver_memory_cells(enum interleaver interleaver)
{
    long rows = interleaver_rows(interleaver);
    return rows > 0 ? rows * (rows - 1) / 2 : 0;
}
