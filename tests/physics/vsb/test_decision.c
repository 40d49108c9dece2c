#include "support/near.h"

#include <math.h>

#include "base/random.h"
#include "base/units.h"
#include "physics/vsb/decision.h"

/* The slicer's formula against the levels that a million noisy symbols are decided for. */
static void the_nearest_level_errs_as_the_formula_says(void **state)
{
    (void)state;
    const double snrs_db[] = {3.0, 12.0, 17.0};
    for (size_t s = 0; s < 3; s++) {
        double snr = ratio_from_db(snrs_db[s]), deviation = sqrt(21.0 / snr), sum = 0.0;
        struct random random = random_seeded(17, s);
        for (int i = 0; i < 1000000; i++) {
            double sent = 2.0 * (double)(random_bits(&random) >> 61) - 7.0;
            double value = sent + deviation * random_normal(&random);
            double level = fmin(7.0, fmax(-7.0, 2.0 * floor(value / 2.0 + 4.0) - 7.0));
            sum += (level - sent) * (level - sent);
        }
        double expected = vsb_decision_error(FEEDBACK_SLICER, 0, snr);
        assert_near(sum / 1e6 / 21.0 / expected, 1.0, 0.03, "8-PAM in noise; spread 0.6 %");
    }
}

static void more_snr_makes_fewer_decisions_wrong(void **state)
{
    (void)state;
    for (int feedback = 0; feedback < FEEDBACK_COUNT; feedback++) {
        for (int age = 0; age < VSB_DOUBT_AGES + 3; age++) {
            double last = 1.0 + 49.0 / 21.0; /* outermost levels, at random */
            for (double snr_db = -10.0; snr_db < 30.0; snr_db += 0.3) {
                double error =
                    vsb_decision_error((enum vsb_feedback)feedback, age, ratio_from_db(snr_db));
                assert_between(error, 0.0, last, "falls with the SNR");
                last = error;
            }
        }
    }
    assert_near(vsb_decision_error(FEEDBACK_ERROR_FREE, 0, 0.01), 0.0, 0.0, "error-free");
    assert_near(vsb_decision_error(FEEDBACK_SLICER, 0, 1e-12), 1.0 + 49.0 / 21.0, 1e-3,
                "decisions that know nothing are the outermost levels");
}

static void doubt_is_what_the_correlation_leaves(void **state)
{
    (void)state;
    struct vsb_doubts doubts = {0};
    vsb_decision_survivors_doubt(ratio_from_db(15.0), &doubts);
    assert_int_equal(doubts.ages, VSB_DOUBT_AGES);
    for (int age = 0; age < doubts.ages; age++) {
        double error = vsb_decision_error(FEEDBACK_TRELLIS, age, ratio_from_db(15.0));
        assert_near(doubts.doubt[age], 1.0 - pow(1.0 - error / 2.0, 2.0), 1e-12, "1 - k^2");
    }
}

#define TAPS 414

static double loss_of(enum vsb_feedback feedback, const double *taps)
{
    struct vsb_room room = {.arrays = {{0}}};
    double loss_db;
    assert_int_equal(vsb_decision_loss(feedback, taps, TAPS, &room, &loss_db), STATUS_OK);
    vsb_room_free(&room);
    return loss_db;
}

static void without_feedback_nothing_is_lost(void **state)
{
    (void)state;
    double taps[TAPS] = {0};
    for (int feedback = 0; feedback < FEEDBACK_COUNT; feedback++) {
        assert_near(loss_of((enum vsb_feedback)feedback, taps), 0.0, 0.0, "no taps");
    }
    taps[5] = 0.9;
    assert_near(loss_of(FEEDBACK_ERROR_FREE, taps), 0.0, 0.0, "error-free");
}

/* One tap b: |1 + K B| has the means 1 / (1 - K^2 b^2) of its inverse square, so that the energies
 * add as if errors were white: sw = sv (1 - K^2 b^2) - 1.25 (e - K^2 sv) b^2. */
static void one_tap_of_the_nearest_level_has_a_closed_form(void **state)
{
    (void)state;
    const double needed = ratio_from_db(14.57), sv = 1.0 / needed;
    /* K by its definition, from two million noisy symbols. */
    struct random random = random_seeded(3, 0);
    double cross = 0.0, square = 0.0;
    for (int i = 0; i < 2000000; i++) {
        double sent = 2.0 * (double)(random_bits(&random) >> 61) - 7.0;
        double noise = sqrt(21.0 * sv) * random_normal(&random);
        double level = fmin(7.0, fmax(-7.0, 2.0 * floor((sent + noise) / 2.0 + 4.0) - 7.0));
        cross += (level - sent) * noise;
        square += noise * noise;
    }
    double k = cross / square, e = vsb_decision_error(FEEDBACK_SLICER, 0, needed);
    for (double b = 0.1; b < 0.75; b += 0.1) {
        double taps[TAPS] = {0};
        taps[80] = b;
        double sw = sv * (1.0 - k * k * b * b) - 1.25 * (e - k * k * sv) * b * b;
        assert_near(loss_of(FEEDBACK_SLICER, taps), db_from_ratio(sv / sw), 0.03,
                    "closed form; spread of K 0.003");
    }
}

