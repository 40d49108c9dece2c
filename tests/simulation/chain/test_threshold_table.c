/* The points that the committed thresholds were read off, simulated again: with the table's seed
 * each comes out to the very count, on any processor. */
#include "support/effort.h"
#include "support/near.h"

#include <math.h>

#include "physics/information/thresholds.h"
#include "simulation/chain/chain_run.h"

static void simulate_again(const struct threshold *row, const struct threshold_point *point)
{
    struct chain_setup setup = chain_setup_default();
    setup.length = (enum code_length)row->length;
    setup.constellation = (enum constellation)row->constellation;
    setup.rate_15ths = row->rate_15ths;
    setup.iterations = threshold_iterations;
    setup.channel = row->fading == FADING_AWGN ? CHANNEL_AWGN : CHANNEL_RAYLEIGH;
    struct chain *chain;
    assert_int_equal(chain_create(&setup, &chain), STATUS_OK);
    const struct chain_point at = {chain, round((double)point->snr_db * 100.0) / 100.0};
    const struct run_job job = chain_run_job(&at);
    const struct run_limits limits = {.frames = point->frames,
                                      .seed = threshold_seed,
                                      .threads = run_processors(),
                                      .part = 1,
                                      .parts = 1};
    struct run_counts counts;
    assert_int_equal(run_execute(&job, &limits, NULL, &counts), STATUS_OK);
    chain_free(chain);
    if (counts.frames != point->frames || counts.frame_errors != point->errors) {
        print_error("%s %s %d/15 at %.2f dB: %ld of %ld words fail, the table has %d of %d\n",
                    code_length_name(setup.length), constellation_name(setup.constellation),
                    setup.rate_15ths, at.snr_db, counts.frame_errors, counts.frames,
                    (int)point->errors, (int)point->frames);
        fail();
    }
}

static void points_come_out_again(void **state)
{
    (void)state;
    size_t step = effort(9, 40, 1), words_most = effort(60, 1000, 1000000), points = 0;
    for (size_t i = 0; i < threshold_count; i += step) {
        for (int k = 0; k < THRESHOLD_POINTS_MAX; k++) {
            const struct threshold_point *point = &threshold_table[i].points[k];
            if (point->frames > 0 && (size_t)point->frames <= words_most) {
                simulate_again(&threshold_table[i], point);
                points++;
            }
        }
    }
    print_message("%zu points simulated again\n", points);
    assert_true(points >= 5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(points_come_out_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
