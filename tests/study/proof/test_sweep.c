/* The growing curve without any simulation: counts come from a curve that is known. */
#include "support/near.h"

#include <math.h>

#include "study/proof/sweep.h"

#define MIDDLE_DB 0.75 /* of the known curve, FER = Q(steepness (SNR - middle)) */
#define STEEPNESS 8.0

static double true_rate(double snr_db)
{
    return 0.5 * erfc(STEEPNESS * (snr_db - MIDDLE_DB) * sqrt(0.5));
}

/* What a run to its limits would count if chance were fair: expected errors, rounded. */
static struct run_counts count_fairly(const struct proof_step *step)
{
    double rate = true_rate(step->snr_db);
    long frames = step->limits.frames;
    if (rate * (double)frames >= (double)step->limits.errors) {
        frames = (long)ceil((double)step->limits.errors / rate);
    }
    return (struct run_counts){.frames = frames, .frame_errors = lround(rate * (double)frames)};
}

static struct scenario short_qpsk(void)
{
    struct scenario scenario = scenario_default();
    scenario.transmission.plps[0].code.length = LENGTH_16200;
    scenario.transmission.plps[0].code.constellation = QPSK;
    scenario.transmission.plps[0].code.rate_15ths = 8;
    return scenario;
}

static void plan(const struct scenario *scenario, const struct proof_choice *choice,
                 struct proof_sweep *sweep)
{
    struct fault fault;
    assert_int_equal(proof_sweep_plan(scenario, choice, sweep, &fault), STATUS_OK);
}

static void points_rise_around_the_expected_fall(void **state)
{
    (void)state;
    for (int g = 0; g < GENERATION_COUNT; g++) {
        for (int length = 0; length < LENGTH_COUNT; length++) {
            struct scenario scenario = short_qpsk();
            struct proof_choice choice = proof_choice_default();
            struct proof_sweep sweep;
            scenario.transmission.plps[0].code.length = (enum code_length)length;
            choice.generation = (enum generation)g;
            plan(&scenario, &choice, &sweep);
            assert_true(sweep.count >= 8 && sweep.count <= PROOF_SWEEP_POINTS_MAX);
            assert_true(sweep.points[0].snr_db < sweep.expected_db - 0.4);
            assert_true(sweep.points[sweep.count - 1].snr_db > sweep.expected_db);
            for (int i = 1; i < sweep.count; i++) {
                assert_true(sweep.points[i].snr_db > sweep.points[i - 1].snr_db);
                /* As --snr would name it, without a long tail of digits. */
                double thousandths = sweep.points[i].snr_db * 1e3;
                assert_near(thousandths, round(thousandths), 1e-9, "thousandths of a dB");
            }
        }
    }
}

/* A layer so deep that it is expected near the highest SNR that is simulated. */
static void no_point_lies_beyond_the_highest_snr(void **state)
{
    (void)state;
    static const char *const keys[][2] = {
        {"plp core.constellation", "QPSK"},    {"plp core.rate", "2/15"},
        {"plp over.layer", "enhanced"},        {"plp over.over", "core"},
        {"plp over.constellation", "4096QAM"}, {"plp over.rate", "13/15"},
        {"plp over.injection_db", "25"}};
    struct scenario scenario = scenario_default();
    struct proof_choice choice = proof_choice_default();
    struct proof_sweep sweep;
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        assert_int_equal(scenario_set(&scenario, keys[i][0], keys[i][1], NULL), STATUS_OK);
    }
    choice.pipe = 1;
    choice.channel = CHANNEL_CARRIERS;
    scenario.echoes[0] = (struct echo){.delay_us = 1.0, .level_db = -3.5};
    scenario.echo_count = 1;
    plan(&scenario, &choice, &sweep);
    assert_true(sweep.count > 0 && sweep.expected_db > PROOF_SNR_MAX_DB);
    for (int i = 0; i < sweep.count; i++) {
        assert_true(sweep.points[i].snr_db <= PROOF_SNR_MAX_DB);
    }
    struct fault fault = {0};
    scenario.echoes[0].level_db = -1.0; /* beyond by more than its points reach */
    assert_int_equal(proof_sweep_plan(&scenario, &choice, &sweep, &fault), STATUS_OUT_OF_RANGE);
    assert_string_equal(fault.place, "--snr");
}