static void worked_numbers_of_the_decisions(void **state)
{
    (void)state;
    double taps[TAPS] = {0};
    taps[80] = 0.5;
    assert_near(loss_of(FEEDBACK_SLICER, taps), 1.68, 0.005, "worked number");
    assert_near(loss_of(FEEDBACK_TRELLIS, taps), 0.686, 0.005, "worked number");
    taps[80] = 0.0;
    taps[11] = 0.5; /* the same encoder's next symbol */
    assert_near(
        loss_of(FEEDBACK_TRELLIS, taps), 1.83 + 0.3, 0.3,
        "itself to blame: 1.83 dB by symbols alone, computed as tests/proof/survivors.c does; the "
        "whole receiver loses 0.3 dB more");
    double snr = ratio_from_db(15.0);
    assert_near(vsb_decision_error(FEEDBACK_SLICER, 0, snr), 0.0367, 5e-5, "worked number");
    assert_near(vsb_decision_error(FEEDBACK_TRELLIS, 0, snr), 0.0112, 5e-5, "worked number");
    assert_near(vsb_decision_error(FEEDBACK_TRELLIS, 9, snr), 0.0024, 5e-5, "worked number");
    /* 1.4 dB of loss come and go with single errors, 1.6 dB below the need do not. */
    assert_false(vsb_decision_diverges(1.4, snr));
    assert_true(vsb_decision_diverges(1.6, snr));
    assert_false(vsb_decision_diverges(1.6, ratio_from_db(17.0)));
}

/* What the nearest level makes of a noisy symbol, by its definition: the decision less the output
 * goes with the error by 1 - K, and its mean square is what moves the taps. */
static void a_teacher_that_errs_is_slow_and_restless(void **state)
{
    (void)state;
    struct vsb_teacher teachers[VSB_TEACHERS];
    int count = vsb_decision_teachers(FEEDBACK_SLICER, 100.0, teachers);
    struct random random = random_seeded(8, 0);
    assert_true(count > 1);
    for (int t = 0; t < count; t++) {
        double cross = 0.0, moved = 0.0, square = 0.0;
        for (int i = 0; i < 300000; i++) {
            double sent = 2.0 * (double)(random_bits(&random) >> 61) - 7.0;
            double noise = sqrt(21.0 / teachers[t].snr) * random_normal(&random);
            double level = fmin(7.0, fmax(-7.0, 2.0 * floor((sent + noise) / 2.0 + 4.0) - 7.0));
            double wrong = level - sent - noise;
            cross -= wrong * noise;
            moved += wrong * wrong;
            square += noise * noise;
        }
        assert_near(teachers[t].speed, cross / square, 0.01, "drawn");
        assert_near(teachers[t].unrest, moved / square, 0.01, "drawn");
        assert_true(t == 0 || teachers[t].speed > teachers[t - 1].speed);
    }
    assert_int_equal(vsb_decision_teachers(FEEDBACK_ERROR_FREE, 30.0, teachers), 1);
    assert_near(teachers[0].speed, 1.0, 0.0, "what was really sent");
    assert_near(teachers[0].unrest, 1.0, 0.0, "what was really sent");
}

static struct vsb_teacher survivors_at(double snr_db)
{
    struct vsb_teacher teachers[VSB_TEACHERS];
    assert_int_equal(vsb_decision_teachers(FEEDBACK_TRELLIS, ratio_from_db(snr_db), teachers), 1);
    return teachers[0];
}

/* The trellis decoder's: where they are needed they hide a quarter of the error, and three decibels
 * above hardly a hundredth. */
static void survivors_teach_the_better_the_more_is_left(void **state)
{
    (void)state;
    struct vsb_teacher last = {0.0, 0.0, 2.0};
    for (double snr_db = 14.0; snr_db < 22.0; snr_db += 0.5) {
        struct vsb_teacher teacher = survivors_at(snr_db);
        assert_near(teacher.snr, ratio_from_db(fmax(snr_db, 14.57)), 1e-9, "held there");
        assert_true(snr_db < 15.0 || teacher.speed > last.speed);
        assert_true(snr_db < 15.0 || teacher.unrest / teacher.speed < last.unrest / last.speed);
        last = teacher;
    }
    last = survivors_at(14.0);
    assert_near(last.speed, 0.74, 0.01, "worked number");
    assert_near(last.unrest / last.speed, 1.26, 0.01, "worked number");
}

