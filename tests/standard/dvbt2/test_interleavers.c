/* Cell, time and frequency interleaver of DVB-T2: structure, and the document's examples. */
#include "support/near.h"

#include <stdlib.h>
#include <string.h>

#include "standard/dvbt/inner.h"
#include "standard/dvbt2/interleavers.h"

static void assert_permutation(const uint16_t *order, int count)
{
    static uint8_t seen[T2_CELLS_MAX];
    memset(seen, 0, sizeof seen);
    for (int i = 0; i < count; i++) {
        assert_true(order[i] < count);
        assert_int_equal(seen[order[i]]++, 0);
    }
}

/* EN 302 755 V1.4.1 clause 6.4. */
static void cells_are_permuted_as_in_the_examples(void **state)
{
    (void)state;
    static const struct {
        int cells, first[5];
    } rows[] = {{32400, {0, 16384, 1, 24576, 4096}}, {16200, {0}}, {4050, {0}},
                {10800, {0, 8192, 1, 2048, 2560}},   {2700, {0}},  {2025, {0}},
                {8100, {0, 4096, 1, 6144, 1024}}};
    uint16_t order[T2_CELLS_MAX];
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        t2_cell_order(rows[i].cells, order);
        assert_permutation(order, rows[i].cells);
        for (int q = 0; q < 5 && rows[i].first[1] > 0; q++) {
            assert_int_equal(order[q], rows[i].first[q]);
        }
    }
    static const int shifts[] = {0, 8192, 4096, 2048, 10240, 6144, 1024, 9216};
    for (int r = 0; r < 8; r++) {
        assert_int_equal(t2_cell_shift(10800, r), shifts[r]);
    }
}

static void symbols_are_permuted_and_as_in_dvbt(void **state)
{
    (void)state;
    uint16_t order[T2_CARRIERS_MAX], other[T2_CARRIERS_MAX];
    for (int fft = 0; fft < T2_FFT_COUNT; fft++) {
        const struct t2_waveform waveform = {.fft = (enum t2_fft)fft, .pilots = T2_PP2};
        int cells = t2_data_cells(&waveform);
        for (int odd = 0; odd < 2; odd++) {
            t2_symbol_order((enum t2_fft)fft, odd, cells, odd ? order : other);
            assert_permutation(odd ? order : other, cells);
        }
        for (int p = 0; p < cells && fft == T2_32K; p++) {
            assert_int_equal(order[other[p]], p); /* one and its inverse */
        }
        assert_true(memcmp(order, other, 64) != 0);
    }
    /* EN 302 755 took the wires of its even symbols from EN 300 744 (both tables from memory). */
    static const enum t2_fft same[DVBT_FFT_COUNT] = {T2_2K, T2_4K, T2_8K};
    for (int fft = 0; fft < DVBT_FFT_COUNT; fft++) {
        int cells = dvbt_data_cells((enum dvbt_fft)fft);
        t2_symbol_order(same[fft], false, cells, order);
        dvbt_symbol_order((enum dvbt_fft)fft, other);
        assert_memory_equal(order, other, sizeof *order * (size_t)cells);
    }
}

/* Clause 6.5, by hand: of 10 cells in two columns' worth of rows each. */
static void blocks_are_written_to_five_columns_and_read_by_rows(void **state)
{
    (void)state;
    static const int of_the_second[] = {5, 15, 6, 16, 7, 17, 8, 18, 9, 19};
    for (int c = 0; c < 10; c++) {
        assert_int_equal(t2_time_place(10, 2, 1, c), of_the_second[c]);
    }
}

static struct dvbt2 typical(void)
{
    return (struct dvbt2){
        .waveform = {.fft = T2_32K, .extended = true, .guard = T2_GI_1_16, .pilots = T2_PP4},
        .code = {.length = T2_64800, .constellation = T2_256QAM, .rate = T2_2_3},
        .l1 = T2_L1_64QAM};
}

/* All cells of all blocks lie on places of their own, within the frame; what is left is no block's.
 * Neighbours before the cell interleaver, as the two parts of a rotated cell are sent, lie as far
 * apart as two carriers of chance do: by a third of the width on average. */
