#include "support/near.h"

#include <math.h>

#include "base/units.h"
#include "physics/vsb/adaptation.h"
#include "simulation/vsb/symbols.h"

/* The symbol-level simulation against the formulas. An SNR measured over n symbols of nearly
 * Gaussian noise spreads by 10 / ln 10 sqrt(2 / n): 0.014 dB for 200 000; tests allow five times
 * that besides what they test. */

#define SPREAD_DB 0.07

static const struct echo three_equal[] = {{1.0, 0.0, 0.0, 0.0}, {2.0, 0.0, 0.0, 0.0}};
static const struct echo room_and_hill[] = {
    {2.0, -6.0, 0.0, 0.0}, {-1.3, -12.0, 60.0, 0.0}, {6.0, -9.0, 200.0, 0.0}};
static const struct echo outside[] = {{12.0, -10.0, 70.0, 0.0}};
static const struct echo before[] = {{-5.03, -10.0, 45.0, 0.0}};

static const struct {
    const struct echo *echoes;
    int count;
} sets[] = {{NULL, 0}, {three_equal, 2}, {room_and_hill, 3}, {outside, 1}, {before, 1}};
#define SETS (sizeof sets / sizeof sets[0])

static struct vsb_symbols_run usual_run(const struct echo *echoes, int count)
{
    return (struct vsb_symbols_run){.echoes = echoes,
                                    .echo_count = count,
                                    .snr_db = 20.0,
                                    .spans = vsb_equaliser_spans(8.0, 8.0),
                                    .symbols = 200000,
                                    .seed = 41};
}

static struct vsb_symbols_result simulate(const struct vsb_symbols_run *run)
{
    struct vsb_symbols_result result;
    assert_int_equal(vsb_symbols_simulate(run, &result), STATUS_OK);
    return result;
}

static double noise_of(const struct vsb_symbols_run *run)
{
    return vsb_received_power(run->echoes, run->echo_count) / ratio_from_db(run->snr_db);
}

static double formula_db(const struct vsb_symbols_run *run)
{
    struct vsb_channel channel;
    double snr = 0.0;
    assert_int_equal(vsb_channel_make(run->echoes, run->echo_count, &channel), STATUS_OK);
    assert_int_equal(vsb_equaliser_snr(&channel, noise_of(run), run->spans, NULL, &snr), STATUS_OK);
    vsb_channel_free(&channel);
    return db_from_ratio(snr);
}

static void designed_taps_give_the_formula_s_snr(void **state)
{
    (void)state;
    for (size_t i = 0; i < SETS; i++) {
        struct vsb_symbols_run run = usual_run(sets[i].echoes, sets[i].count);
        assert_near(simulate(&run).snr_db, formula_db(&run), SPREAD_DB,
                    "issue: symbol-level run within 0.2 dB");
    }
}

/* Eight levels in Gaussian noise: an inner level errs beyond 1 / sqrt(21) to either side. */
static void symbol_errors_follow_the_snr(void **state)
{
    (void)state;
    struct vsb_symbols_run run = usual_run(NULL, 0);
    double q = 0.5 * erfc(sqrt(ratio_from_db(20.0) / 21.0 / 2.0));
    double expected = 7.0 / 4.0 * q, n = (double)run.symbols;
    double got = (double)simulate(&run).errors / n;
    assert_near(got, expected, 4.5 * sqrt(expected * (1.0 - expected) / n), "8-PAM in noise");
}

static void learning_costs_what_the_theory_says_at_rest(void **state)
{
    (void)state;
    const double steps[] = {0.05, 0.2};
    for (size_t i = 0; i < SETS; i++) {
        for (size_t s = 0; s < 2; s++) {
            struct vsb_symbols_run run = usual_run(sets[i].echoes, sets[i].count);
            run.step = steps[s];
            run.settle = 30000;
            struct vsb_adaptation a;
            assert_int_equal(vsb_adaptation_solve(run.echoes, run.echo_count, noise_of(&run),
                                                  run.spans, NULL, run.step, &a),
                             STATUS_OK);
            double theory_db = db_from_ratio(vsb_adaptation_snr(a.least_error, a.noise_error));
            assert_near(simulate(&run).snr_db, theory_db, SPREAD_DB + 0.05,
                        "misadjustment step / (2 - step)");
        }
    }
}

