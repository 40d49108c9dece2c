#include "support/near.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_sf_gamma.h>
#include <math.h>

#include "base/random.h"
#include "simulation/interval.h"

static void the_incomplete_beta_function_equals_gsl(void **state)
{
    (void)state;
    assumes("exact arithmetic but for rounding");
    struct random random = random_seeded(1, 1);
    for (int i = 0; i < 2000; i++) {
        double a = pow(10.0, 6.0 * random_uniform(&random) - 1.0);
        double b = pow(10.0, 6.0 * random_uniform(&random) - 1.0);
        double spread = sqrt(a * b / (a + b + 1.0)) / (a + b);
        double x = a / (a + b) + 6.0 * spread * (random_uniform(&random) - 0.5);
        if (x > 0.0 && x < 1.0) {
            double expected = gsl_cdf_beta_P(x, a, b);
            assert_near(incomplete_beta(a, b, x), expected, 1e-9, "GSL");
        }
    }
    assert_true(incomplete_beta(2.0, 3.0, 0.0) == 0.0);
    assert_true(incomplete_beta(2.0, 3.0, 1.0) == 1.0);
}

static void intervals_end_at_quantiles_of_the_beta_distribution(void **state)
{
    (void)state;
    assumes("errors do not hang on each other");
    static const long rows[][2] = {{1, 10},      {3, 100},       {50, 100},   {99, 100},
                                   {30, 100000}, {100, 1000000}, {1, 1000000}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double k = (double)rows[i][0], n = (double)rows[i][1];
        struct interval interval = interval_of_rate(rows[i][0], rows[i][1], 0.95);
        assert_near(gsl_cdf_beta_P(interval.low, k, n - k + 1.0), 0.025, 1e-8,
                    "GSL, Clopper and Pearson 1934");
        assert_near(gsl_cdf_beta_Q(interval.high, k + 1.0, n - k), 0.025, 1e-8,
                    "GSL, Clopper and Pearson 1934");
    }
}

static void intervals_end_where_nothing_or_all_failed(void **state)
{
    (void)state;
    struct interval none = interval_of_rate(0, 100, 0.95);
    assert_true(none.low == 0.0);
    assert_near(none.high, 1.0 - pow(0.025, 0.01), 1e-12, "1 - 0.025^(1/n)");
    struct interval all = interval_of_rate(100, 100, 0.95);
    assert_near(all.low, pow(0.025, 0.01), 1e-12, "0.025^(1/n)");
    assert_true(all.high == 1.0);
    struct interval unknown = interval_of_rate(0, 0, 0.95);
    assert_true(unknown.low == 0.0 && unknown.high == 1.0);
}

/* The promise itself: sum the binomial probabilities of all outcomes whose interval holds the true
 * rate; it must be 95 % or more for every rate. */
static void the_true_rate_is_inside_at_least_as_often_as_promised(void **state)
{
    (void)state;
    const long n = 40;
    struct interval intervals[41];
    for (long k = 0; k <= n; k++) {
        intervals[k] = interval_of_rate(k, n, 0.95);
    }
    for (double p = 0.01; p < 1.0; p += 0.01) {
        double inside = 0.0;
        for (long k = 0; k <= n; k++) {
            double probability = gsl_sf_choose((unsigned)n, (unsigned)k) * pow(p, (double)k) *
                                 pow(1.0 - p, (double)(n - k));
            inside += p >= intervals[k].low && p <= intervals[k].high ? probability : 0.0;
        }
        assert_between(inside, 0.95, 1.0, "Clopper and Pearson 1934");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_incomplete_beta_function_equals_gsl),
        cmocka_unit_test(intervals_end_at_quantiles_of_the_beta_distribution),
        cmocka_unit_test(intervals_end_where_nothing_or_all_failed),
        cmocka_unit_test(the_true_rate_is_inside_at_least_as_often_as_promised),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
