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
    struct vsb_interference doubts = {0};
    vsb_decision_doubt(FEEDBACK_SLICER, ratio_from_db(15.0), &doubts);
    double error = vsb_decision_error(FEEDBACK_SLICER, 0, ratio_from_db(15.0));
    assert_int_equal(doubts.ages, VSB_DOUBT_AGES);
    for (int age = 0; age < doubts.ages; age++) {
        assert_near(doubts.doubt[age], 1.0 - pow(1.0 - error / 2.0, 2.0), 1e-12, "1 - k^2");
    }
    vsb_decision_doubt(FEEDBACK_ERROR_FREE, 1.0, &doubts);
    assert_int_equal(doubts.ages, 0);
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
        cmocka_unit_test(feedback_has_names),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
