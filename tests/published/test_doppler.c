#include "support/near.h"

#include <math.h>

#include "base/units.h"
#include "physics/ofdm/doppler.h"

/* 16K at 6 MHz, GI5_1024, pilots that come back after two symbols. */
static const struct ofdm_grid grid = {
    .useful_us = 16384.0 / 6.912, .symbol_us = 17408.0 / 6.912, .dy = 2};

/* Simpson's rule on the integral itself. */
static double li_and_cimini(double spread_hz, double useful_us)
{
    enum { PANELS = 400 };
    double sum = 0.0;
    for (int i = 0; i <= PANELS; i++) {
        double x = (double)i / PANELS;
        double value = (1.0 - x) * j0(2.0 * PI * spread_hz * useful_us * 1e-6 * x);
        sum += value * (i == 0 || i == PANELS ? 1.0 : i % 2 == 1 ? 4.0 : 2.0);
    }
    return 1.0 - 2.0 * sum / (3.0 * PANELS);
}

static void interference_of_the_classical_spectrum_is_the_published_integral(void **state)
{
    (void)state;
    assumes("rays from all sides, equally strong");
    const char *source = "Li and Cimini 2001, their integral by Simpson's rule";
    for (double hz = 1.0; hz < 1000.0; hz *= 1.6) {
        assert_near(doppler_leak(0.0, hz, grid.useful_us), li_and_cimini(hz, grid.useful_us), 1e-7,
                    source);
    }
    assert_near(db_from_ratio(doppler_leak(0.0, 46.8, grid.useful_us)), -16.99, 0.005,
                "computed apart, 16K at 46.8 Hz");
}

static void the_published_bounds_are_first_terms(void **state)
{
    (void)state;
    assumes("the first term of a series; turns within a symbol are small");
    for (double product = 0.005; product <= 0.1; product *= 1.5) {
        double turn = PI * product, bound = turn * turn;
        assert_between(bound / 6.0 / doppler_leak(0.0, product * 1e3, 1000.0), 1.0,
                       1.0 + 0.2 * bound, "Li and Cimini 2001, classical spectrum");
        assert_between(bound / 3.0 / doppler_leak(product * 1e3, 0.0, 1000.0), 1.0,
                       1.0 + 0.2 * bound, "Li and Cimini 2001, two rays");
    }
}

/* The value was computed apart, over what stays useful; ours is over all of the ray's power. */
static void estimates_drawn_between_pilots_err_as_computed_apart(void **state)
{
    (void)state;
    assumes("straight lines between pilots two symbols apart; no noise");
    double useful = 1.0 - doppler_leak(0.0, 46.8, grid.useful_us);
    double error = doppler_estimation_error(&grid, 0.0, 46.8);
    assert_near(db_from_ratio(error / useful), -15.7, 0.05, "computed apart, 16K, Dy 2, 46.8 Hz");
    double x = 2.0 * PI * 46.8 * grid.symbol_us * 1e-6;
    assert_near(error, 1.5 + 0.5 * j0(2.0 * x) - 2.0 * j0(x), 1e-12, "J0 of Clarke and Jakes");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(interference_of_the_classical_spectrum_is_the_published_integral),
        cmocka_unit_test(the_published_bounds_are_first_terms),
        cmocka_unit_test(estimates_drawn_between_pilots_err_as_computed_apart),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
