/* Check values of ETSI EN 300 744 and EN 302 755: times, cells, frames and rates. */
#include "support/near.h"

#include "base/units.h"
#include "physics/information/dvbt2_snr.h"
#include "physics/information/dvbt_snr.h"
#include "standard/dvbt/signal.h"
#include "standard/dvbt2/frame.h"

/* EN 300 744 table 17, 8 MHz: by constellation, code rate and guard interval, Mbit/s. */
static const double dvbt_rates[DVBT_CONSTELLATION_COUNT][DVBT_RATE_COUNT][DVBT_GUARD_COUNT] = {
    [DVBT_QPSK] =
        {
            {4.976, 5.529, 5.855, 6.032},
            {6.635, 7.373, 7.806, 8.043},
            {7.465, 8.294, 8.782, 9.048},
            {8.294, 9.216, 9.758, 10.053},
            {8.709, 9.676, 10.246, 10.556},
        },
    [DVBT_16QAM] =
        {
            {9.953, 11.059, 11.709, 12.064},
            {13.271, 14.745, 15.612, 16.086},
            {14.929, 16.588, 17.564, 18.096},
            {16.588, 18.431, 19.516, 20.107},
            {17.418, 19.353, 20.491, 21.112},
        },
    [DVBT_64QAM] =
        {
            {14.929, 16.588, 17.564, 18.096},
            {19.906, 22.118, 23.419, 24.128},
            {22.394, 24.882, 26.346, 27.144},
            {24.882, 27.647, 29.273, 30.160},
            {26.126, 29.029, 30.737, 31.668},
        },
};

static void all_60_net_rates_of_dvbt_are_those_of_table_17(void **state)
{
    (void)state;
    for (int fft = 0; fft < DVBT_FFT_COUNT; fft++) {
        for (int i = 0; i < DVBT_CONSTELLATION_COUNT * DVBT_RATE_COUNT * DVBT_GUARD_COUNT; i++) {
            struct dvbt mode = {.fft = (enum dvbt_fft)fft,
                                .constellation = (enum dvbt_constellation)(
                                    i / (DVBT_RATE_COUNT * DVBT_GUARD_COUNT)),
                                .rate = (enum dvbt_rate)(i / DVBT_GUARD_COUNT % DVBT_RATE_COUNT),
                                .guard = (enum dvbt_guard)(i % DVBT_GUARD_COUNT)};
            double expected = dvbt_rates[mode.constellation][mode.rate][mode.guard];
            assert_near(dvbt_net_mbps(&mode, 8), expected, 0.00051, "EN 300 744 table 17");
            assert_near(dvbt_net_mbps(&mode, 7), expected * 7 / 8, 0.00051,
                        "EN 300 744 annex E: 7/8 of table 17");
        }
    }
}

static void the_highest_rates_of_narrower_channels_are_those_of_the_annexes(void **state)
{
    (void)state;
    const struct dvbt mode = {
        .fft = DVBT_8K, .guard = DVBT_1_32, .constellation = DVBT_64QAM, .rate = DVBT_7_8};
    assert_near(dvbt_net_mbps(&mode, 7), 27.710, 0.0005, "EN 300 744 annex E");
    assert_near(dvbt_net_mbps(&mode, 6), 23.751, 0.0005, "EN 300 744 annex E");
    assert_near(dvbt_net_mbps(&mode, 5), 19.793, 0.0005, "EN 300 744 annex G");
}

static void dvbt_symbols_last_what_the_document_says(void **state)
{
    (void)state;
    const struct dvbt mode = {.fft = DVBT_8K, .guard = DVBT_1_4};
    struct ofdm_grid grid = dvbt_grid(&mode, 8);
    assert_near(grid.useful_us, 896, 1e-9, "EN 300 744 table 5");
    assert_near(grid.guard_us, 224, 1e-9, "EN 300 744 table 5");
    assert_near(grid.spacing_hz, 1116.0714, 1e-3, "EN 300 744 table 4");
    assert_near(grid.occupied_mhz, 7.61, 0.005, "EN 300 744 table 4");
    assert_near(db_from_ratio(grid.mean_power), 0.334, 0.0005, "computed from the pilots: 8K");
    const struct dvbt small = {.fft = DVBT_2K};
    assert_near(db_from_ratio(dvbt_grid(&small, 8).mean_power), 0.335, 0.0005,
                "computed from the pilots: 2K");
}

/* EN 302 755 table 46, 8 MHz; 0: not allowed. */
static const int longest[T2_FFT_COUNT][T2_GUARD_COUNT] = {
    [T2_32K] = {68, 66, 64, 64, 60, 60, 0},        [T2_16K] = {138, 135, 131, 129, 123, 121, 111},
    [T2_8K] = {276, 270, 262, 259, 247, 242, 223}, [T2_4K] = {0, 540, 524, 0, 495, 0, 446},
    [T2_2K] = {0, 1081, 1049, 0, 991, 0, 892},     [T2_1K] = {0, 0, 2098, 0, 1982, 0, 1784},
};

