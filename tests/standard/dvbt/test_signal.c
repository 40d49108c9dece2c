/* Structure of DVB-T's tables: pilots, cells, rates. */
#include "support/near.h"

#include "base/units.h"
#include "standard/dvbt/signal.h"

static void every_symbol_has_the_same_number_of_cells(void **state)
{
    (void)state;
    uint8_t kinds[DVBT_CARRIERS_MAX];
    for (int fft = 0; fft < DVBT_FFT_COUNT; fft++) {
        for (int l = 0; l < DVBT_FRAME_SYMBOLS; l++) {
            int cells = 0, carriers = dvbt_map((enum dvbt_fft)fft, l, kinds);
            for (int k = 0; k < carriers; k++) {
                cells += kinds[k] == DVBT_CELL;
            }
            assert_int_equal(carriers, dvbt_carriers((enum dvbt_fft)fft));
            assert_int_equal(cells, dvbt_data_cells((enum dvbt_fft)fft));
        }
    }
}

static void continual_and_signalling_carriers_are_as_many_as_the_document_says(void **state)
{
    (void)state;
    static const int tps_expected[DVBT_FFT_COUNT] = {17, 34, 68};
    uint8_t kinds[DVBT_CARRIERS_MAX];
    for (int fft = 0; fft < DVBT_FFT_COUNT; fft++) {
        int tps = 0, carriers = dvbt_map((enum dvbt_fft)fft, 0, kinds);
        for (int k = 0; k < carriers; k++) {
            tps += kinds[k] == DVBT_TPS;
        }
        assert_int_equal(tps, tps_expected[fft]);
    }
}

static void streams_of_a_hierarchy_carry_together_what_the_constellation_holds(void **state)
{
    (void)state;
    struct dvbt mode = {.fft = DVBT_8K,
                        .guard = DVBT_1_8,
                        .constellation = DVBT_64QAM,
                        .rate = DVBT_3_4,
                        .hierarchy = DVBT_ALPHA_2,
                        .low_rate = DVBT_3_4};
    double high = dvbt_stream_mbps(&mode, 8);
    mode.priority = DVBT_LOW;
    double low = dvbt_stream_mbps(&mode, 8);
    assert_near(high + low, dvbt_net_mbps(&mode, 8), 1e-12, "sum of both streams");
    mode.hierarchy = DVBT_PLAIN;
    assert_near(high + low, dvbt_net_mbps(&mode, 8), 1e-12, "the same code rate in both");
    assert_int_equal(dvbt_stream_bits(&mode), 6);
}

static void qpsk_has_no_second_stream_and_four_megahertz_no_signal(void **state)
{
    (void)state;
    struct fault fault;
    struct dvbt mode = {.hierarchy = DVBT_ALPHA_1};
    assert_int_equal(dvbt_check(&mode, 8, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "dvbt.hierarchy");
    mode.hierarchy = DVBT_PLAIN;
    assert_int_equal(dvbt_check(&mode, 8, &fault), STATUS_OK);
    assert_int_equal(dvbt_check(&mode, 4, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "site.bandwidth_mhz");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_symbol_has_the_same_number_of_cells),
        cmocka_unit_test(continual_and_signalling_carriers_are_as_many_as_the_document_says),
        cmocka_unit_test(streams_of_a_hierarchy_carry_together_what_the_constellation_holds),
        cmocka_unit_test(qpsk_has_no_second_stream_and_four_megahertz_no_signal),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
