/* A frame parted among PLPs, ETSI EN 302 755 V1.4.1 clauses 6.5, 7.2 and 8. */
#include "support/near.h"

#include <math.h>
#include <string.h>

#include "standard/dvbt2/frame.h"

static struct dvbt2 with_plps(int count)
{
    struct dvbt2 mode = {
        .waveform = {T2_32K, true, T2_GI_1_16, T2_PP4}, .l1 = T2_L1_64QAM, .plp_count = count};
    for (int i = 0; i < t2_plps(&mode); i++) {
        mode.plps[i] =
            (struct t2_plp){.code = {T2_64800, T2_2_3, T2_256QAM, true}, .share_percent = NAN};
        text_format(mode.plps[i].name, sizeof mode.plps[i].name, "%s%d", count ? "p" : "", i);
    }
    return mode;
}

static struct t2_frame frame_of(const struct dvbt2 *mode)
{
    struct t2_frame frame;
    struct fault fault = {0};
    enum status status = t2_frame_build(mode, 8, &frame, &fault);
    if (status != STATUS_OK) {
        print_error("%s: %s (%s)\n", fault.place, fault.wrong, fault.allowed);
    }
    assert_int_equal(status, STATUS_OK);
    return frame;
}

static void one_plp_with_a_name_is_the_plain_case(void **state)
{
    (void)state;
    struct dvbt2 plain = with_plps(0), named = with_plps(1);
    struct t2_frame a = frame_of(&plain), b = frame_of(&named);
    assert_int_equal(a.cells, b.cells);
    assert_near(a.slots[0].net_mbps, b.slots[0].net_mbps, 0.0, "the same frame");
    assert_int_equal(a.slots[0].blocks, b.slots[0].blocks);
}

/* L1-post of one PLP has 350 bits, with which the published greatest rates come out; each further
 * one 89 configurable and 48 dynamic bits (EN 302 755 tables 29 and 32, from memory), which costs
 * P2 cells. */
static void each_further_plp_costs_signalling(void **state)
{
    (void)state;
    long last = 0;
    for (int count = 1; count <= T2_PLPS_MAX; count++) {
        struct dvbt2 mode = with_plps(count);
        struct t2_frame frame = frame_of(&mode);
        int post_bits = 350 + 137 * (count - 1);
        assert_int_equal(t2_l1_post_bits(count), post_bits);
        long all = t2_p2_cells(T2_32K) +
                   (long)(frame.data_symbols - 1) * t2_data_cells(&mode.waveform) +
                   t2_closing_cells(&mode.waveform);
        assert_int_equal(frame.cells, all - t2_l1_cells(T2_32K, T2_L1_64QAM, post_bits));
        assert_true(last == 0 || frame.cells < last);
        last = frame.cells;
    }
}

static void cells_are_parted_as_asked(void **state)
{
    (void)state;
    struct dvbt2 mode = with_plps(4);
    mode.plps[0].cells = 500000;
    mode.plps[1].share_percent = 25.0;
    mode.plps[2].code = (struct t2_code){T2_16200, T2_1_2, T2_QPSK, false};
    struct t2_frame frame = frame_of(&mode);
    long quarter = frame.cells / 4, rest = frame.cells - 500000 - quarter;
    assert_int_equal(frame.slots[0].cells, 500000);
    assert_int_equal(frame.slots[1].cells, quarter);
    assert_int_equal(frame.slots[2].cells, rest / 2);
    assert_int_equal(frame.slots[3].cells, rest / 2);
    assert_int_equal(frame.slots[2].blocks, rest / 2 / 8100);
    /* Kbch of the short code 1/2 is 7032 (table 7), 80 bits of them the header. */
    assert_near(frame.slots[2].net_mbps,
                (double)frame.slots[2].blocks * (7032 - 80) / frame.duration_ms / 1e3, 1e-9,
                "EN 302 755 V1.4.1 table 7");
    /* 500 000 cells of 256QAM are 61 long blocks, of which one interleaver block holds 68. */
    assert_int_equal(frame.slots[0].blocks, 61);
    assert_int_equal(frame.slots[0].interleaving_blocks, 1);
    /* 2^19 + 2^15 cells hold 51 long blocks of 64QAM, and not 52. */
    struct t2_code code = {.length = T2_64800, .constellation = T2_64QAM};
    assert_int_equal(t2_interleaving_blocks(&code, 51), 1);
    assert_int_equal(t2_interleaving_blocks(&code, 52), 2);
}

