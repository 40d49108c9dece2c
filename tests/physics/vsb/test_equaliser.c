#include "support/near.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/vsb/equaliser.h"
#include "standard/vsb/signal.h"

static void spans_follow_the_reach(void **state)
{
    (void)state;
    struct vsb_equaliser_spans spans = vsb_equaliser_spans(29.5, 38.5);
    assert_int_equal(spans.later, 317); /* 29.5 us x 10.762 symbols a us */
    assert_int_equal(spans.feedback, 414);
    assert_int_equal(spans.earlier, 317);
    assert_int_equal(vsb_equaliser_spans(50.0, 10.0).earlier, 107);
}

static void two_taps_give_the_worked_number(void **state)
{
    (void)state;
    double taps[] = {1.0, 1.0};
    struct vsb_channel channel = {0, 2, taps};
    double snr = 0.0;
    struct vsb_equaliser_spans spans = {0, 1, 1};
    assert_int_equal(vsb_equaliser_snr(&channel, 0.01, spans, NULL, &snr), STATUS_OK);
    assert_near(snr, 1.0 / 0.01 + 1.0 / 1.01, 1e-9, "worked number");
    spans.feedback = 0; /* the second symbol is then in the way: (1, 1) R^-1 (1, 1)' by hand */
    assert_int_equal(vsb_equaliser_snr(&channel, 0.01, spans, NULL, &snr), STATUS_OK);
    assert_near(snr, 2.0 / 1.01, 1e-9, "R = diag(1.01, 1.01)");
}

static void interference_adds_to_the_noise(void **state)
{
    (void)state;
    double taps[] = {1.0};
    struct vsb_channel channel = {0, 1, taps};
    double white[] = {0.09}, snr = 0.0;
    struct vsb_interference interference = {white, 1};
    struct vsb_equaliser_spans spans = {3, 3, 3};
    assert_int_equal(vsb_equaliser_snr(&channel, 0.01, spans, &interference, &snr), STATUS_OK);
    assert_near(snr, 10.0, 1e-9, "0.09 + 0.01");
}

/* What the designed taps do, worked out from the channel alone. */
static void the_taps_do_what_the_snr_promises(void **state)
{
    (void)state;
    const struct echo echoes[] = {
        {3.03, -2.0, 90.0, 0.0}, {-2.3, -6.0, 20.0, 0.0}, {9.0, -10.0, 250.0, 0.0}};
    struct vsb_channel channel;
    assert_int_equal(vsb_channel_make(echoes, 3, &channel), STATUS_OK);
    const double noise = 0.01;
    struct vsb_equaliser_spans spans = {30, 50, 70};
    struct vsb_equaliser equaliser;
    assert_int_equal(vsb_equaliser_design(&channel, noise, spans, NULL, &equaliser), STATUS_OK);
    double power = 0.0, useful = 0.0;
    int forward = spans.earlier + spans.later + 1;
    for (int i = 0; i < forward; i++) {
        power += noise * equaliser.forward[i] * equaliser.forward[i];
    }
    for (int j = -2000; j <= 2000; j++) { /* weight of the symbol sent j before */
        double weight = 0.0;
        for (int i = 0; i < forward; i++) {
            weight += equaliser.forward[i] * vsb_channel_tap(&channel, i - spans.earlier + j);
        }
        if (j >= 1 && j <= spans.feedback) {
            weight -= equaliser.backward[j - 1];
            assert_near(weight, 0.0, 1e-12, "decided symbols are removed");
        } else if (j == 0) {
            useful = weight;
        } else {
            power += weight * weight;
        }
    }
    assert_near(useful, 1.0, 1e-10, "unbiased");
    assert_near(equaliser.snr, 1.0 / power, 1e-8 / power, "noise and residual interference");
    double snr = 0.0;
    assert_int_equal(vsb_equaliser_snr(&channel, noise, spans, NULL, &snr), STATUS_OK);
    assert_near(snr, equaliser.snr, 1e-9 * snr, "the fast way");
    vsb_equaliser_free(&equaliser);
    assert_null(equaliser.forward);
    vsb_channel_free(&channel);
}

static void no_taps_at_all_is_a_slicer(void **state)
{
    (void)state;
    struct echo echo = {10.0 * vsb_symbol_us(), -10.0, 0.0, 0.0};
    struct vsb_channel channel;
    assert_int_equal(vsb_channel_make(&echo, 1, &channel), STATUS_OK);
    double snr = 0.0;
    struct vsb_equaliser_spans spans = {0, 0, 0};
    assert_int_equal(vsb_equaliser_snr(&channel, 0.05, spans, NULL, &snr), STATUS_OK);
    assert_near(snr, 1.0 / 0.15, 1e-6, "all echo power is interference");
    vsb_channel_free(&channel);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(spans_follow_the_reach),
        cmocka_unit_test(two_taps_give_the_worked_number),
        cmocka_unit_test(interference_adds_to_the_noise),
        cmocka_unit_test(the_taps_do_what_the_snr_promises),
        cmocka_unit_test(no_taps_at_all_is_a_slicer),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