static void longest_frames_of_t2_are_those_of_table_46(void **state)
{
    (void)state;
    for (int i = 0; i < T2_FFT_COUNT * T2_GUARD_COUNT; i++) {
        struct t2_waveform waveform = {.fft = (enum t2_fft)(i / T2_GUARD_COUNT),
                                       .guard = (enum t2_guard)(i % T2_GUARD_COUNT)};
        int expected = longest[waveform.fft][waveform.guard];
        assert_int_equal(t2_guard_is_allowed(waveform.fft, waveform.guard), expected > 0);
        if (expected > 0) {
            assert_int_equal(t2_symbols_max(&waveform, 8), expected);
        }
    }
}

/* The guidelines' absolute maxima (TS 102 831, from memory): 8 MHz, 32K extended, 1/128, PP7, high
 * efficiency, by rates 1/2 to 5/6. The symbols are those that reproduce the figure. */
static const struct {
    enum t2_constellation constellation;
    int symbols, blocks;
    double mbps[T2_PLP_RATES];
} maxima[] = {
    {T2_QPSK, 62, 52, {7.49255, 9.00375, 10.01867, 11.27054, 12.02614, 12.53733}},
    {T2_16QAM, 60, 101, {15.03743, 18.07038, 20.10732, 22.61980, 24.13628, 25.16224}},
    {T2_64QAM, 46, 116, {22.51994, 27.06206, 30.11257, 33.87524, 36.14630, 37.68277}},
    {T2_256QAM, 68, 229, {30.08728, 36.15568, 40.23124, 45.25828, 48.29248, 50.34524}},
};

static struct dvbt2 fastest(void)
{
    return (struct dvbt2){
        .waveform = {.fft = T2_32K, .extended = true, .guard = T2_GI_1_128, .pilots = T2_PP7},
        .high_efficiency = true,
        .l1 = T2_L1_64QAM};
}

static void published_maximum_rates_of_t2_hold_to_the_last_digit(void **state)
{
    (void)state;
    struct t2_frame frame;
    for (size_t i = 0; i < sizeof maxima / sizeof maxima[0]; i++) {
        for (int rate = 0; rate < T2_PLP_RATES; rate++) {
            struct dvbt2 mode = fastest();
            mode.symbols = maxima[i].symbols;
            mode.code = (struct t2_code){.constellation = maxima[i].constellation,
                                         .rate = (enum t2_rate)rate};
            assert_int_equal(t2_frame_build(&mode, 8, &frame, NULL), STATUS_OK);
            assert_int_equal(frame.blocks, maxima[i].blocks);
            assert_near(frame.net_mbps, maxima[i].mbps[rate], 0.000006,
                        "TS 102 831, absolute maximum rates (from memory)");
        }
    }
}

static void a_frame_of_60_symbols_has_the_cells_of_the_guidelines(void **state)
{
    (void)state;
    struct dvbt2 mode = fastest();
    struct t2_frame frame;
    mode.symbols = 60;
    mode.code = (struct t2_code){.constellation = T2_256QAM, .rate = T2_2_3};
    assert_int_equal(t2_frame_build(&mode, 8, &frame, NULL), STATUS_OK);
    assert_int_equal(t2_l1_cells(T2_32K, T2_L1_64QAM, T2_L1_POST_BITS), 2090);
    assert_int_equal(frame.cells + 2090, 1639268);
    assert_int_equal(frame.blocks, 202);
    assert_near(frame.net_mbps, 40.215, 0.0005, "public mode of one country, 32KE 256QAM 2/3");
}

static void t2_carriers_spread_as_the_document_says(void **state)
{
    (void)state;
    struct t2_waveform waveform = {.fft = T2_32K, .guard = T2_GI_1_16, .pilots = T2_PP4};
    struct ofdm_grid grid = t2_grid(&waveform, 8);
    assert_near(grid.useful_us, 3584, 1e-9, "EN 302 755 table 67");
    assert_near(grid.guard_us, 224, 1e-9, "EN 302 755 table 67");
    assert_near(grid.occupied_mhz, 7.61, 0.005, "EN 302 755 table 66");
    assert_near(db_from_ratio(grid.mean_power), 0.452, 0.0005, "computed from the pilots");
    waveform.extended = true;
    grid = t2_grid(&waveform, 8);
    assert_near(grid.occupied_mhz, 7.77, 0.005, "EN 302 755 table 66");
    assert_near(db_from_ratio(grid.mean_power), 0.452, 0.0005, "computed from the pilots");
    waveform = (struct t2_waveform){.fft = T2_8K, .guard = T2_GI_1_16, .pilots = T2_PP5};
    assert_near(db_from_ratio(t2_grid(&waveform, 8).mean_power), 0.527, 0.0005,
                "computed from the pilots");
}

/* ---- What is needed. ---- */

