/* Frames that are known cell for cell: of a verified transmitter, and of stations on air. */
#include "support/near.h"
#include "support/scenarios.h"

#include <math.h>

#include "base/number.h"
#include "scenario/scenario.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/injection.h"
#include "standard/atsc3/signalling.h"

#define VERIFIED "a transmitter verified with the standard's validation suite (published)"
#define ON_AIR "a station's own signalling, received off the air"

static void set_all(struct scenario *scenario, const char *const pairs[][2], size_t count)
{
    for (size_t i = 0; i < count; i++) {
        scenario_say(scenario, pairs[i][0], pairs[i][1]);
    }
}
#define SET_ALL(scenario, pairs) set_all(scenario, pairs, sizeof(pairs) / sizeof(pairs)[0])

static void build(const struct scenario *scenario, struct frame *frame)
{
    struct fault fault = {0};
    if (scenario_check(scenario, &fault) != STATUS_OK ||
        frame_build(&scenario->transmission, frame, &fault) != STATUS_OK) {
        fail_msg("%s: %s (%s)", fault.place, fault.wrong, fault.allowed);
    }
}

static void a_verified_transmitters_rate_is_met_to_the_bit(void **state)
{
    (void)state;
    assumes("what the publication leaves open is as by default");
    static const char *const pairs[][2] = {
        {"subframe one.fft", "8K"},       {"subframe one.guard", "GI5_1024"},
        {"subframe one.pilots", "SP3_4"}, {"subframe one.symbols", "72"},
        {"frame.preamble_symbols", "2"},  {"plp one.rate", "9/15"},
        {"plp one.interleaver", "none"},
    };
    struct scenario scenario = scenario_default();
    struct frame frame;
    SET_ALL(&scenario, pairs);
    build(&scenario, &frame);
    assert_near(signalling_detail_count(&scenario.transmission), 164, 0, VERIFIED);
    assert_near(frame.l1_detail_bits, 200, 0, VERIFIED);
    assert_near((double)frame.cells, 450029, 0, VERIFIED);
    assert_near((double)frame.slots[0].cells, 450029, 0, VERIFIED);
    assert_near(frame.duration_ms, 695808 / 6912.0, 1e-9, VERIFIED);
    assert_near(plp_carried(&scenario.transmission, &frame, 0).net_mbps, 21.343539, 5e-7, VERIFIED);
}

static void two_subframes_on_air_are_met_cell_for_cell(void **state)
{
    (void)state;
    assumes("all that the signalling says, in a channel of 6 MHz");
    static const char *const pairs[][2] = {
        {"subframe a.fft", "8K"},        {"subframe a.guard", "GI6_1536"},
        {"subframe a.pilots", "SP4_2"},  {"subframe a.boost", "1"},
        {"subframe a.symbols", "35"},    {"subframe a.first_boundary", "yes"},
        {"subframe b.fft", "16K"},       {"subframe b.guard", "GI6_1536"},
        {"subframe b.pilots", "SP4_4"},  {"subframe b.boost", "1"},
        {"subframe b.symbols", "75"},    {"subframe b.first_boundary", "yes"},
        {"frame.l1_basic_mode", "3"},    {"frame.l1_detail_mode", "3"},
        {"frame.l1_time", "ns"},         {"frame.preamble_symbols", "1"},
        {"plp 0.subframe", "a"},         {"plp 0.constellation", "64QAM"},
        {"plp 0.rate", "11/15"},         {"plp 0.length", "16200"},
        {"plp 0.interleaver", "HTI 2"},  {"plp 0.cells", "199800"},
        {"plp 16.subframe", "a"},        {"plp 16.constellation", "QPSK"},
        {"plp 16.rate", "2/15"},         {"plp 16.length", "16200"},
        {"plp 16.interleaver", "HTI 1"}, {"plp 16.cells", "8100"},
        {"plp 1.subframe", "b"},         {"plp 1.rate", "11/15"},
        {"plp 1.interleaver", "HTI 3"},  {"plp 1.cells", "947700"},
    };
    struct scenario scenario = scenario_default();
    struct frame frame;
    SET_ALL(&scenario, pairs);
    build(&scenario, &frame);
    assert_near(signalling_detail_count(&scenario.transmission), 505, 0, ON_AIR);
    assert_near(frame.l1_detail_bits, 8 * 64, 0, ON_AIR);
    assert_near(signalling_structure(&scenario.transmission), 27, 0, ON_AIR);
    assert_near((double)frame.pools[0].cells, 211472, 0, ON_AIR);
    assert_near((double)frame.pools[0].dummies, 3572, 0, ON_AIR);
    assert_near((double)frame.pools[1].cells, 956179, 0, ON_AIR);
    assert_near(frame.duration_ms, 1708032 / 6912.0, 1e-9, ON_AIR);
    assert_near(frame.duration_ms, 247.111, 5e-4, ON_AIR);
    static const double rates[] = {3.507, 0.008, 22.408};
    for (int i = 0; i < 3; i++) {
        assert_near(plp_carried(&scenario.transmission, &frame, i).plp_mbps, rates[i], 5e-4,
                    "computed from the station's sizes");
    }
    long memory = 0; /* all that a receiver of all three keeps */
    for (int i = 0; i < 3; i++) {
        struct interleaving interleaving = plp_interleaving(&scenario.transmission, &frame, i);
        assert_true(interleaving.memory_cells <= interleaving.memory_most);
        memory += interleaving.memory_cells;
    }
    assert_near((double)memory, 37 * 2700 + 8100 + 13 * 8100 * 3, 0,
                "sum of the largest TI blocks");
}

