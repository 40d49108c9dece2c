#include "support/near.h"

#include <string.h>

#include "scenario/scenario.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/grid.h"

static struct frame build(const struct transmission *mode)
{
    struct frame frame;
    struct fault fault = {0};
    assert_int_equal(frame_build(mode, &frame, &fault), STATUS_OK);
    return frame;
}

/* 16K GI5_1024 at 6 MHz by hand: L1 takes 3820 + cells(200 bits) of one preamble symbol; 98 symbols
 * of 2.5185 ms fit 248 ms. */
static void the_default_frame_is_what_a_hand_count_gives(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    struct frame frame = build(&mode);
    /* outer 368, punctured floor(3.5 x 2872) = 10052, sent 3276, repeated 2 x 1403 - 508 = 2298 */
    assert_int_equal(cells_l1_detail(1, 200), (3276 + 2298) / 2);
    assert_int_equal(frame.l1_detail_bits, 200);
    assert_int_equal(frame.preamble_symbols, 1);
    assert_int_equal(frame.data_symbols, 97);
    assert_int_equal(frame.boundary_symbols, 1);
    assert_int_equal(frame.preamble_payload,
                     cells_first_preamble(&mode.subframes[0].waveform) - 3820 - 2787);
    assert_int_equal(frame.cells, frame.preamble_payload +
                                      96 * cells_data(&mode.subframes[0].waveform) +
                                      cells_boundary(&mode.subframes[0].waveform));
    assert_near(frame.duration_ms, 2.0 + 98 * 2.518518518518, 1e-9, "2 ms and 98 symbols");
}

static void a_first_boundary_symbol_costs_cells(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    struct frame without = build(&mode);
    mode.subframes[0].first_boundary = true;
    struct frame with = build(&mode);
    assert_int_equal(with.boundary_symbols, 2);
    assert_int_equal(without.cells - with.cells, cells_data(&mode.subframes[0].waveform) -
                                                     cells_boundary(&mode.subframes[0].waveform));
}

static void l1_that_exceeds_a_symbol_takes_another(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    mode.subframes[0].waveform.fft = FFT_8K;
    mode.subframes[0].waveform.pilots = SP6_4;
    mode.subframes[0].waveform.reduction = 2;
    mode.signalling.l1_detail_bits = 2000;
    struct frame frame = build(&mode);
    int l1 = 3820 + cells_l1_detail(1, 2000);
    assert_true(l1 > cells_first_preamble(&mode.subframes[0].waveform));
    assert_int_equal(frame.preamble_symbols,
                     1 + (l1 - cells_first_preamble(&mode.subframes[0].waveform) +
                          cells_preamble(&mode.subframes[0].waveform) - 1) /
                             cells_preamble(&mode.subframes[0].waveform));
    assert_between(frame.preamble_payload, 0, cells_preamble(&mode.subframes[0].waveform) - 1,
                   "less than one symbol");
}

static void long_signalling_is_cut_into_blocks(void **state)
{
    (void)state;
    assert_int_equal(cells_l1_detail(1, 2 * 2352), 2 * cells_l1_detail(1, 2352));
    assert_int_equal(cells_l1_detail(2, 6144), 2 * cells_l1_detail(2, 3072));
}

static void a_frame_without_room_for_data_is_refused(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    struct frame frame = {0};
    struct fault fault = {0};
    double symbol_ms = waveform_grid(&mode.subframes[0].waveform).symbol_us / 1e3;
    mode.frame_ms = 2.0 + 2.0 * symbol_ms + 1e-6; /* a preamble symbol and a data symbol */
    assert_int_equal(frame_build(&mode, &frame, &fault), STATUS_OK);
    assert_int_equal(frame.data_symbols, 1);
    mode.frame_ms = 2.0 + 2.0 * symbol_ms - 1e-6;
    assert_int_equal(frame_build(&mode, &frame, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "mode.frame_ms");
    assert_non_null(strstr(fault.wrong, "not one data symbol"));
}

static void the_convolutional_interleaver_spans_rows_by_rows_less_one(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    struct frame frame = build(&mode);
    assert_near(interleaver_span_ms(mode.plps[0].interleaver, frame.cell_rate_hz),
                1024.0 * 1023.0 / frame.cell_rate_hz * 1e3, 1e-9,
                "ATSC A/322:2024-04 section 7.1.4");
    assert_int_equal(interleaver_memory_cells(CTI_1024), 523776);
    assert_true(interleaver_memory_cells(CTI_1024) <= 1 << 19);
    /* Each depth is the largest whose memory R (R - 1) / 2 stays below a power of two, or one and a
     * half of it. */
    static const struct {
        enum interleaver interleaver;
        int most;
    } depths[] = {{CTI_512, 1 << 17},  {CTI_724, 1 << 18},           {CTI_887, 3 << 17},
                  {CTI_1024, 1 << 19}, {CTI_1254_EXTENDED, 3 << 18}, {CTI_1448_EXTENDED, 1 << 20}};
    for (size_t i = 0; i < sizeof depths / sizeof depths[0]; i++) {
        int rows = interleaver_rows(depths[i].interleaver);
        assert_true(interleaver_memory_cells(depths[i].interleaver) <= depths[i].most);
        assert_true((rows + 1) * rows / 2 > depths[i].most);
    }
    mode.plps[0].interleaver = INTERLEAVER_NONE;
    assert_near(interleaver_span_ms(mode.plps[0].interleaver, frame.cell_rate_hz), 0.0, 0,
                "no interleaver");
    assert_int_equal(interleaver_memory_cells(INTERLEAVER_NONE), 0);
}

static void a_baseband_header_of_two_bytes_is_the_difference_to_net(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    struct frame frame = build(&mode);
    double payload = payload_bits(&mode.plps[0].code);
    struct carried carried = code_carried(&mode.plps[0].code, frame.cell_rate_hz);
    assert_near(carried.net_mbps / carried.plp_mbps, (payload - 16.0) / payload, 1e-12, "2 bytes");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_default_frame_is_what_a_hand_count_gives),
        cmocka_unit_test(a_first_boundary_symbol_costs_cells),
        cmocka_unit_test(l1_that_exceeds_a_symbol_takes_another),
        cmocka_unit_test(long_signalling_is_cut_into_blocks),
        cmocka_unit_test(a_frame_without_room_for_data_is_refused),
        cmocka_unit_test(the_convolutional_interleaver_spans_rows_by_rows_less_one),
        cmocka_unit_test(a_baseband_header_of_two_bytes_is_the_difference_to_net),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