static void dvbt_needs_in_white_noise_what_table_a_1_says(void **state)
{
    (void)state;
    for (int i = 0; i < DVBT_CONSTELLATION_COUNT * DVBT_RATE_COUNT; i++) {
        struct dvbt mode = {.fft = DVBT_8K,
                            .constellation = (enum dvbt_constellation)(i / DVBT_RATE_COUNT),
                            .rate = (enum dvbt_rate)(i % DVBT_RATE_COUNT)};
        double pilots_db = db_from_ratio(dvbt_grid(&mode, 8).mean_power);
        struct ideal_snr ideal = dvbt_ideal_snr(&mode, FADING_AWGN);
        if (ideal.source == IDEAL_BY_BITS) {
            assert_near(ideal.db + pilots_db, dvbt_published_snr(&mode, FADING_AWGN).snr_db, 0.15,
                        "EN 300 744 V1.6.1 table A.1, Gaussian (from memory)");
        }
    }
}

/* ITU-R BT.2033-2 table 2, Gaussian (one public witness), by rates 1/2 to 5/6. */
static const double planned[T2_CONSTELLATION_COUNT][T2_PLP_RATES] = {
    [T2_QPSK] = {2.4, 3.6, 4.5, 5.5, 6.1, 6.6},
    [T2_16QAM] = {7.6, 9.0, 10.3, 11.4, 12.2, 12.7},
    [T2_64QAM] = {11.9, 13.8, 15.1, 16.6, 17.6, 18.2},
    [T2_256QAM] = {15.9, 18.2, 19.7, 21.7, 23.1, 23.9},
};

static void t2_receivers_need_what_is_planned_for_them(void **state)
{
    (void)state;
    struct t2_waveform waveform = {
        .fft = T2_32K, .extended = true, .guard = T2_GI_1_16, .pilots = T2_PP4};
    struct ofdm_grid grid = t2_grid(&waveform, 8);
    for (int i = 0; i < T2_CONSTELLATION_COUNT * T2_PLP_RATES; i++) {
        struct t2_code code = {.constellation = (enum t2_constellation)(i / T2_PLP_RATES),
                               .rate = (enum t2_rate)(i % T2_PLP_RATES)};
        double ideal_db = t2_ideal_snr(&code, FADING_AWGN).db;
        assert_near(receiver_planning_snr_db(&grid, ideal_db),
                    planned[code.constellation][code.rate], 0.3, "ITU-R BT.2033-2 table 2");
    }
}

/* Another simulation of the same chain by other code (*computed*), at a frame error rate of 1e-2,
 * from which a code of this length falls to 1e-4 within 0.07 dB. */
static void long_codes_of_t2_need_what_another_simulation_says(void **state)
{
    (void)state;
    static const struct {
        enum t2_constellation constellation;
        enum t2_rate rate;
        double snr_db;
    } rows[] = {
        {T2_QPSK, T2_1_2, 0.80},    {T2_QPSK, T2_2_3, 2.96},    {T2_QPSK, T2_3_4, 3.92},
        {T2_16QAM, T2_1_2, 5.96},   {T2_16QAM, T2_2_3, 8.65},   {T2_16QAM, T2_3_4, 9.82},
        {T2_64QAM, T2_1_2, 10.20},  {T2_64QAM, T2_3_5, 12.02},  {T2_64QAM, T2_2_3, 13.33},
        {T2_64QAM, T2_3_4, 14.91},  {T2_64QAM, T2_5_6, 16.55},  {T2_256QAM, T2_1_2, 14.01},
        {T2_256QAM, T2_3_5, 16.37}, {T2_256QAM, T2_2_3, 17.87}, {T2_256QAM, T2_3_4, 19.81},
        {T2_256QAM, T2_4_5, 21.12}, {T2_256QAM, T2_5_6, 21.82},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct t2_code code = {.constellation = rows[i].constellation, .rate = rows[i].rate};
        assert_near(t2_ideal_snr(&code, FADING_AWGN).db, rows[i].snr_db + 0.07, 0.1,
                    "another simulation, computed: frame error rate 1e-2, and 0.07 dB to 1e-4");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_60_net_rates_of_dvbt_are_those_of_table_17),
        cmocka_unit_test(the_highest_rates_of_narrower_channels_are_those_of_the_annexes),
        cmocka_unit_test(dvbt_symbols_last_what_the_document_says),
        cmocka_unit_test(longest_frames_of_t2_are_those_of_table_46),
        cmocka_unit_test(published_maximum_rates_of_t2_hold_to_the_last_digit),
        cmocka_unit_test(a_frame_of_60_symbols_has_the_cells_of_the_guidelines),
        cmocka_unit_test(t2_carriers_spread_as_the_document_says),
        cmocka_unit_test(dvbt_needs_in_white_noise_what_table_a_1_says),
        cmocka_unit_test(t2_receivers_need_what_is_planned_for_them),
        cmocka_unit_test(long_codes_of_t2_need_what_another_simulation_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