static void a_layered_station_on_air_is_met_cell_for_cell(void **state)
{
    (void)state;
    assumes("all that the signalling says; its L1-Detail of version 0 is 16 bits shorter");
    static const char *const pairs[][2] = {
        {"subframe a.fft", "8K"},
        {"subframe a.guard", "GI6_1536"},
        {"subframe a.pilots", "SP4_2"},
        {"subframe a.boost", "1"},
        {"subframe a.symbols", "174"},
        {"subframe a.first_boundary", "yes"},
        {"frame.l1_detail_bits", "336"},
        {"plp 0.constellation", "QPSK"},
        {"plp 0.rate", "6/15"},
        {"plp 1.constellation", "64QAM"},
        {"plp 1.rate", "6/15"},
        {"plp 1.layer", "enhanced"},
        {"plp 1.over", "0"},
        {"plp 1.injection_db", "4"},
        {"subframe a.frequency_interleaver", "no"},
    };
    struct scenario scenario = scenario_default();
    struct frame frame;
    SET_ALL(&scenario, pairs);
    build(&scenario, &frame);
    assert_near(signalling_structure(&scenario.transmission), 25, 0, ON_AIR);
    assert_near(frame.preamble_symbols, 2, 0, ON_AIR);
    assert_near((double)frame.slots[0].cells, 1044402, 0, ON_AIR);
    assert_near((double)frame.slots[1].cells, 1044402, 0, ON_AIR);
    assert_near((double)frame.pools[0].dummies, 0, 0, ON_AIR);
    assert_near(frame.duration_ms, 249.703, 1e-3, ON_AIR);
    assert_near(plp_carried(&scenario.transmission, &frame, 0).plp_mbps, 3.321, 5e-4,
                "computed from the station's sizes");
    assert_near(plp_carried(&scenario.transmission, &frame, 1).plp_mbps, 9.964, 5e-4,
                "computed from the station's sizes");
    assert_near(plp_interleaving(&scenario.transmission, &frame, 0).span_ms, 250.5, 0.05, ON_AIR);
    assert_near(plp_interleaving(&scenario.transmission, &frame, 1).span_ms, 250.5, 0.05, ON_AIR);
    /* This station's L1-Detail is of version 0, which has no stream id of 16 bits. */
    scenario.transmission.signalling.time_info = TIME_NS;
    assert_near(signalling_detail_count(&scenario.transmission) - 16, 332, 0, ON_AIR);
}

static void the_length_of_l1_detail_is_that_of_three_plps_on_air(void **state)
{
    (void)state;
    assumes("one subframe, a core with a layer over it and one PLP more, time to the nanosecond");
    static const char *const pairs[][2] = {
        {"plp 0.constellation", "QPSK"},  {"plp 1.constellation", "64QAM"},
        {"plp 1.layer", "enhanced"},      {"plp 1.over", "0"},
        {"plp 16.constellation", "QPSK"}, {"plp 16.cells", "8100"},
        {"frame.l1_time", "ns"},
    };
    struct scenario scenario = scenario_default();
    SET_ALL(&scenario, pairs);
    assert_near(signalling_detail_count(&scenario.transmission), 459, 0, ON_AIR);
    assert_near(signalling_detail_bits(&scenario.transmission), 8 * 58, 0, ON_AIR);
}

