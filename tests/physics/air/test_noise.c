#include "support/near.h"

#include <math.h>

#include "base/units.h"
#include "physics/air/noise.h"

static const struct receiver quiet = {.noise_figure_db = 7.0};

static void without_man_made_noise_only_the_noise_figure_adds(void **state)
{
    (void)state;
    assert_near(noise_total_dbm(&quiet, 6.0, 195.0), noise_thermal_dbm(6.0) + 7.0, 1e-9,
                "noise figure");
}

/* 63 MHz, city: Fam = 76.8 - 27.7 x 1.79934 = 26.958 dB, behind 1 dB of line (496.4 - 1) / 1.2589 =
 * 393.5; with the receiver's 7 dB: 10 log10(393.5 + 5.01) = 26.00 dB above k T B. */
static void man_made_noise_rules_in_a_city_on_low_vhf(void **state)
{
    (void)state;
    struct receiver receiver = quiet;
    receiver.man_made = MAN_MADE_CITY;
    receiver.line_loss_db = 1.0;
    assert_near(noise_total_dbm(&receiver, 6.0, 63.0), noise_thermal_dbm(6.0) + 26.004, 0.002,
                "sum by hand");
}

static void noise_grows_with_every_source_of_it(void **state)
{
    (void)state;
    for (double mhz = 54.0; mhz < 608.0; mhz += 7.0) {
        double previous = -INFINITY;
        for (int kind = 0; kind < MAN_MADE_COUNT; kind++) {
            struct receiver receiver = quiet;
            receiver.man_made = (enum man_made_noise)kind;
            double total = noise_total_dbm(&receiver, 6.0, mhz);
            double heard_db = noise_man_made_db(receiver.man_made, mhz);
            assert_true(total >= previous); /* what is below warmth adds nothing */
            assert_int_equal(heard_db > 0.0, total > noise_thermal_dbm(6.0) + 7.0 + 1e-9);
            previous = total;
            receiver.noise_figure_db += 1.0;
            assert_true(noise_total_dbm(&receiver, 6.0, mhz) > total);
            assert_true(noise_total_dbm(&receiver, 8.0, mhz) > total);
        }
    }
}

static void gain_and_line_shift_the_level_by_themselves(void **state)
{
    (void)state;
    double level = level_from_field_dbm(60.0, 500.0, 0.0, 0.0);
    assert_near(level, 60.0 - 20.0 * log10(500.0) - 75.07, 0.01, "half-wave dipole in a field");
    assert_near(level_from_field_dbm(60.0, 500.0, 10.0, 4.0), level + 6.0, 1e-9, "gain less line");
}

/* Twice as wide a channel takes twice the noise, whatever the plan. */
static void the_field_that_is_needed_follows_the_width(void **state)
{
    (void)state;
    for (int plan = 0; plan < PLAN_COUNT; plan++) {
        for (double mhz = 60.0; mhz < 600.0; mhz += 130.0) {
            double narrow = planning_field_dbuvm((enum channel_plan)plan, 15.0, mhz, 6.0);
            double wide = planning_field_dbuvm((enum channel_plan)plan, 15.0, mhz, 8.0);
            assert_near(wide - narrow, 10.0 * log10(8.0 / 6.0), 1e-9, "1.25 dB");
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_man_made_noise_only_the_noise_figure_adds),
        cmocka_unit_test(man_made_noise_rules_in_a_city_on_low_vhf),
        cmocka_unit_test(noise_grows_with_every_source_of_it),
        cmocka_unit_test(gain_and_line_shift_the_level_by_themselves),
        cmocka_unit_test(the_field_that_is_needed_follows_the_width),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
