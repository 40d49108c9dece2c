#include "support/near.h"

#include <math.h>

#include "simulation/ldpc/softness.h"

#define ONCE(value) value
static const int by_halves[] = {SOFTNESS_AT_0, SOFTNESS(ONCE)};
static const int falls[] = {SOFTNESS_FALLS};
enum { ENTRIES = sizeof by_halves / sizeof by_halves[0], FALLS = sizeof falls / sizeof falls[0] };

static double exact(double x)
{
    return (double)STEPS * log1p(exp(-x / (double)STEPS));
}

/* An entry that two x share is the mean of both, rounded. */
static void the_table_is_the_logarithm_rounded(void **state)
{
    (void)state;
    assert_int_equal(ENTRIES, 32);
    assert_near(by_halves[0], exact(0), 0.5, "ln(1 + e^-x)");
    for (int t = 1; t < ENTRIES - 1; t++) {
        assert_near(by_halves[t], (exact(2 * t - 1) + exact(2 * t)) / 2, 0.5, "ln(1 + e^-x)");
    }
    /* The last is that of all larger x, which are none to be softened by. */
    assert_int_equal(by_halves[ENTRIES - 1], 0);
}

static void the_falls_are_those_of_the_table(void **state)
{
    (void)state;
    assert_int_equal(FALLS, SOFTNESS_AT_0);
    for (int x = 0; x < 2 * ENTRIES; x++) {
        int half = (x + 1) / 2, soft = 0;
        for (int i = 0; i < FALLS; i++) {
            soft += x <= falls[i];
        }
        assert_int_equal(soft, by_halves[half < ENTRIES ? half : ENTRIES - 1]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_table_is_the_logarithm_rounded),
        cmocka_unit_test(the_falls_are_those_of_the_table),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