static void signalling_on_air_takes_these_cells(void **state)
{
    (void)state;
    assumes("the modes of L1-Basic and L1-Detail and the length that were received");
    assert_near(cells_l1_detail(1, 8 * 42), 3611, 0, ON_AIR);
    assert_near(cells_l1_detail(1, 8 * 58), 4387, 0, ON_AIR);
    assert_near(cells_l1_detail(3, 8 * 64), 880, 0, ON_AIR);
    assert_near(cells_l1_basic(3), 484, 0, ON_AIR);
}

/* One decode of a weak station: where its second subframe starts. */
static void the_first_subframe_of_a_weak_station_ends_where_it_did(void **state)
{
    (void)state;
    assumes("times count from the start of the bootstrap");
    static const char *const pairs[][2] = {
        {"subframe a.fft", "8K"},       {"subframe a.guard", "GI4_768"},
        {"subframe a.pilots", "SP4_2"}, {"subframe a.symbols", "23"},
        {"subframe b.symbols", "60"},   {"frame.preamble_symbols", "2"},
        {"plp 0.subframe", "a"},        {"plp 1.subframe", "b"},
    };
    struct scenario scenario = scenario_default();
    struct frame frame;
    SET_ALL(&scenario, pairs);
    build(&scenario, &frame);
    assert_near(frame.pools[1].start_ms, 34.407, 5e-4, ON_AIR);
    assert_near(frame.pools[1].start_ms, 237824 / 6912.0, 1e-9, ON_AIR);
}

/* A trial's 4.5 and 17.5 Mbit/s: as told they are rounded. */
static void layers_of_a_trial_have_their_ratio_of_rates(void **state)
{
    (void)state;
    assumes("both layers lie in the same cells; the press told their rates rounded");
    static const char *const pairs[][2] = {
        {"plp core.constellation", "QPSK"},  {"plp core.rate", "7/15"},
        {"plp over.constellation", "64QAM"}, {"plp over.rate", "9/15"},
        {"plp over.layer", "enhanced"},      {"plp over.over", "core"},
    };
    struct scenario scenario = scenario_default();
    struct frame frame;
    SET_ALL(&scenario, pairs);
    build(&scenario, &frame);
    double ratio = plp_carried(&scenario.transmission, &frame, 1).net_mbps /
                   plp_carried(&scenario.transmission, &frame, 0).net_mbps;
    assert_near(ratio, 17.5 / 4.5, 0.05,
                "a field trial of 2019, 4.5 and 17.5 Mbit/s (trade press)");
    assert_near(ratio, 3.0 * (38688 - 16) / (30048 - 16), 1e-12, "payload bits of both codes");
}

/* 8K, c = 2, by boost: cells of a boundary symbol. */
static void boundary_symbols_with_fewer_carriers_are_those_of_the_patent(void **state)
{
    (void)state;
    assumes("8K, GI5_1024, carriers reduced by two steps; nulls do not count");
    static const struct {
        enum pilots pilots;
        int cells[BOOST_MAX + 1];
    } rows[] = {{SP3_2, {4433, 4433, 4008, 3695, 3371}},
                {SP3_4, {4433, 3796, 2841, 2088, 1492}},
                {SP4_2, {4993, 4869, 4472, 4158, 3910}},
                {SP4_4, {4993, 4212, 3371, 2788, 2183}}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        for (int boost = 0; boost <= BOOST_MAX; boost++) {
            struct waveform waveform = {.bandwidth_mhz = 6,
                                        .fft = FFT_8K,
                                        .guard = GI5_1024,
                                        .pilots = rows[i].pilots,
                                        .boost = boost,
                                        .reduction = 2};
            assert_near(cells_boundary(&waveform), rows[i].cells[boost], 0,
                        "US patent 11102042 (published)");
        }
    }
}