/* Without feedback only the jitter is left, more of it than where the teacher is always right. */
static void what_a_step_costs_more_where_decisions_teach(void **state)
{
    (void)state;
    double taps[TAPS] = {0}, last_db = 0.0;
    struct vsb_room room = {.arrays = {{0}}};
    for (double step = 0.05; step < 0.5; step += 0.05) {
        struct vsb_decision_costs costs;
        const struct vsb_pace pace = {step, step / 500.0};
        for (int kind = 0; kind < FEEDBACK_COUNT; kind++) {
            assert_int_equal(
                vsb_decision_costs((enum vsb_feedback)kind, taps, TAPS, NULL, pace, &room, &costs),
                STATUS_OK);
            assert_near(costs.loss_db, 0.0, 0.0, "nothing is fed back");
            if (kind != FEEDBACK_SLICER) {
                assert_near(costs.unrest_db, 0.0, 0.0, "no more than the jitter that all have");
            } else {
                assert_true(costs.unrest_db > last_db);
                last_db = costs.unrest_db;
            }
        }
    }
    vsb_room_free(&room);
}

/* Survivors lead taps astray while a fall lasts, which counts where they learn fast and much is
 * lost: 4.1 dB by nearly a half where a fifth is shared by 500 inputs, by nothing to speak of at a
 * twentieth. They jitter more, too, from what is chance in what they are taught. */
static void survivors_cost_more_where_taps_learn_fast_from_them(void **state)
{
    (void)state;
    double taps[TAPS] = {0}, last_db = 0.0, last_unrest_db = -1.0;
    struct vsb_room room = {.arrays = {{0}}};
    const struct vsb_teacher teacher = survivors_at(14.77);
    taps[80] = 0.9;
    for (double step = 0.0; step < 0.5; step += 0.05) {
        struct vsb_decision_costs costs;
        const struct vsb_pace pace = {step, step / 500.0};
        assert_int_equal(
            vsb_decision_costs(FEEDBACK_TRELLIS, taps, TAPS, &teacher, pace, &room, &costs),
            STATUS_OK);
        assert_true(costs.loss_db >= last_db && costs.unrest_db > last_unrest_db);
        last_db = costs.loss_db;
        last_unrest_db = costs.unrest_db;
        if (step > 0.19 && step < 0.21) {
            assert_near(costs.loss_db / loss_of(FEEDBACK_TRELLIS, taps), 1.4687, 0.0005,
                        "worked number");
            assert_near(costs.unrest_db, 0.094, 0.02, "chance at 14.8 dB, a tenth of 0.2 of it");
        }
    }
    vsb_room_free(&room);
}

static void more_feedback_costs_more_and_ends_in_divergence(void **state)
{
    (void)state;
    for (int feedback = 0; feedback < FEEDBACK_ERROR_FREE; feedback++) {
        double last = 0.0;
        for (double b = 0.05; b < 1.5; b += 0.05) {
            double taps[TAPS] = {0};
            taps[30] = b;
            taps[31] = -0.3 * b;
            double loss_db = loss_of((enum vsb_feedback)feedback, taps);
            assert_true(loss_db >= last);
            last = loss_db;
            assert_int_equal(vsb_decision_diverges(loss_db, 100.0), 20.0 - last < 14.57);
            assert_false(vsb_decision_diverges(loss_db, 1000.0));
        }
        assert_true(last > 5.0);
    }
    double weak[TAPS] = {0.1};
    /* It just does not decode. */
    assert_false(vsb_decision_diverges(loss_of(FEEDBACK_SLICER, weak), ratio_from_db(5.0)));
}

static void feedback_has_names(void **state)
{
    (void)state;
    assert_string_equal(vsb_feedback_name(FEEDBACK_TRELLIS), "trellis");
    assert_string_equal(vsb_feedback_name(FEEDBACK_SLICER), "slicer");
    assert_string_equal(vsb_feedback_name(FEEDBACK_ERROR_FREE), "error-free");
    assert_string_equal(vsb_feedback_name(FEEDBACK_COUNT), "?");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_nearest_level_errs_as_the_formula_says),
        cmocka_unit_test(more_snr_makes_fewer_decisions_wrong),
        cmocka_unit_test(doubt_is_what_the_correlation_leaves),
        cmocka_unit_test(without_feedback_nothing_is_lost),
        cmocka_unit_test(one_tap_of_the_nearest_level_has_a_closed_form),
        cmocka_unit_test(worked_numbers_of_the_decisions),
        cmocka_unit_test(a_teacher_that_errs_is_slow_and_restless),
        cmocka_unit_test(survivors_teach_the_better_the_more_is_left),
        cmocka_unit_test(what_a_step_costs_more_where_decisions_teach),
        cmocka_unit_test(survivors_cost_more_where_taps_learn_fast_from_them),
        cmocka_unit_test(more_feedback_costs_more_and_ends_in_divergence),
        cmocka_unit_test(feedback_has_names),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