static void learning_follows_moving_echoes_as_the_theory_says(void **state)
{
    (void)state;
    const struct {
        struct echo echo;
        double step;
    } cases[] = {{{5.03, -10.0, 0.0, 20.0}, 0.05},
                 {{5.03, -10.0, 0.0, 20.0}, 0.2},
                 {{-5.03, -10.0, 0.0, 20.0}, 0.2},
                 {{5.03, -10.0, 0.0, 100.0}, 0.2}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct vsb_symbols_run run = usual_run(&cases[i].echo, 1);
        run.step = cases[i].step;
        run.settle = 100000;
        run.symbols = 538112; /* a whole turn at 20 Hz */
        struct vsb_adaptation a;
        assert_int_equal(
            vsb_adaptation_solve(run.echoes, 1, noise_of(&run), run.spans, NULL, run.step, &a),
            STATUS_OK);
        double theory_db =
            db_from_ratio(vsb_adaptation_snr(a.least_error, a.noise_error + a.lag_error));
        double got_db = simulate(&run).snr_db;
        assert_true(a.lag_error > 0.0);
        assert_between(got_db, theory_db - 0.5, theory_db + 0.1, "vsb_adaptation.c's validity");
    }
}

static void fixed_taps_lose_an_echo_that_turns_and_learning_keeps_it(void **state)
{
    (void)state;
    struct echo echo = {5.03, -10.0, 0.0, 50.0};
    struct vsb_symbols_run run = usual_run(&echo, 1);
    run.symbols = 430490; /* two turns */
    double fixed_db = simulate(&run).snr_db;
    run.step = 0.3;
    run.settle = 30000;
    double learned_db = simulate(&run).snr_db;
    /* The tap that stands still while the echo turns leaves twice the echo's power. */
    assert_near(fixed_db, -db_from_ratio(0.2 + 0.011), 0.5, "|1 - exp(j phase)|^2 has mean 2");
    assert_between(learned_db, 17.5, 19.0, "followed");
}

static void own_decisions_serve_at_high_snr_and_spread_errors_at_low(void **state)
{
    (void)state;
    struct vsb_symbols_run run = usual_run(room_and_hill, 3);
    run.snr_db = 30.0;
    struct vsb_symbols_result known = simulate(&run);
    run.decided = true;
    struct vsb_symbols_result decided = simulate(&run);
    assert_near(decided.snr_db, known.snr_db, 0.05, "hardly any wrong decision");
    run.snr_db = 16.0;
    decided = simulate(&run);
    run.decided = false;
    known = simulate(&run);
    assert_true(decided.errors > known.errors);
    assert_true(decided.snr_db < known.snr_db);
}

static void the_same_seed_gives_the_same_run(void **state)
{
    (void)state;
    struct vsb_symbols_run run = usual_run(room_and_hill, 3);
    run.symbols = 5000;
    run.step = 0.1;
    struct vsb_symbols_result one = simulate(&run), two = simulate(&run);
    assert_memory_equal(&one, &two, sizeof one);
    run.seed++;
    assert_true(simulate(&run).snr_db != one.snr_db);
}

static void bad_runs_are_refused(void **state)
{
    (void)state;
    struct vsb_symbols_result result;
    struct vsb_symbols_run good = usual_run(NULL, 0), bad = good;
    bad.symbols = 0;
    assert_int_equal(vsb_symbols_simulate(&bad, &result), STATUS_OUT_OF_RANGE);
    bad = good;
    bad.settle = VSB_SYMBOLS_MOST;
    assert_int_equal(vsb_symbols_simulate(&bad, &result), STATUS_OUT_OF_RANGE);
    bad = good;
    bad.snr_db = NAN;
    assert_int_equal(vsb_symbols_simulate(&bad, &result), STATUS_OUT_OF_RANGE);
    bad = good;
    bad.step = 1.5;
    assert_int_equal(vsb_symbols_simulate(&bad, &result), STATUS_OUT_OF_RANGE);
    bad = good;
    bad.spans.later = -1;
    assert_int_equal(vsb_symbols_simulate(&bad, &result), STATUS_OUT_OF_RANGE);
    struct echo loud = {1.0, 60.0, 0.0, 0.0};
    bad = usual_run(&loud, 1);
    assert_int_equal(vsb_symbols_simulate(&bad, &result), STATUS_OUT_OF_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(designed_taps_give_the_formula_s_snr),
        cmocka_unit_test(symbol_errors_follow_the_snr),
        cmocka_unit_test(learning_costs_what_the_theory_says_at_rest),
        cmocka_unit_test(learning_follows_moving_echoes_as_the_theory_says),
        cmocka_unit_test(fixed_taps_lose_an_echo_that_turns_and_learning_keeps_it),
        cmocka_unit_test(own_decisions_serve_at_high_snr_and_spread_errors_at_low),
        cmocka_unit_test(the_same_seed_gives_the_same_run),
        cmocka_unit_test(bad_runs_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
