#include "support/near.h"

#include <math.h>

#include "base/many.h"
#include "base/random.h"
#include "base/units.h"

#define COUNT 1001 /* no multiple of what is done at a time */

static void logarithms_are_those_of_the_library(void **state)
{
    (void)state;
    static float values[COUNT], logs[COUNT];
    struct random random = random_seeded(21, 0);
    for (int i = 0; i < COUNT; i++) {
        values[i] = (float)exp2(200.0 * random_uniform(&random) - 100.0);
    }
    values[0] = 8.0f;
    values[1] = 1.0f;
    many_log2(values, logs, COUNT);
    assert_near(logs[0], 3.0, 3e-7, "worked number");
    for (int i = 0; i < COUNT; i++) {
        double exact = log2((double)values[i]);
        assert_near(logs[i], exact, 3e-7 + 1.2e-7 * fabs(exact), "math library, single precision");
    }
    many_log2(values, values, COUNT);
    assert_near(values[COUNT - 1], logs[COUNT - 1], 0.0, "in place");
}

static void cosines_and_sines_are_those_of_the_library(void **state)
{
    (void)state;
    static float turns[COUNT], cosines[COUNT], sines[COUNT];
    struct random random = random_seeded(22, 0);
    for (int i = 0; i < COUNT; i++) {
        turns[i] = (float)(200.0 * random_uniform(&random) - 100.0);
    }
    turns[0] = 0.25f;
    turns[1] = -0.5f;
    many_turns(turns, cosines, sines, COUNT);
    assert_near(cosines[0], 0.0, 5e-7, "a quarter of a turn");
    assert_near(cosines[1], -1.0, 5e-7, "half a turn");
    for (int i = 0; i < COUNT; i++) {
        double angle = 2.0 * PI * (double)turns[i];
        assert_near(cosines[i], cos(angle), 5e-7, "math library, single precision");
        assert_near(sines[i], sin(angle), 5e-7, "math library, single precision");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(logarithms_are_those_of_the_library),
        cmocka_unit_test(cosines_and_sines_are_those_of_the_library),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
