#include "support/near.h"

#include <math.h>
#include <string.h>

#include "base/units.h"
#include "scenario/scenario.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/grid.h"
#include "standard/atsc3/pilots.h"

static struct transmission mode_8k(enum guard guard, enum pilots pilots)
{
    struct transmission mode = transmission_default();
    mode.subframes[0].waveform.fft = FFT_8K;
    mode.subframes[0].waveform.guard = guard;
    mode.subframes[0].waveform.pilots = pilots;
    return mode;
}

static void edges_are_pilots_and_the_comb_moves_with_the_symbol(void **state)
{
    (void)state;
    static uint8_t kinds[CARRIERS_MAX];
    struct transmission mode = mode_8k(GI6_1536, SP4_4);
    for (int l = 0; l < 8; l++) {
        int carriers = pilots_map(&mode.subframes[0].waveform, SYMBOL_DATA, l, kinds);
        assert_int_equal(carriers, 6913);
        assert_int_equal(kinds[0], CARRIER_EDGE);
        assert_int_equal(kinds[6912], CARRIER_EDGE);
        for (int k = 1; k < carriers - 1; k++) {
            if (k % 16 == 4 * (l % 4)) {
                assert_true(kinds[k] == CARRIER_SCATTERED || kinds[k] == CARRIER_CONTINUAL);
            } else {
                assert_true(kinds[k] == CARRIER_DATA || kinds[k] == CARRIER_CONTINUAL);
            }
        }
    }
}

static void a_boundary_symbol_has_a_pilot_every_dx(void **state)
{
    (void)state;
    static uint8_t kinds[CARRIERS_MAX];
    struct transmission mode = mode_8k(GI1_192, SP32_4);
    int carriers = pilots_map(&mode.subframes[0].waveform, SYMBOL_BOUNDARY, 0, kinds);
    for (int k = 0; k < carriers; k += 32) {
        assert_int_not_equal(kinds[k], CARRIER_DATA);
    }
}

static void continual_pilots_move_with_the_reduction_and_fall_away(void **state)
{
    (void)state;
    static uint8_t whole[CARRIERS_MAX], reduced[CARRIERS_MAX];
    struct transmission mode = mode_8k(GI1_192, SP32_4);
    int carriers = pilots_map(&mode.subframes[0].waveform, SYMBOL_PREAMBLE, 0, whole);
    mode.subframes[0].waveform.reduction = 3;
    int fewer = pilots_map(&mode.subframes[0].waveform, SYMBOL_PREAMBLE, 0, reduced);
    assert_int_equal(carriers - fewer, 3 * 96);
    for (int k = 0; k < fewer; k++) {
        assert_int_equal(reduced[k] == CARRIER_CONTINUAL, whole[k + 144] == CARRIER_CONTINUAL);
    }
}

static void the_first_preamble_symbol_is_always_the_narrowest(void **state)
{
    (void)state;
    static uint8_t kinds[CARRIERS_MAX];
    struct transmission mode = mode_8k(GI1_192, SP32_4);
    mode.subframes[0].waveform.reduction = 1;
    assert_int_equal(pilots_map(&mode.subframes[0].waveform, SYMBOL_FIRST_PREAMBLE, 0, kinds),
                     6913 - 4 * 96);
    assert_int_equal(pilots_map(&mode.subframes[0].waveform, SYMBOL_PREAMBLE, 0, kinds), 6913 - 96);
}

static void additional_continual_pilots_depend_on_the_reductions_parity(void **state)
{
    (void)state;
    struct transmission mode =
        mode_8k(GI2_384, SP16_4); /* 1744 always, 2912 and 5744 with even c */
    int common = 48;
    assert_int_equal(pilots_continual_count(&mode.subframes[0].waveform), common + 3);
    mode.subframes[0].waveform.reduction = 1;
    static uint8_t kinds[CARRIERS_MAX];
    pilots_map(&mode.subframes[0].waveform, SYMBOL_DATA, 0, kinds);
    assert_int_equal(kinds[1744], CARRIER_CONTINUAL);
    assert_int_not_equal(kinds[2912], CARRIER_CONTINUAL);
    assert_int_not_equal(kinds[5744], CARRIER_CONTINUAL);
}

/* The mean over the map's carriers, each with its kind's power, is what the count gives. */
static void the_mean_power_is_that_of_the_map(void **state)
{
    (void)state;
    static uint8_t kinds[CARRIERS_MAX];
    struct transmission mode = transmission_default();
    for (int boost = 0; boost <= BOOST_MAX; boost++) {
        mode.subframes[0].waveform.boost = boost;
        int carriers = pilots_map(&mode.subframes[0].waveform, SYMBOL_DATA, 1, kinds);
        double scattered =
                   ratio_from_db(pilots_scattered_db(mode.subframes[0].waveform.pilots, boost)),
               sum = 0;
        for (int k = 0; k < carriers; k++) {
            sum += kinds[k] == CARRIER_DATA        ? 1.0
                   : kinds[k] == CARRIER_CONTINUAL ? ratio_from_db(8.52)
                                                   : scattered;
        }
        assert_near(pilots_mean_power_db(&mode.subframes[0].waveform),
                    db_from_ratio(sum / carriers), 1e-12, "sum over the map");
    }
}

static void preamble_spacing_on_long_guards_follows_the_pattern(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    mode.subframes[0].waveform.fft = FFT_32K;
    mode.subframes[0].waveform.guard = GI9_3072;
    mode.subframes[0].waveform.pilots = SP8_2;
    assert_int_equal(pilots_preamble_dx(&mode.subframes[0].waveform), 8);
    mode.subframes[0].waveform.pilots = SP3_2;
    assert_int_equal(pilots_preamble_dx(&mode.subframes[0].waveform), 3);
}

static void each_boost_raises_the_pilots(void **state)
{
    (void)state;
    for (int pilots = 0; pilots < PILOTS_COUNT; pilots++) {
        assert_near(pilots_scattered_db((enum pilots)pilots, 0), 0.0, 0, "Table 8.4, boost 0");
        for (int boost = 1; boost <= BOOST_MAX; boost++) {
            assert_true(pilots_scattered_db((enum pilots)pilots, boost) >=
                        pilots_scattered_db((enum pilots)pilots, boost - 1));
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(edges_are_pilots_and_the_comb_moves_with_the_symbol),
        cmocka_unit_test(a_boundary_symbol_has_a_pilot_every_dx),
        cmocka_unit_test(continual_pilots_move_with_the_reduction_and_fall_away),
        cmocka_unit_test(the_first_preamble_symbol_is_always_the_narrowest),
        cmocka_unit_test(additional_continual_pilots_depend_on_the_reductions_parity),
        cmocka_unit_test(the_mean_power_is_that_of_the_map),
        cmocka_unit_test(preamble_spacing_on_long_guards_follows_the_pattern),
        cmocka_unit_test(each_boost_raises_the_pilots),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
