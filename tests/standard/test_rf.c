#include "support/near.h"

#include <math.h>

#include "standard/rf.h"

static void channels_outside_the_plan_do_not_exist(void **state)
{
    (void)state;
    static const int outside[] = {-1, 0, 1, 37, 51, 69};
    for (size_t i = 0; i < sizeof outside / sizeof outside[0]; i++) {
        assert_false(rf_channel_exists(PLAN_US, outside[i]));
        assert_true(isnan(rf_center_mhz(PLAN_US, outside[i])));
    }
}

static void every_channel_is_found_again_by_its_middle(void **state)
{
    (void)state;
    for (int channel = RF_CHANNEL_MIN; channel <= 36; channel++) {
        assert_true(rf_channel_exists(PLAN_US, channel));
        assert_int_equal(rf_channel_at(PLAN_US, rf_center_mhz(PLAN_US, channel)), channel);
        assert_int_equal(rf_channel_at(PLAN_US, rf_center_mhz(PLAN_US, channel) + 0.009), channel);
        assert_int_equal(rf_channel_at(PLAN_US, rf_center_mhz(PLAN_US, channel) + 0.011), 0);
        if (channel > RF_CHANNEL_MIN) {
            assert_true(rf_center_mhz(PLAN_US, channel) - rf_center_mhz(PLAN_US, channel - 1) >=
                        6.0);
        }
    }
    assert_int_equal(rf_channel_at(PLAN_US, NAN), 0);
}

static void channels_of_region_1_stand_side_by_side_in_two_bands(void **state)
{
    (void)state;
    static const struct {
        int channel, width_mhz;
        double low_mhz;
    } rows[] = {{5, 7, 174.0}, {12, 7, 223.0}, {21, 8, 470.0}, {30, 8, 542.0}, {48, 8, 686.0}};
    char words[64];
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double low = rf_center_mhz(PLAN_REGION_1, rows[i].channel) - rows[i].width_mhz / 2.0;
        assert_near(low, rows[i].low_mhz, 0, "GE06, VHF III and UHF (from memory)");
        assert_int_equal(rf_width_mhz(PLAN_REGION_1, rows[i].channel), rows[i].width_mhz);
    }
    for (int channel = 0; channel < 80; channel++) {
        bool exists = (channel >= 5 && channel <= 12) || (channel >= 21 && channel <= 48);
        assert_int_equal(rf_channel_exists(PLAN_REGION_1, channel), exists);
    }
    rf_channels_words(PLAN_REGION_1, words, sizeof words);
    assert_string_equal(words, "5 to 12 or 21 to 48");
    rf_channels_words(PLAN_US, words, sizeof words);
    assert_string_equal(words, "2 to 36");
}

static void bands_split_where_the_plan_has_gaps(void **state)
{
    (void)state;
    for (int channel = RF_CHANNEL_MIN; channel <= 36; channel++) {
        enum band expected = channel <= 6 ? BAND_LOW_VHF : channel <= 13 ? BAND_HIGH_VHF : BAND_UHF;
        assert_int_equal(rf_band(rf_center_mhz(PLAN_US, channel)), expected);
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
        cmocka_unit_test(channels_of_region_1_stand_side_by_side_in_two_bands),
        cmocka_unit_test(bands_split_where_the_plan_has_gaps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
