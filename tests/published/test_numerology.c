/* Check values of ATSC A/322:2024-04 sections 7 and A/53: times, carriers, rates, channel plan. */
#include "support/near.h"

#include "base/units.h"
#include "scenario/scenario.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/grid.h"
#include "standard/rf.h"
#include "standard/vsb/signal.h"

static void sample_rates_follow_the_channel_bandwidth(void **state)
{
    (void)state;
    assumes("bsr_coefficient 2, 5 and 8 for channels of 6, 7 and 8 MHz");
    assert_near(sample_rate_hz(6), 6.912e6, 0, "ATSC A/322:2024-04 section 7, bsr 2");
    assert_near(sample_rate_hz(7), 8.064e6, 0, "ATSC A/322:2024-04 section 7, bsr 5");
    assert_near(sample_rate_hz(8), 9.216e6, 0, "ATSC A/322:2024-04 section 7, bsr 8");
}

static void carriers_are_those_of_table_7_1(void **state)
{
    (void)state;
    static const int expected[FFT_COUNT][REDUCTION_MAX + 1] = {
        [FFT_8K] = {6913, 6817, 6721, 6625, 6529},
        [FFT_16K] = {13825, 13633, 13441, 13249, 13057},
        [FFT_32K] = {27649, 27265, 26881, 26497, 26113}};
    for (int fft = 0; fft < FFT_COUNT; fft++) {
        for (int c = 0; c <= REDUCTION_MAX; c++) {
            assert_int_equal(carriers_count((enum fft_size)fft, c), expected[fft][c]);
        }
    }
}

static void gi4_768_lasts_111_us_or_33_km(void **state)
{
    (void)state;
    assumes("a channel of 6 MHz; rays travel at the speed of light in vacuum");
    struct transmission mode = transmission_default();
    mode.subframes[0].waveform.guard = GI4_768;
    double us = waveform_grid(&mode.subframes[0].waveform).guard_us;
    assert_near(us, 111.11, 0.005, "ATSC A/322:2024-04, 768 samples at 6.912 MHz");
    assert_near(km_from_us(us), 33.31, 0.005, "ATSC A/322:2024-04, 768 samples at 6.912 MHz");
}

static void symbol_times_add_up(void **state)
{
    (void)state;
    assumes("16K with GI5_1024 in 6 MHz, no carriers left out");
    struct transmission mode = transmission_default(); /* 16K, GI5_1024 at 6 MHz */
    assert_near(waveform_grid(&mode.subframes[0].waveform).useful_us, 2370.370370370, 1e-8,
                "16384 / 6.912 MHz");
    assert_near(waveform_grid(&mode.subframes[0].waveform).symbol_us, 2518.518518518, 1e-8,
                "17408 / 6.912 MHz");
    assert_near(waveform_grid(&mode.subframes[0].waveform).spacing_hz, 421.875, 1e-12,
                "6.912 MHz / 16384");
    assert_near(waveform_grid(&mode.subframes[0].waveform).occupied_mhz, 5.832421875, 1e-12,
                "13825 x 421.875 Hz");
}

static double largest_plp_mbps(int bandwidth_mhz, enum outer_code outer, double frame_ms)
{
    struct transmission mode = transmission_default();
    mode.subframes[0].waveform.bandwidth_mhz = bandwidth_mhz;
    mode.subframes[0].waveform.fft = FFT_32K;
    mode.subframes[0].waveform.guard = GI1_192;
    mode.subframes[0].waveform.pilots = SP32_2;
    mode.plps[0].code.constellation = QAM4096;
    mode.plps[0].code.rate_15ths = 13;
    mode.plps[0].code.outer = outer;
    mode.frame_ms = frame_ms;
    struct frame frame;
    assert_int_equal(transmission_check(&mode, NULL), STATUS_OK);
    assert_int_equal(frame_build(&mode, &frame, NULL), STATUS_OK);
    return code_carried(&mode.plps[0].code, frame.cell_rate_hz).plp_mbps;
}

static void the_largest_6_mhz_mode_carries_about_57_mbps(void **state)
{
    (void)state;
    assumes("32K, GI1_192, SP32_2, 4096QAM 13/15 with BCH, frames of 250 ms: the source tells "
            "neither frame nor rounding");
    /* Published in whole Mbit/s, whether cut or rounded is not said, nor the frame's length: within
     * one unit. The next test pins the same sum to three digits. */
    assert_near(largest_plp_mbps(6, OUTER_BCH, 250.0), 57.0, 1.0,
                "published capacity of ATSC 3.0 at 6 MHz, 57 Mbit/s");
}

static void the_largest_8_mhz_mode_carries_78_5_mbps(void **state)
{
    (void)state;
    assumes("the same mode without an outer code, in frames of 5 s");
    assert_near(largest_plp_mbps(8, OUTER_NONE, 5000.0), 78.5, 0.05,
                "published capacity of ATSC 3.0 at 8 MHz, 78.5 Mbit/s");
}

static void the_8vsb_net_rate_follows_from_its_structure(void **state)
{
    (void)state;
    assumes("packets of 188 bytes, one a data segment; 312 of a field's 313 segments carry data");
    assert_near(vsb_net_mbps(), 19.392658, 5e-7, "ATSC A/53 Part 2, 19.392658 Mbit/s");
}

static void the_8vsb_symbol_rate_and_pilot_are_those_of_a53(void **state)
{
    (void)state;
    assumes("the eight data levels are equally likely");
    assert_near(vsb_symbol_rate_hz(), 10762237.76, 0.005, "ATSC A/53 Part 2, 10.762237 MHz");
    assert_near(vsb_symbol_us(), 0.0929175, 5e-8, "ATSC A/53 Part 2, 1 / 10.762237 MHz");
    assert_near(VSB_PILOT_LEVEL, 1.25, 0, "ATSC A/53 Part 2, pilot +1.25 under levels +-1 to 7");
    assert_near(vsb_pilot_db(), 0.3, 0.05, "ATSC A/53 Part 2, pilot adds 0.3 dB");
    assert_near(vsb_pilot_offset_hz(), 309440.0, 5.0, "ATSC A/53 Part 2, 309.44 kHz");
}

static void channels_are_those_of_47_cfr_73_603(void **state)
{
    (void)state;
    assumes("a channel's centre lies 3 MHz above its lower edge");
    static const struct {
        int channel;
        double low_mhz;
    } rows[] = {{2, 54},  {3, 60},   {4, 66},   {5, 76},  {6, 82},
                {7, 174}, {13, 210}, {14, 470}, {36, 602}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_near(rf_center_mhz(PLAN_US, rows[i].channel), rows[i].low_mhz + 3, 0,
                    "47 CFR 73.603");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sample_rates_follow_the_channel_bandwidth),
        cmocka_unit_test(carriers_are_those_of_table_7_1),
        cmocka_unit_test(gi4_768_lasts_111_us_or_33_km),
        cmocka_unit_test(symbol_times_add_up),
        cmocka_unit_test(the_largest_6_mhz_mode_carries_about_57_mbps),
        cmocka_unit_test(the_largest_8_mhz_mode_carries_78_5_mbps),
        cmocka_unit_test(the_8vsb_net_rate_follows_from_its_structure),
        cmocka_unit_test(the_8vsb_symbol_rate_and_pilot_are_those_of_a53),
        cmocka_unit_test(channels_are_those_of_47_cfr_73_603),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
