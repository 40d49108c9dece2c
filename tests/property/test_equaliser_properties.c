#include "support/near.h"
#include "support/signals.h"

#include <math.h>

#include "base/random.h"
#include "base/units.h"
#include "physics/vsb/channel.h"
#include "physics/vsb/echo.h"
#include "standard/vsb/signal.h"

/* What must hold for any echoes: drawn at random, seeds fixed. */

static const struct first_receiver usual = {.threshold_db = 14.9,
                                            .equaliser_before_us = 29.5,
                                            .equaliser_after_us = 38.5,
                                            .tracking_hz = 10.0,
                                            .feedback = FEEDBACK_ERROR_FREE};

static double between(struct random *random, double low, double high)
{
    return low + (high - low) * random_uniform(random);
}

static int draw_echoes(struct random *random, double reach_us, struct echo *echoes)
{
    int count = 1 + (int)between(random, 0.0, 6.0);
    for (int i = 0; i < count; i++) {
        echoes[i] = (struct echo){between(random, -reach_us, reach_us),
                                  between(random, -25.0, -3.0), between(random, 0.0, 360.0), 0.0};
    }
    return count;
}

static void more_span_is_never_worse(void **state)
{
    (void)state;
    struct random random = random_seeded(4, 1);
    for (int round = 0; round < 40; round++) {
        struct echo echoes[8];
        int count = draw_echoes(&random, 15.0, echoes);
        double last_db = -100.0;
        for (double reach_us = 0.0; reach_us <= 25.0; reach_us += 1.7) {
            struct first_receiver receiver = usual;
            receiver.equaliser_before_us = reach_us;
            receiver.equaliser_after_us = reach_us * 1.3;
            struct vsb_echo_result result;
            assert_int_equal(vsb_solve_echoes(echoes, count, 20.0, &receiver, &result), STATUS_OK);
            assert_true(result.output_snr_db >= last_db - 1e-9);
            assert_true(result.output_snr_db <= result.infinite_snr_db + 1e-3);
            assert_true(result.linear_snr_db <= result.infinite_snr_db + 1e-9);
            last_db = result.output_snr_db;
        }
    }
}

static void a_little_more_echo_costs_a_little_more(void **state)
{
    (void)state;
    struct random random = random_seeded(4, 2);
    for (int round = 0; round < 30; round++) {
        struct echo echo = {between(&random, -60.0, 60.0), 0.0, between(&random, 0.0, 360.0), 0.0};
        if (fabs(echo.delay_us) < 1.0) {
            continue; /* so close, an echo can help */
        }
        double last_db = 20.0 + 1e-4;
        for (echo.level_db = -60.0; echo.level_db <= -12.0; echo.level_db += 3.0) {
            struct vsb_echo_result result;
            /* 20 dB of the data: the echo may weaken the pilot alone, which is no loss. */
            double data = vsb_received_power(&echo, 1), share = ratio_from_db(vsb_pilot_db()) - 1.0;
            double all = data + share * vsb_pilot_power(&echo, 1);
            double snr_db = 20.0 + db_from_ratio(all / data) - vsb_pilot_db();
            assert_int_equal(vsb_solve_echoes(&echo, 1, snr_db, &usual, &result), STATUS_OK);
            assert_true(result.output_snr_db <= last_db);
            last_db = result.output_snr_db;
        }
    }
}

static void more_snr_is_always_better(void **state)
{
    (void)state;
    struct random random = random_seeded(4, 3);
    for (int round = 0; round < 30; round++) {
        struct echo echoes[8];
        int count = draw_echoes(&random, 60.0, echoes);
        double last_db = -100.0;
        for (double snr_db = 0.0; snr_db <= 60.0; snr_db += 5.0) {
            struct vsb_echo_result result;
            assert_int_equal(vsb_solve_echoes(echoes, count, snr_db, &usual, &result), STATUS_OK);
            assert_true(result.output_snr_db > last_db);
            last_db = result.output_snr_db;
        }
    }
}

static void the_lines_of_losses_add_up(void **state)
{
    (void)state;
    struct random random = random_seeded(4, 4);
    for (int round = 0; round < 40; round++) {
        struct echo echoes[8];
        int count = draw_echoes(&random, 50.0, echoes);
        echoes[0].doppler_hz = between(&random, -20.0, 20.0);
        struct first_receiver receiver = usual;
        receiver.feedback = (enum vsb_feedback)(round % FEEDBACK_COUNT);
        receiver.implementation_loss_db = between(&random, 0.0, 3.0);
        receiver.adaptation_step = round % 2 == 0 ? 0.0 : between(&random, 0.01, 0.3);
        struct vsb_echo_result r;
        assert_int_equal(vsb_solve_echoes(echoes, count, 25.0, &receiver, &r), STATUS_OK);
        assert_near(r.input_snr_db - r.echo_loss_db - r.decision_loss_db - r.adaptation_loss_db -
                        r.lag_loss_db - r.implementation_loss_db,
                    r.output_snr_db, 1e-9, "the header's sum");
        assert_near(r.static_snr_db, r.input_snr_db - r.echo_loss_db, 1e-9, "the header's sum");
        assert_near(r.margin_db, r.output_snr_db - 14.9, 1e-9, "definition");
        assert_true(r.lag_loss_db >= -1e-9 && r.adaptation_loss_db >= 0.0);
    }
}

static void the_order_of_echoes_does_not_matter(void **state)
{
    (void)state;
    const struct echo one[] = {{3.0, 4.0, 10.0, 0.0}, {-7.0, -3.0, 50.0, 0.0}, {12.0, 1.0, 0, 0.0}};
    const struct echo two[] = {one[2], one[0], one[1]};
    struct vsb_echo_result a, b;
    assert_int_equal(vsb_solve_echoes(one, 3, 22.0, &usual, &a), STATUS_OK);
    assert_int_equal(vsb_solve_echoes(two, 3, 22.0, &usual, &b), STATUS_OK);
    assert_near(a.output_snr_db, b.output_snr_db, 1e-9, "symmetry");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(more_span_is_never_worse),
        cmocka_unit_test(a_little_more_echo_costs_a_little_more),
        cmocka_unit_test(more_snr_is_always_better),
        cmocka_unit_test(the_lines_of_losses_add_up),
        cmocka_unit_test(the_order_of_echoes_does_not_matter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