static void neighbouring_cells_end_up_far_apart(void **state)
{
    (void)state;
    const struct dvbt2 mode = typical();
    struct t2_frame frame;
    assert_int_equal(t2_frame_build(&mode, 8, &frame, NULL), STATUS_OK);
    const struct t2_slot *slot = &frame.slots[0];
    int cells = t2_block_cells(&mode.code), carriers = t2_carriers(&mode.waveform);
    struct t2_place *places = malloc(sizeof *places * (size_t)frame.cells);
    uint8_t *seen = calloc((size_t)frame.cells, 1);
    long *at = malloc(sizeof *at * (size_t)cells);
    assert_true(places && seen && at);
    t2_frame_places(&mode.waveform, &frame, places);
    assert_int_equal(places[frame.cells - 1].symbol < frame.symbols, 1);
    double apart = 0.0, near = 0.0;
    for (long block = 0; block < slot->blocks; block++) {
        t2_block_places(&mode.code, slot, block, at);
        for (int q = 0; q < cells; q++) {
            assert_true(at[q] >= 0 && at[q] < slot->blocks * cells);
            assert_int_equal(seen[at[q]]++, 0);
            int next = places[at[(q + 1) % cells]].carrier;
            double distance = abs(places[at[q]].carrier - next) / (double)carriers;
            apart += distance / cells / (double)slot->blocks;
            near += (distance < 0.01) / (double)cells / (double)slot->blocks;
        }
    }
    assert_int_equal(places[frame.cells - 1].symbol, frame.symbols - 1);
    assert_near(apart, 1.0 / 3.0, 0.01, "two carriers of chance");
    assert_near(near, 0.02, 0.003, "two carriers of chance");
    free(places);
    free(seen);
    free(at);
}

/* Code blocks that cannot be parted equally: the first interleaving blocks have one less. A frame
 * without a closing symbol ends where its cells end, and one that claims more cells than it has is
 * refused. */
static void odd_blocks_and_frames_are_laid_out_too(void **state)
{
    (void)state;
    struct dvbt2 mode = typical();
    const struct t2_slot slot = {.blocks = 8, .interleaving_blocks = 3};
    int cells = t2_block_cells(&mode.code);
    long *at = malloc(sizeof *at * (size_t)cells);
    uint8_t *seen = calloc(8, (size_t)cells);
    assert_true(at && seen);
    for (long block = 0; block < 8; block++) {
        t2_block_places(&mode.code, &slot, block, at);
        for (int q = 0; q < cells; q++) {
            assert_true(at[q] / cells >= (block < 2   ? 0
                                          : block < 5 ? 2
                                                      : 5) &&
                        at[q] / cells < (block < 2   ? 2
                                         : block < 5 ? 5
                                                     : 8));
            assert_int_equal(seen[at[q]]++, 0);
        }
    }
    free(at);
    free(seen);
    mode.waveform.pilots = T2_PP8;
    struct t2_frame frame;
    assert_int_equal(t2_frame_build(&mode, 8, &frame, NULL), STATUS_OK);
    struct t2_place *places = malloc(sizeof *places * (size_t)frame.cells);
    assert_non_null(places);
    frame.cells -= 100;
    t2_frame_places(&mode.waveform, &frame, places);
    assert_int_equal(places[frame.cells - 1].symbol < frame.symbols, 1);
    frame.cells -= 2L * t2_data_cells(&mode.waveform);
    t2_frame_places(&mode.waveform, &frame, places);
    assert_int_equal(places[frame.cells - 1].symbol < frame.symbols, 1);
    free(places);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cells_are_permuted_as_in_the_examples),
        cmocka_unit_test(symbols_are_permuted_and_as_in_dvbt),
        cmocka_unit_test(blocks_are_written_to_five_columns_and_read_by_rows),
        cmocka_unit_test(neighbouring_cells_end_up_far_apart),
        cmocka_unit_test(odd_blocks_and_frames_are_laid_out_too),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