static void rounds_reach_further_and_come_to_an_end(void **state)
{
    (void)state;
    struct scenario scenario = short_qpsk();
    struct proof_choice choice = proof_choice_default();
    struct proof_sweep sweep;
    struct proof_step step;
    plan(&scenario, &choice, &sweep);
    int steps = 0, round = 0, deepest = -1, deepest_of_round[PROOF_SWEEP_ROUNDS] = {0};
    while (proof_sweep_next(&sweep, 3, &step)) {
        assert_true(++steps <= PROOF_SWEEP_ROUNDS * PROOF_SWEEP_POINTS_MAX);
        assert_true(step.round >= round && step.round < PROOF_SWEEP_ROUNDS);
        assert_near(step.snr_db, sweep.points[step.point].snr_db, 0.0, "the point");
        assert_int_equal(step.limits.threads, 3);
        assert_int_equal(run_limits_check(&step.limits, NULL), STATUS_OK);
        round = step.round;
        struct run_counts counts = count_fairly(&step);
        assert_true(counts.frames > sweep.points[step.point].counts.frames); /* never in vain */
        proof_sweep_take(&sweep, step.point, &counts);
        deepest = counts.frame_errors > 0 && step.point > deepest ? step.point : deepest;
        deepest_of_round[round] = deepest;
    }
    assert_int_equal(round, PROOF_SWEEP_ROUNDS - 1);
    for (int i = 1; i < PROOF_SWEEP_ROUNDS; i++) {
        assert_true(deepest_of_round[i] >= deepest_of_round[i - 1]);
    }
    assert_true(deepest_of_round[PROOF_SWEEP_ROUNDS - 1] > deepest_of_round[0]);
    /* Every point that shows errors is known as well as asked: 100 errors or all frames. */
    for (int i = 0; i <= deepest; i++) {
        const struct run_counts *counts = &sweep.points[i].counts;
        assert_true(counts->frame_errors >= 100 || counts->frames >= 200000);
    }
    struct proof_threshold threshold;
    assert_true(proof_sweep_threshold(&sweep, &threshold));
    /* Q(3.719) = 1e-4 */
    assert_near(threshold.snr_db, MIDDLE_DB + 3.719016 / STEEPNESS, 0.005, "the known curve");
    assert_between(threshold.error_db, 0.0, 0.02, "a hundred errors a point");
    assert_false(threshold.extrapolated);
}

static void more_frames_replace_fewer_and_never_the_other_way(void **state)
{
    (void)state;
    struct scenario scenario = short_qpsk();
    struct proof_choice choice = proof_choice_default();
    struct proof_sweep sweep;
    plan(&scenario, &choice, &sweep);
    struct proof_threshold threshold;
    assert_false(proof_sweep_threshold(&sweep, &threshold)); /* nothing is known yet */
    proof_sweep_take(&sweep, 2, &(struct run_counts){.frames = 50, .frame_errors = 20});
    proof_sweep_take(&sweep, 2, &(struct run_counts){.frames = 30, .frame_errors = 11});
    assert_int_equal(sweep.points[2].counts.frames, 50);
    proof_sweep_take(&sweep, 2, &(struct run_counts){.frames = 60, .frame_errors = 22});
    assert_int_equal(sweep.points[2].counts.frame_errors, 22);
}