static void injection_levels_are_those_of_the_tables(void **state)
{
    (void)state;
    assumes("powers of both layers add up to that of the signal");
    static const struct {
        int code;
        double db, alpha, beta;
    } rows[] = {{0, 0.0, 1.0000000, 0.7071068},   {1, 0.5, 0.9440609, 0.7271524},
                {2, 1.0, 0.8912509, 0.7465331},   {3, 1.5, 0.8413951, 0.7651789},
                {4, 2.0, 0.7943282, 0.7830305},   {5, 2.5, 0.7498942, 0.8000406},
                {6, 3.0, 0.7079458, 0.8161736},   {7, 3.5, 0.6683439, 0.8314061},
                {8, 4.0, 0.6309573, 0.8457262},   {9, 4.5, 0.5956621, 0.8591327},
                {10, 5.0, 0.5623413, 0.8716346},  {11, 6.0, 0.5011872, 0.8940022},
                {12, 7.0, 0.4466836, 0.9130512},  {13, 8.0, 0.3981072, 0.9290819},
                {14, 9.0, 0.3548134, 0.9424353},  {15, 10.0, 0.3162278, 0.9534626},
                {16, 11.0, 0.2818383, 0.9625032}, {17, 12.0, 0.2511886, 0.9698706},
                {18, 13.0, 0.2238721, 0.9758449}, {19, 14.0, 0.1995262, 0.9806699},
                {20, 15.0, 0.1778279, 0.9845540}, {21, 16.0, 0.1584893, 0.9876723},
                {22, 17.0, 0.1412538, 0.9901705}, {23, 18.0, 0.1258925, 0.9921685},
                {24, 19.0, 0.1122018, 0.9937642}, {25, 20.0, 0.1000000, 0.9950372},
                {26, 21.0, 0.0891251, 0.9960519}, {27, 22.0, 0.0794328, 0.9968601},
                {28, 23.0, 0.0707946, 0.9975034}, {29, 24.0, 0.0630957, 0.9980154},
                {30, 25.0, 0.0562341, 0.9984226}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_near(injection_db(rows[i].code), rows[i].db, 0, "ATSC A/322:2024-04 Table 9.24");
        assert_near(injection_alpha(rows[i].code), rows[i].alpha, 5e-8,
                    "ATSC A/322:2024-04 Table 6.15");
        assert_near(injection_beta(rows[i].code), rows[i].beta, 5e-8,
                    "ATSC A/322:2024-04 Table 6.16");
    }
    for (int code = 0; code < INJECTION_LEVELS; code++) {
        double db = injection_db(code);
        assert_int_equal(injection_code(db), code);
        assert_near(injection_core_share(db) + injection_enhanced_share(db), 1.0, 1e-15, "all");
        assert_int_equal(injection_code(db + 0.25), -1);
    }
}

static void convolutional_interleavers_have_their_memory_and_delay(void **state)
{
    (void)state;
    assumes("one PLP of 10^6 cells a second");
    static const struct {
        enum interleaver interleaver;
        long memory;
    } rows[] = {{CTI_512, 130816},  {CTI_724, 261726},           {CTI_887, 392941},
                {CTI_1024, 523776}, {CTI_1254_EXTENDED, 785631}, {CTI_1448_EXTENDED, 1047628}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_near((double)interleaver_memory_cells(rows[i].interleaver), (double)rows[i].memory,
                    0, "ATSC A/322:2024-04 section 7.1.4");
        assert_near(interleaver_span_ms(rows[i].interleaver, 1e6), 2e-3 * (double)rows[i].memory,
                    1e-9, "rows (rows - 1) cells");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_verified_transmitters_rate_is_met_to_the_bit),
        cmocka_unit_test(two_subframes_on_air_are_met_cell_for_cell),
        cmocka_unit_test(a_layered_station_on_air_is_met_cell_for_cell),
        cmocka_unit_test(the_length_of_l1_detail_is_that_of_three_plps_on_air),
        cmocka_unit_test(signalling_on_air_takes_these_cells),
        cmocka_unit_test(the_first_subframe_of_a_weak_station_ends_where_it_did),
        cmocka_unit_test(layers_of_a_trial_have_their_ratio_of_rates),
        cmocka_unit_test(boundary_symbols_with_fewer_carriers_are_those_of_the_patent),
        cmocka_unit_test(injection_levels_are_those_of_the_tables),
        cmocka_unit_test(convolutional_interleavers_have_their_memory_and_delay),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
