/* Inner code and interleavers of DVB-T against the document's tables. */
#include "support/near.h"

#include <math.h>
#include <string.h>

#include "standard/dvbt/inner.h"

/* ETSI EN 300 744 table 2, from memory: X and Y of each step, 1 where it is sent. */
static void rates_are_punctured_as_table_2_says(void **state)
{
    (void)state;
    static const char *const rows[DVBT_RATE_COUNT][2] = {[DVBT_1_2] = {"1", "1"},
                                                         [DVBT_2_3] = {"10", "11"},
                                                         [DVBT_3_4] = {"101", "110"},
                                                         [DVBT_5_6] = {"10101", "11010"},
                                                         [DVBT_7_8] = {"1000101", "1111010"}};
    for (int rate = 0; rate < DVBT_RATE_COUNT; rate++) {
        struct dvbt_puncture puncture = dvbt_puncture((enum dvbt_rate)rate);
        assert_int_equal(puncture.period, strlen(rows[rate][0]));
        int sent = 0;
        for (int step = 0; step < puncture.period; step++) {
            assert_int_equal(puncture.x >> step & 1, rows[rate][0][step] - '0');
            assert_int_equal(puncture.y >> step & 1, rows[rate][1][step] - '0');
            sent += (puncture.x >> step & 1) + (puncture.y >> step & 1);
        }
        assert_near((double)puncture.period / sent, dvbt_rate_value((enum dvbt_rate)rate), 1e-12,
                    "bits in over bits sent");
    }
}

/* 4.3.4.1, from memory: H0(w) = w, and w + 63, 105, 42, 21, 84 modulo 126. */
static void bits_of_a_block_are_shifted_by_stream(void **state)
{
    (void)state;
    static const int first[6] = {0, 63, 105, 42, 21, 84};
    for (int stream = 0; stream < 6; stream++) {
        for (int w = 0; w < DVBT_BIT_BLOCK; w++) {
            assert_int_equal(dvbt_bit_from(stream, w), (first[stream] + w) % 126);
        }
    }
}

/* 4.3.5: Gray codes; a hierarchy's quadrants lie alpha - 1 further from the axes. */
static void neighbouring_levels_differ_in_one_bit(void **state)
{
    (void)state;
    double levels[8];
    for (int i = 0; i < DVBT_CONSTELLATION_COUNT * DVBT_HIERARCHY_COUNT; i++) {
        struct dvbt mode = {.constellation = (enum dvbt_constellation)(i / DVBT_HIERARCHY_COUNT),
                            .hierarchy = (enum dvbt_hierarchy)(i % DVBT_HIERARCHY_COUNT)};
        int count = dvbt_levels(&mode, levels), alpha = dvbt_alpha(mode.hierarchy);
        double power = 0.0, least = INFINITY;
        for (int a = 0; a < count; a++) {
            power += 2.0 * levels[a] * levels[a] / count;
            least = fmin(least, fabs(levels[a]));
        }
        assert_near(power, 1.0, 1e-12, "unit mean power of a cell");
        double step = 2.0 * least / alpha; /* the inner level is alpha steps of 1/2 out */
        for (int a = 0; a < count; a++) {
            double next = levels[a] + (levels[a] == -least ? 2.0 * least : step);
            for (int b = 0; b < count; b++) {
                int differs = a ^ b;
                if (fabs(levels[b] - next) < 1e-9) {
                    assert_true(differs != 0 && (differs & (differs - 1)) == 0);
                    next = NAN;
                }
            }
            assert_true(isnan(next) || levels[a] > 0.0); /* only the outmost has none above */
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rates_are_punctured_as_table_2_says),
        cmocka_unit_test(bits_of_a_block_are_shifted_by_stream),
        cmocka_unit_test(neighbouring_levels_differ_in_one_bit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
