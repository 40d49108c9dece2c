#include "support/near.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "physics/information/published_snr.h"
#include "physics/information/thresholds.h"

/* Every published value is held against this project's simulated table; nothing else is claimed to
 * be published. */
static void published_values_lie_beside_the_simulated_ones(void **state)
{
    (void)state;
    int printed = 0, remembered = 0;
    for (int l = 0; l < LENGTH_COUNT; l++) {
        for (int c = 0; c < CONSTELLATION_COUNT; c++) {
            for (int rate = RATE_MIN_15THS - 1; rate <= RATE_MAX_15THS + 1; rate++) {
                enum code_length length = (enum code_length)l;
                enum constellation constellation = (enum constellation)c;
                struct published_snr row = published_snr(length, constellation, rate, FADING_AWGN);
                assert_true(isnan(row.snr_db) == (row.source == NULL));
                if (row.source) {
                    bool memory = strstr(row.source, "from memory") != NULL;
                    assert_int_equal(memory, strstr(row.mark, "memory") != NULL);
                    assert_near(threshold_snr_db(length, constellation, rate, FADING_AWGN),
                                row.snr_db, memory ? 0.3 : 0.4, row.source);
                    *(memory ? &remembered : &printed) += 1;
                }
                assert_null(published_snr(length, constellation, rate, FADING_RAYLEIGH).source);
            }
        }
    }
    assert_int_equal(printed, 5);
    assert_int_equal(remembered, 2 * RATE_COUNT - 1); /* QPSK 2/15 is there in print */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_values_lie_beside_the_simulated_ones),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
