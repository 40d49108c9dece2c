#include "support/near.h"

#include <math.h>
#include <string.h>

#include "simulation/chain/chain.h"
#include "standard/atsc3/bit_interleaver.h"
#include "standard/atsc3/frame.h"

/* Calls `check` for each of the 120 pairs. */
static int for_each_pair(void (*check)(struct chain_setup setup))
{
    int pairs = 0;
    for (int length = 0; length < LENGTH_COUNT; length++) {
        for (int c = 0; c < CONSTELLATION_COUNT; c++) {
            for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate++) {
                if (constellation_is_allowed((enum code_length)length, (enum constellation)c)) {
                    struct chain_setup setup = chain_setup_default();
                    setup.length = (enum code_length)length;
                    setup.constellation = (enum constellation)c;
                    setup.rate_15ths = rate;
                    check(setup);
                    pairs++;
                }
            }
        }
    }
    return pairs;
}

static struct chain *chain;
static struct chain_worker *worker;

static void open_chain(const struct chain_setup *setup)
{
    assert_int_equal(chain_create(setup, &chain), STATUS_OK);
    worker = chain_worker_create(chain);
    assert_non_null(worker);
}

static void close_chain(void)
{
    chain_worker_free(worker);
    chain_free(chain);
}

/* Without noise to speak of, what is sent comes back at once through all of the chain. Points that
 * coincide (low rates) leave bits that nothing can tell: the code must fill those in. */
static void check_clean(struct chain_setup setup)
{
    open_chain(&setup);
    assert_int_equal(chain_payload_bits(chain),
                     payload_bits(&(const struct code){.length = setup.length,
                                                       .rate_15ths = setup.rate_15ths,
                                                       .outer = setup.outer}));
    assert_int_equal(chain_cells(chain),
                     code_length_bits(setup.length) / constellation_bits(setup.constellation));
    struct chain_outcome outcome = chain_send(worker, 45.0, 1, 0);
    assert_false(outcome.frame_error);
    assert_int_equal(outcome.ldpc_errors, 0);
    assert_int_equal(outcome.bit_errors, 0);
    assert_true(outcome.converged);
    close_chain();
}

static void all_120_pairs_pass_without_noise(void **state)
{
    (void)state;
    assert_int_equal(for_each_pair(check_clean), 120);
}

/* A log-likelihood ratio of L must be wrong in 1 of 1 + exp(|L|) cases: binned over one code word,
 * within five standard deviations. This holds only if noise power, demapper and interleaver fit. */
static void check_calibration(struct chain_setup setup, double snr_db)
{
    enum { BINS = 12 };
    double expected[BINS] = {0}, variance[BINS] = {0}, wrong[BINS] = {0};
    open_chain(&setup);
    for (uint64_t word = 0; word < 3; word++) {
        chain_transmit(worker, snr_db, 2, word);
        const float *llr = chain_worker_llr(worker);
        const uint8_t *sent = chain_worker_sent(worker);
        for (int i = 0; i < code_length_bits(setup.length); i++) {
            double size = fabs((double)llr[i]), rate = 1.0 / (1.0 + exp(size));
            int bin = (int)fmin(size * 2.0, BINS - 1);
            expected[bin] += rate;
            variance[bin] += rate * (1.0 - rate);
            wrong[bin] += (llr[i] < 0.0f) != sent[i];
        }
    }
    for (int bin = 0; bin < BINS; bin++) {
        assert_near(wrong[bin], expected[bin], 5.0 * sqrt(variance[bin]) + 1.0,
                    "1 / (1 + exp |L|)");
    }
    close_chain();
}

static void likelihoods_are_as_likely_as_they_say(void **state)
{
    (void)state;
    static const double snr_db[CONSTELLATION_COUNT] = {1.0, 6.0, 12.0, 17.0, 22.0, 27.0};
    static float gains[1000];
    for (int i = 0; i < 1000; i++) {
        gains[i] = 0.1f + 1.8f * (float)i / 999.0f;
    }
    for (int c = 0; c < CONSTELLATION_COUNT; c++) {
        for (int channel = 0; channel < CHANNEL_COUNT; channel++) {
            struct chain_setup setup = chain_setup_default();
            setup.constellation = (enum constellation)c;
            setup.channel = (enum chain_channel)channel;
            setup.gain_power = gains;
            setup.carriers = 1000;
            check_calibration(setup, snr_db[c]);
        }
    }
}

/* Bits arrive where the interleaver's order says: one cell's bits from one cell's noise. With the
 * interleaver undone wrongly the signs would not match what was sent. */
static void check_signs(struct chain_setup setup)
{
    if (setup.rate_15ths < 13) {
        return; /* coinciding points */
    }
    open_chain(&setup);
    chain_transmit(worker, 60.0, 3, 0);
    for (int i = 0; i < code_length_bits(setup.length); i++) {
        assert_int_equal(chain_worker_llr(worker)[i] < 0.0f, chain_worker_sent(worker)[i]);
    }
    close_chain();
}