/* What a fit says of a rate that no point has reached is marked. */
static void a_threshold_below_all_points_is_extrapolated(void **state)
{
    (void)state;
    struct scenario scenario = short_qpsk();
    struct proof_choice choice = proof_choice_default();
    struct proof_sweep sweep;
    struct proof_threshold threshold;
    plan(&scenario, &choice, &sweep);
    proof_sweep_take(&sweep, 5, &(struct run_counts){.frames = 2000, .frame_errors = 800});
    proof_sweep_take(&sweep, 6, &(struct run_counts){.frames = 2000, .frame_errors = 200});
    assert_true(proof_sweep_threshold(&sweep, &threshold));
    assert_true(threshold.extrapolated);
    proof_sweep_take(&sweep, 7, &(struct run_counts){.frames = 20000, .frame_errors = 150});
    proof_sweep_take(&sweep, 8, &(struct run_counts){.frames = 200, .frame_errors = 0});
    assert_true(proof_sweep_threshold(&sweep, &threshold));
    assert_true(threshold.extrapolated); /* none of 200 says nothing about 1e-4 */
    proof_sweep_take(&sweep, 8, &(struct run_counts){.frames = 200000, .frame_errors = 30});
    assert_true(proof_sweep_threshold(&sweep, &threshold));
    assert_false(threshold.extrapolated); /* 1.5e-4 */
    proof_sweep_take(&sweep, 8, &(struct run_counts){.frames = 200001, .frame_errors = 0});
    assert_true(proof_sweep_threshold(&sweep, &threshold));
    assert_false(threshold.extrapolated); /* below 1.9e-5 */
}

/* Counts of a run with 1000 errors a point (white noise, seed 1). Between its points at 14.75 and
 * 15.00 dB the logarithm of the rate leads to 14.868 dB. */
static void eight_vsb_has_a_threshold_too(void **state)
{
    (void)state;
    static const struct run_counts counted[] = {
        {.frames = 1248, .frame_errors = 1236},  {.frames = 1248, .frame_errors = 1118},
        {.frames = 2184, .frame_errors = 1130},  {.frames = 6864, .frame_errors = 1024},
        {.frames = 48984, .frame_errors = 1001}, {.frames = 910416, .frame_errors = 1000},
        {.frames = 3120000, .frame_errors = 86}};
    struct scenario scenario = scenario_default();
    struct proof_choice choice = proof_choice_default();
    struct proof_sweep sweep;
    struct proof_threshold threshold;
    choice.generation = GENERATION_FIRST;
    plan(&scenario, &choice, &sweep);
    assert_near(sweep.points[0].snr_db, 13.5, 1e-9, "where the counts begin");
    for (int i = 0; i < 5; i++) {
        proof_sweep_take(&sweep, i, &counted[i]);
    }
    assert_true(proof_sweep_threshold(&sweep, &threshold));
    assert_near(threshold.snr_db, 14.868, 0.04, "interpolation between the neighbours");
    assert_true(threshold.extrapolated);
    proof_sweep_take(&sweep, 5, &counted[5]);
    proof_sweep_take(&sweep, 6, &counted[6]);
    assert_true(proof_sweep_threshold(&sweep, &threshold));
    assert_near(threshold.snr_db, 14.868, 0.015, "interpolation between the neighbours");
    assert_between(threshold.error_db, 0.0, 0.01, "a thousand errors a point");
    assert_false(threshold.extrapolated);
}

static void what_cannot_be_simulated_is_refused(void **state)
{
    (void)state;
    struct scenario scenario = short_qpsk();
    struct proof_choice choice = proof_choice_default();
    struct proof_sweep sweep;
    struct fault fault;
    choice.generation = GENERATION_FIRST;
    choice.channel = CHANNEL_RAYLEIGH;
    assert_int_equal(proof_sweep_plan(&scenario, &choice, &sweep, &fault), STATUS_ILLEGAL);
    assert_int_equal(sweep.count, 0);
    struct proof_step step;
    assert_false(proof_sweep_next(&sweep, 1, &step));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(points_rise_around_the_expected_fall),
        cmocka_unit_test(no_point_lies_beyond_the_highest_snr),
        cmocka_unit_test(rounds_reach_further_and_come_to_an_end),
        cmocka_unit_test(more_frames_replace_fewer_and_never_the_other_way),
        cmocka_unit_test(a_threshold_below_all_points_is_extrapolated),
        cmocka_unit_test(eight_vsb_has_a_threshold_too),
        cmocka_unit_test(what_cannot_be_simulated_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
