/* Cell, time and frequency interleaver of DVB-T2, ETSI EN 302 755 V1.4.1.
 *
 * Cell interleaver (6.4): a permutation by a feedback register, shifted for each code block by
 * another amount: the bits of a counter in reverse, what is no cell left out. Time interleaver
 * (6.5): each code block is written to five columns of a fifth of its cells; all blocks of an
 * interleaving block are read row by row. Frequency interleaver (8.5): a permutation of each
 * symbol's cells, one for even and one for odd symbols; 32K takes one and its inverse.
 *
 * So the parts of a rotated cell, sent one place apart before the cell interleaver, end up on
 * carriers and in symbols that have nothing to do with each other
 * (tests/standard/dvbt2/test_interleavers.c). Worked number: of 10800 cells the first blocks are
 * shifted by 0, 8192, 4096, 2048, 10240, 6144, 1024, 9216. */
#include "standard/dvbt2/interleavers.h"

#include <assert.h>

#include "standard/register_order.h"

/* 6.4 and table 53, by the bits of the register, 9 to 14. */
#define REGISTER_BITS_MIN 9
static const unsigned feedback[] = {0x11, 0x9, 0x5, 0x53, 0xA33, 0x1007};

/* Table 53: where the register's bits go, of even and of odd symbols. */
static const uint8_t wires[T2_FFT_COUNT][2][14] = {
    [T2_1K] = {{4, 3, 2, 1, 0, 5, 6, 7, 8}, {3, 2, 5, 0, 1, 4, 7, 8, 6}},
    [T2_2K] = {{0, 7, 5, 1, 8, 2, 6, 9, 3, 4}, {3, 2, 7, 0, 1, 5, 8, 4, 9, 6}},
    [T2_4K] = {{7, 10, 5, 8, 1, 2, 4, 9, 0, 3, 6}, {6, 2, 7, 10, 8, 0, 3, 4, 1, 9, 5}},
    [T2_8K] = {{5, 11, 3, 0, 10, 8, 6, 9, 2, 4, 1, 7}, {8, 10, 7, 6, 0, 5, 2, 1, 3, 9, 4, 11}},
    [T2_16K] = {{8, 4, 3, 2, 0, 11, 1, 5, 12, 10, 6, 7, 9},
                {7, 9, 5, 3, 11, 1, 4, 0, 2, 12, 10, 8, 6}},
    [T2_32K] = {{6, 5, 0, 10, 8, 1, 11, 12, 2, 9, 4, 3, 13, 7}},
};

static int bits_for(int places)
{
    int bits = 0;
    while (1 << bits < places) {
        bits++;
    }
    return bits;
}

void t2_cell_order(int cells, uint16_t *order)
{
    int bits = bits_for(cells) - 1;
    const struct register_order rule = {bits, feedback[bits - REGISTER_BITS_MIN], NULL};
    register_order_fill(&rule, cells, order);
}

int t2_cell_shift(int cells, int r)
{
    int bits = bits_for(cells), shift = cells;
    for (int counter = 0; r >= 0; counter++) {
        shift = 0;
        for (int b = 0; b < bits; b++) {
            shift |= (counter >> b & 1) << (bits - 1 - b);
        }
        r -= shift < cells;
    }
    return shift;
}

#define COLUMNS 5 /* of a code block */

long t2_time_place(int cells, int blocks, int r, int c)
{
    int rows = cells / COLUMNS;
    assert(rows > 0);
    return (long)(c % rows) * COLUMNS * blocks + (long)r * COLUMNS + c / rows;
}

void t2_symbol_order(enum t2_fft fft, bool odd, int cells, uint16_t *order)
{
    int bits = bits_for(t2_fft_points(fft)) - 1;
    bool inverse = odd && fft == T2_32K;
    const struct register_order rule = {bits, feedback[bits - REGISTER_BITS_MIN],
                                        wires[fft][odd && !inverse]};
    uint16_t even[T2_CARRIERS_MAX] = {0};
    register_order_fill(&rule, cells, inverse ? even : order);
    for (int p = 0; p < cells && inverse; p++) {
        order[even[p]] = (uint16_t)p;
    }
}

/* ---- A frame's symbols. ---- */

/* Cells of a symbol: how many its interleaver permutes, where the first of a PLP is and how many
 * there are. */
struct symbol {
    int permuted, first, cells;
};

static struct symbol symbol_of(const struct t2_waveform *waveform, const struct t2_frame *frame,
                               int l1_cells, int l)
{
    if (l < frame->p2_symbols) {
        int all = t2_p2_cells(waveform->fft), signalling = l1_cells / frame->p2_symbols;
        return (struct symbol){all, signalling, all - signalling};
    }
    if (l == frame->symbols - 1 && t2_has_closing(waveform)) {
        return (struct symbol){t2_closing_cells_all(waveform), 0, t2_closing_cells(waveform)};
    }
    return (struct symbol){t2_data_cells(waveform), 0, t2_data_cells(waveform)};
}

/* The carriers of a symbol's cells in the order in which the PLP's come. */
static void fill_carriers(const struct t2_waveform *waveform, int l, const struct symbol *symbol,
                          uint16_t *carriers)
{
    unsigned char kinds[T2_CARRIERS_MAX];
    uint16_t order[T2_CARRIERS_MAX] = {0}, cells[T2_CARRIERS_MAX] = {0};
    int count = t2_map(waveform, l, kinds), found = 0;
    for (int k = 0; k < count; k++) {
        if (kinds[k] == T2_CELL) {
            cells[found++] = (uint16_t)k;
        }
    }
    t2_symbol_order(waveform->fft, l % 2 != 0, symbol->permuted, order);
    for (int p = 0; p < symbol->cells; p++) {
        int cell = order[symbol->first + p];
        carriers[p] = found == symbol->permuted
                          ? cells[cell]
                          : (uint16_t)((2L * cell + 1) * count / (2L * symbol->permuted));
    }
}

void t2_frame_places(const struct t2_waveform *waveform, const struct t2_frame *frame,
                     struct t2_place *places)
{
    uint16_t carriers[T2_CARRIERS_MAX];
    long at = 0, signalling = -frame->cells;
    for (int l = 0; l < frame->symbols; l++) { /* what is not the PLPs' is L1's */
        signalling += symbol_of(waveform, frame, 0, l).cells;
    }
    for (int l = 0; l < frame->symbols && at < frame->cells; l++) {
        struct symbol symbol = symbol_of(waveform, frame, (int)signalling, l);
        fill_carriers(waveform, l, &symbol, carriers);
        for (int p = 0; p < symbol.cells && at < frame->cells; p++) {
            places[at++] = (struct t2_place){l, carriers[p]};
        }
    }
    assert(at == frame->cells);
}

void t2_block_places(const struct t2_code *code, const struct t2_slot *slot, long block, long *at)
{
    uint16_t order[T2_CELLS_MAX];
    int cells = t2_block_cells(code), parts = slot->interleaving_blocks;
    /* The first interleaving blocks have one code block less where they cannot be alike. */
    long least = slot->blocks / parts, smaller = parts - slot->blocks % parts;
    long part =
        block < smaller * least ? block / least : smaller + (block - smaller * least) / (least + 1);
    long first = part * least + (part > smaller ? part - smaller : 0);
    int count = (int)(least + (part >= smaller)), r = (int)(block - first);
    int shift = t2_cell_shift(cells, r);
    t2_cell_order(cells, order);
    for (int q = 0; q < cells; q++) {
        at[q] = first * cells + t2_time_place(cells, count, r, (order[q] + shift) % cells);
    }
}