static void signs_of_likelihoods_are_the_bits_sent(void **state)
{
    (void)state;
    assert_int_equal(for_each_pair(check_signs), 120);
}

static void words_are_reproducible_and_differ(void **state)
{
    (void)state;
    static uint8_t first[CODE_BITS_MAX];
    struct chain_setup setup = chain_setup_default();
    setup.length = LENGTH_16200;
    setup.channel = CHANNEL_RAYLEIGH;
    open_chain(&setup);
    struct chain_outcome one = chain_send(worker, 18.0, 4, 7);
    memcpy(first, chain_worker_sent(worker), 16200);
    chain_send(worker, 18.0, 4, 8);
    assert_memory_not_equal(first, chain_worker_sent(worker), 16200);
    chain_send(worker, 18.0, 5, 7);
    assert_memory_not_equal(first, chain_worker_sent(worker), 16200);
    struct chain_outcome again = chain_send(worker, 18.0, 4, 7);
    assert_memory_equal(first, chain_worker_sent(worker), 16200);
    assert_int_equal(one.ldpc_errors, again.ldpc_errors);
    assert_int_equal(one.iterations, again.iterations);
    close_chain();
}

/* BCH takes away up to 12 wrong bits; without it the same words count as wrong. */
static void the_outer_code_saves_words_with_few_errors(void **state)
{
    (void)state;
    struct chain_setup setup = chain_setup_default();
    setup.length = LENGTH_16200;
    setup.constellation = QPSK;
    setup.rate_15ths = 10;
    setup.iterations = 5; /* leaves a few errors often */
    int saved = 0;
    open_chain(&setup);
    for (uint64_t word = 0; word < 60; word++) {
        struct chain_outcome outcome = chain_send(worker, 3.4, 6, word);
        assert_int_equal(outcome.frame_error, outcome.ldpc_errors > 12);
        assert_true(outcome.frame_error || outcome.bit_errors == 0);
        saved += outcome.ldpc_errors > 0 && !outcome.frame_error;
    }
    close_chain();
    assert_true(saved > 0);
    setup.outer = OUTER_NONE;
    open_chain(&setup);
    int failed_by_few = 0;
    for (uint64_t word = 0; word < 60; word++) {
        struct chain_outcome outcome = chain_send(worker, 3.4, 6, word);
        assert_int_equal(outcome.frame_error, outcome.ldpc_errors > 0);
        failed_by_few += outcome.frame_error && outcome.ldpc_errors <= 12;
    }
    close_chain();
    assert_true(failed_by_few > 0);
}

static void equal_gains_are_white_noise(void **state)
{
    (void)state;
    static float ones[64];
    struct chain_setup setup = chain_setup_default();
    setup.length = LENGTH_16200;
    setup.channel = CHANNEL_CARRIERS;
    setup.gain_power = ones;
    setup.carriers = 64;
    for (int half = 0; half < 2; half++) {
        for (int i = 0; i < 64; i++) {
            ones[i] = half ? 0.5f : 1.0f; /* 3 dB less on all carriers */
        }
        open_chain(&setup);
        int errors = 0;
        for (uint64_t word = 0; word < 10; word++) {
            errors += chain_send(worker, 18.0, 8, word).frame_error;
        }
        assert_int_equal(errors, half ? 10 : 0); /* 256QAM 10/15 needs about 17.4 dB */
        close_chain();
    }
}

static void what_cannot_be_sent_is_refused(void **state)
{
    (void)state;
    struct chain_setup setup = chain_setup_default();
    setup.length = LENGTH_16200;
    setup.constellation = QAM1024;
    assert_int_equal(chain_create(&setup, &chain), STATUS_ILLEGAL);
    assert_null(chain);
    setup = chain_setup_default();
    setup.rate_15ths = 14;
    assert_int_equal(chain_create(&setup, &chain), STATUS_OUT_OF_RANGE);
    setup = chain_setup_default();
    setup.iterations = 0;
    assert_int_equal(chain_create(&setup, &chain), STATUS_OUT_OF_RANGE);
    setup = chain_setup_default();
    setup.channel = CHANNEL_CARRIERS;
    assert_int_equal(chain_create(&setup, &chain), STATUS_OUT_OF_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_120_pairs_pass_without_noise),
        cmocka_unit_test(signs_of_likelihoods_are_the_bits_sent),
        cmocka_unit_test(likelihoods_are_as_likely_as_they_say),
        cmocka_unit_test(words_are_reproducible_and_differ),
        cmocka_unit_test(the_outer_code_saves_words_with_few_errors),
        cmocka_unit_test(equal_gains_are_white_noise),
        cmocka_unit_test(what_cannot_be_sent_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
