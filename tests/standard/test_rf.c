#include "support/near.h"

#include <math.h>

#include "standard/rf.h"

static void channels_outside_the_plan_do_not_exist(void **state)
{
    (void)state;
    static const int outside[] = {-1, 0, 1, 37, 51, 69};
    for (size_t i = 0; i < sizeof outside / sizeof outside[0]; i++) {
        assert_false(rf_channel_exists(outside[i]));
        assert_true(isnan(rf_center_mhz(outside[i])));
    }
}

static void every_channel_is_found_again_by_its_middle(void **state)
{
    (void)state;
    for (int channel = RF_CHANNEL_MIN; channel <= RF_CHANNEL_MAX; channel++) {
        assert_true(rf_channel_exists(channel));
        assert_int_equal(rf_channel_at(rf_center_mhz(channel)), channel);
        assert_int_equal(rf_channel_at(rf_center_mhz(channel) + 0.009), channel);
        assert_int_equal(rf_channel_at(rf_center_mhz(channel) + 0.011), 0);
        if (channel > RF_CHANNEL_MIN) {
            assert_true(rf_center_mhz(channel) - rf_center_mhz(channel - 1) >= 6.0);
        }
    }
    assert_int_equal(rf_channel_at(NAN), 0);
}

static void bands_split_where_the_plan_has_gaps(void **state)
{
    (void)state;
    for (int channel = RF_CHANNEL_MIN; channel <= RF_CHANNEL_MAX; channel++) {
        enum band expected = channel <= 6 ? BAND_LOW_VHF : channel <= 13 ? BAND_HIGH_VHF : BAND_UHF;
        assert_int_equal(rf_band(rf_center_mhz(channel)), expected);
    }
    assert_string_equal(band_name(BAND_LOW_VHF), "low VHF");
    assert_string_equal(band_name(BAND_UHF), "UHF");
    assert_string_equal(band_name(BAND_COUNT), "?");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(channels_outside_the_plan_do_not_exist),
        cmocka_unit_test(every_channel_is_found_again_by_its_middle),
        cmocka_unit_test(bands_split_where_the_plan_has_gaps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
