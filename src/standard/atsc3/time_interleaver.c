/* Time interleavers.
 *
 * Convolutional (ATSC A/322:2024-04 section 7.1.4): row i delays its cells by i times the number of
 * rows R, so that cell i leaves as number i + R ((r0 + i) mod R), and neighbours come to lie up to
 * R (R - 1) cells apart. Memory R (R - 1)/2. Worked number: 1024 rows: 523776 cells, just under
 * 2^19.
 *
 * Hybrid (section 7.1.5): whole code blocks are the columns of a twisted block interleaver; reading
 * goes along diagonals, number i from row i mod Nr and column (row + floor(i/Nr)) mod Nc. Columns
 * that a smaller TI block does not fill stand first and are skipped. Worked example (ATSC A/327
 * Figure 6.5): 4 rows, 3 columns, blocks abcd and efgh: read b g a f d e c h. Inter-subframe blocks
 * then pass delay lines: unit u of N waits u subframes, which holds (N - 1)/2 blocks beside the one
 * that is read (the delay lines' rule from memory). */
#include "standard/atsc3/time_interleaver.h"

#include <strings.h>

#define HTI(n) [HTI_1 + (n)-1] = {"HTI " #n, 0, n}
#define HTI_INTER(n) [HTI_2_INTER + (n)-2] = {"HTI " #n " inter", 0, n}
static const struct {
    const char *name;
    int rows, ti_blocks;
} interleaver_table[INTERLEAVER_COUNT] = {[INTERLEAVER_NONE] = {"none", 0, 0},
                                          [CTI_512] = {"CTI 512", 512, 0},
                                          [CTI_724] = {"CTI 724", 724, 0},
                                          [CTI_887] = {"CTI 887", 887, 0},
                                          [CTI_1024] = {"CTI 1024", 1024, 0},
                                          [CTI_1254_EXTENDED] = {"CTI 1254", 1254, 0},
                                          [CTI_1448_EXTENDED] = {"CTI 1448", 1448, 0},
                                          HTI(1),
                                          HTI(2),
                                          HTI(3),
                                          HTI(4),
                                          HTI(5),
                                          HTI(6),
                                          HTI(7),
                                          HTI(8),
                                          HTI(9),
                                          HTI(10),
                                          HTI(11),
                                          HTI(12),
                                          HTI(13),
                                          HTI(14),
                                          HTI(15),
                                          HTI(16),
                                          HTI_INTER(2),
                                          HTI_INTER(3),
                                          HTI_INTER(4),
                                          HTI_INTER(5),
                                          HTI_INTER(6),
                                          HTI_INTER(7),
                                          HTI_INTER(8),
                                          HTI_INTER(9),
                                          HTI_INTER(10),
                                          HTI_INTER(11),
                                          HTI_INTER(12),
                                          HTI_INTER(13),
                                          HTI_INTER(14),
                                          HTI_INTER(15),
                                          HTI_INTER(16)};

const char *interleaver_name(enum interleaver interleaver)
{
    return (unsigned)interleaver < INTERLEAVER_COUNT ? interleaver_table[interleaver].name : "?";
}

int interleaver_from_name(const char *name)
{
    for (int i = 0; i < INTERLEAVER_COUNT; i++) {
        if (strcasecmp(name, interleaver_table[i].name) == 0) {
            return i;
        }
    }
    return -1;
}

enum interleaver_kind interleaver_kind(enum interleaver interleaver)
{
    return interleaver == INTERLEAVER_NONE ? INTERLEAVES_NOT
           : interleaver < HTI_1           ? INTERLEAVES_ROWS
                                           : INTERLEAVES_BLOCKS;
}

int interleaver_rows(enum interleaver interleaver)
{
    return interleaver_table[interleaver].rows;
}

int interleaver_ti_blocks(enum interleaver interleaver)
{
    return interleaver_table[interleaver].ti_blocks;
}

bool interleaver_is_inter(enum interleaver interleaver)
{
    return interleaver >= HTI_2_INTER;
}

bool interleaver_is_extended(enum interleaver interleaver)
{
    return interleaver == CTI_1254_EXTENDED || interleaver == CTI_1448_EXTENDED;
}

bool interleaver_is_allowed(enum constellation constellation, enum interleaver interleaver)
{
    return !interleaver_is_extended(interleaver) || constellation == QPSK;
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

long hybrid_blocks_most(enum interleaver interleaver, long fec_blocks)
{
    long parts = interleaver_is_inter(interleaver) ? 1 : interleaver_ti_blocks(interleaver);
    return (fec_blocks + parts - 1) / parts;
}

long hybrid_memory_cells(enum interleaver interleaver, long fec_blocks, long block_cells)
{
    long cells = hybrid_blocks_most(interleaver, fec_blocks) * block_cells;
    long units = interleaver_is_inter(interleaver) ? interleaver_ti_blocks(interleaver) : 1;
    return (cells * (units + 1) + 1) / 2;
}

long hybrid_memory_most(enum constellation constellation, bool layered)
{
    return constellation == QPSK && !layered ? 2 * INTERLEAVER_MEMORY_CELLS
                                             : INTERLEAVER_MEMORY_CELLS;
}

enum interleaver hybrid_fitting(enum interleaver wanted, enum constellation constellation,
                                long cells, long block_cells)
{
    int step = interleaver_is_inter(wanted) ? -1 : 1;
    int end = interleaver_is_inter(wanted) ? HTI_2_INTER - 1 : HTI_16 + 1;
    long most = hybrid_memory_most(constellation, false);
    for (int i = (int)wanted; i != end; i += step) {
        if (hybrid_memory_cells((enum interleaver)i, cells / block_cells, block_cells) <= most) {
            return (enum interleaver)i;
        }
    }
    return CTI_1024;
}
