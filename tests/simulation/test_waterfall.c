#include "support/near.h"

#include <math.h>

#include "base/random.h"
#include "simulation/waterfall.h"

static void two_exact_points_give_the_line_through_them(void **state)
{
    (void)state;
    /* Q(1) = 0.158655, Q(3) = 0.00134990: counts as near to that as whole numbers allow. */
    static const struct waterfall_point points[] = {{10.0, 100000000, 15865525},
                                                    {10.4, 100000000, 134990}};
    struct waterfall fit;
    assert_int_equal(waterfall_fit(points, 2, &fit), STATUS_OK);
    assert_near(fit.steepness, 5.0, 1e-4, "2 deviations in 0.4 dB");
    assert_near(fit.middle_db, 9.8, 1e-5, "10 dB less 1 deviation");
    assert_near(waterfall_snr_db(&fit, 1e-4), 9.8 + 3.7190165 / 5.0, 1e-4, "Q(3.719) = 1e-4");
    assert_near(waterfall_snr_db(&fit, 0.0013499), 10.4, 1e-5, "Q(3)");
}

/* Counts drawn from a known curve: the fit's error must be as large as it says. */
static void the_stated_error_is_that_of_repeated_experiments(void **state)
{
    (void)state;
    const double middle = 18.0, steepness = 14.0, snr[] = {18.06, 18.12, 18.18, 18.22};
    const long frames[] = {200, 1000, 4000, 10000};
    struct random random = random_seeded(21, 0);
    double sum = 0.0, squares = 0.0, stated = 0.0;
    const int runs = 200;
    for (int run = 0; run < runs; run++) {
        struct waterfall_point points[4];
        for (int i = 0; i < 4; i++) {
            double rate = 0.5 * erfc(steepness * (snr[i] - middle) * sqrt(0.5));
            points[i] = (struct waterfall_point){snr[i], frames[i], 0};
            for (long k = 0; k < frames[i]; k++) {
                points[i].errors += random_uniform(&random) < rate;
            }
        }
        struct waterfall fit;
        assert_int_equal(waterfall_fit(points, 4, &fit), STATUS_OK);
        double off = waterfall_snr_db(&fit, 1e-4) - (middle + 3.7190165 / steepness);
        sum += off;
        squares += off * off;
        stated += waterfall_error_db(&fit, 1e-4);
    }
    double deviation = sqrt(squares / runs);
    stated /= runs;
    /* The deviation of 200 experiments is known to 5 %; the mean is off by its own bias too. */
    assert_near(deviation / stated, 1.0, 0.25, "repeated experiments");
    assert_near(sum / runs, 0.0, 0.35 * stated, "no bias to speak of");
}

static void counts_without_a_fall_have_no_fit(void **state)
{
    (void)state;
    struct waterfall fit;
    static const struct waterfall_point one[] = {{10.0, 100, 10}};
    static const struct waterfall_point no_errors[] = {{10.0, 100, 0}, {11.0, 100, 0}};
    static const struct waterfall_point all_errors[] = {{10.0, 100, 100}, {11.0, 50, 50}};
    static const struct waterfall_point rising[] = {{10.0, 100, 5}, {11.0, 100, 50}};
    static const struct waterfall_point same[] = {{10.0, 100, 5}, {10.0, 100, 50}};
    assert_int_equal(waterfall_fit(one, 1, &fit), STATUS_NO_SOLUTION);
    assert_int_equal(waterfall_fit(no_errors, 2, &fit), STATUS_NO_SOLUTION);
    assert_int_equal(waterfall_fit(all_errors, 2, &fit), STATUS_NO_SOLUTION);
    assert_int_equal(waterfall_fit(rising, 2, &fit), STATUS_NO_SOLUTION);
    assert_int_equal(waterfall_fit(same, 2, &fit), STATUS_NO_SOLUTION);
}

static void points_without_errors_count_too(void **state)
{
    (void)state;
    static const struct waterfall_point few[] = {{10.0, 100, 30}, {10.1, 100, 5}};
    static const struct waterfall_point more[] = {{10.0, 100, 30}, {10.1, 100, 5}, {10.2, 2000, 0}};
    struct waterfall without, with;
    assert_int_equal(waterfall_fit(few, 2, &without), STATUS_OK);
    assert_int_equal(waterfall_fit(more, 3, &with), STATUS_OK);
    assert_true(waterfall_snr_db(&with, 1e-4) < waterfall_snr_db(&without, 1e-4));
    assert_true(waterfall_error_db(&with, 1e-4) < waterfall_error_db(&without, 1e-4));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_exact_points_give_the_line_through_them),
        cmocka_unit_test(the_stated_error_is_that_of_repeated_experiments),
        cmocka_unit_test(counts_without_a_fall_have_no_fit),
        cmocka_unit_test(points_without_errors_count_too),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