/* 202 blocks of 256QAM in three interleaver blocks, 68, 67 and 67. */
static void interleaving_tells_its_memory_and_delays(void **state)
{
    (void)state;
    struct dvbt2 mode = with_plps(0);
    mode.waveform = (struct t2_waveform){T2_32K, true, T2_GI_1_128, T2_PP7};
    mode.symbols = 60;
    struct t2_frame frame = frame_of(&mode);
    const struct t2_slot *slot = &frame.slots[0];
    assert_int_equal(slot->blocks, 202);
    assert_int_equal(slot->interleaving_blocks, 3);
    assert_int_equal(slot->memory_cells, 68 * 8100);
    assert_true(slot->memory_cells <= T2_MEMORY_CELLS);
    assert_near(slot->interleaver_ms, 75.0, 5.0,
                "32K at 8 MHz, three blocks a frame: 70 to 80 ms (computed apart)");
    assert_near(slot->latency_ms, 2.0 * slot->interleaver_ms, 1e-9, "filled, then read");
    assert_near(slot->start_up_ms, frame.duration_ms * 4.0 / 3.0, 1e-9, "L1, then a block");
    /* No PLP of any size needs more than the standard allows. */
    for (int count = 1; count <= 5; count++) {
        for (int points = 0; points < T2_CONSTELLATION_COUNT; points++) {
            struct dvbt2 some = with_plps(count);
            some.plps[0].code.constellation = (enum t2_constellation)points;
            frame = frame_of(&some);
            for (int i = 0; i < count; i++) {
                assert_true(frame.slots[i].memory_cells <= T2_MEMORY_CELLS);
                assert_true(frame.slots[i].memory_cells * frame.slots[i].interleaving_blocks >=
                            frame.slots[i].blocks * t2_block_cells(&some.plps[i].code));
            }
        }
    }
}

static void who_finds_no_room_is_named(void **state)
{
    (void)state;
    struct dvbt2 mode = with_plps(2);
    struct t2_frame frame;
    struct fault fault = {0};
    mode.plps[0].share_percent = 60.0;
    mode.plps[1].share_percent = 41.0;
    assert_int_equal(t2_frame_build(&mode, 8, &frame, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "plp p1.share_percent");
    mode.plps[0].share_percent = NAN;
    mode.plps[1] = mode.plps[0];
    mode.plps[0].cells = 8099; /* a block takes 8100 */
    assert_int_equal(t2_frame_build(&mode, 8, &frame, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "plp p0.cells");
    mode.plps[0].cells = 8100;
    assert_int_equal(t2_frame_build(&mode, 8, &frame, &fault), STATUS_OK);
    mode.plps[0].cells = 0;
    mode.plps[0].share_percent = mode.plps[1].share_percent = 0.0;
    assert_int_equal(t2_frame_build(&mode, 8, &frame, &fault), STATUS_ILLEGAL);
    mode = with_plps(2);
    mode.plps[1].cells = 10000000;
    assert_int_equal(t2_frame_build(&mode, 8, &frame, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "plp p1.cells");
    /* Clause 7.3 by hand, of nearly all bits that L1-post can have: 7030 + 168 + 9000 less 11 of
     * two cells of 64QAM in a symbol, 16187, in whole ones 16188 or 2698 cells, beside 1840 of
     * L1-pre. */
    assert_int_equal(t2_l1_cells(T2_32K, T2_L1_64QAM, 7030), 2698 + 1840);
    /* The shortest frame of few carriers has no room for a long block of QPSK. */
    struct dvbt2 shortest = {.waveform = {.fft = T2_1K, .guard = T2_GI_1_4, .pilots = T2_PP1},
                             .code = {.constellation = T2_QPSK}};
    shortest.symbols = t2_symbols_min(T2_1K);
    assert_int_equal(t2_frame_build(&shortest, 8, &frame, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "dvbt2.symbols");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_plp_with_a_name_is_the_plain_case),
        cmocka_unit_test(each_further_plp_costs_signalling),
        cmocka_unit_test(cells_are_parted_as_asked),
        cmocka_unit_test(interleaving_tells_its_memory_and_delays),
        cmocka_unit_test(who_finds_no_room_is_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
