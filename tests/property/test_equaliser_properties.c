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

/* What the pulses let through at u MHz above the pilot, whose place is the band's lower edge: they
 * roll off over 0.31 MHz to either side of both edges (ATSC A/53 Part 2). */
static double let_through(double u_mhz)
{
    const double band_mhz = vsb_symbol_rate_hz() / 2e6, roll_mhz = 0.1152 / 2.0 * band_mhz;
    double from_edge = fmin(u_mhz, band_mhz - u_mhz) / roll_mhz;
    return 0.5 + 0.5 * sin(0.5 * PI * fmax(-1.0, fmin(1.0, from_edge)));
}

static double complex received(const struct channel *channel, double u_mhz)
{
    double offset_hz = 1e6 * u_mhz - vsb_symbol_rate_hz() / 4.0;
    return channel_response(channel, offset_hz, 0.0) * let_through(u_mhz);
}

/* What an equaliser without end leaves, dB, of data and pilot (Cioffi et al. 1995): of the real
 * part of the signal, in which each frequency meets its image at the nearer edge. */
static double without_end_db(const struct channel *channel, double snr_db)
{
    enum { PARTS = 2000 };
    const double pilot = VSB_PILOT_LEVEL * VSB_PILOT_LEVEL / 21.0; /* of levels -7 to 7 */
    double band_mhz = vsb_symbol_rate_hz() / 2e6, power = 0.0, sum = 0.0, gains[PARTS];
    for (int i = 0; i < PARTS; i++) {
        double u = band_mhz * (i + 0.5) / PARTS,
               image = u < 0.5 * band_mhz ? -u : 2.0 * band_mhz - u;
        double gain = cabs(received(channel, u) + conj(received(channel, image)));
        gains[i] = gain * gain;
        double here = cabs(received(channel, u)), there = cabs(received(channel, image));
        power += (here * here / let_through(u) +
                  (there > 0.0 ? there * there / let_through(image) : 0.0)) /
                 PARTS;
    }
    double at_pilot = cabs(channel_response(channel, -vsb_symbol_rate_hz() / 4.0, 0.0));
    double noise = (power + pilot * at_pilot * at_pilot) / ratio_from_db(snr_db);
    for (int i = 0; i < PARTS; i++) {
        sum += log(1.0 + gains[i] / noise) / PARTS;
    }
    return db_from_ratio((exp(sum) - 1.0) * (1.0 + pilot));
}

/* H(f, t) of physics/channel.h is what OFDM's carriers meet; 8-VSB and its pilot meet it as well.
 */
static void the_channel_is_the_one_that_ofdm_receives(void **state)
{
    (void)state;
    assumes("an equaliser without end, decisions without error; the pilot counts as signal");
    struct random random = random_seeded(13, 8);
    for (int i = 0; i < 60; i++) {
        struct channel channel;
        struct vsb_echo_result result;
        int count = 1 + i % 3;
        channel_start(&channel, 189e6);
        for (int k = 0; k < count; k++) {
            struct echo echo = {.delay_us = between(&random, 0.02, i % 2 == 0 ? 0.5 : 6.0),
                                .level_db = between(&random, -12.0, -1.0),
                                .phase_deg = between(&random, 0.0, 360.0)};
            assert_true(channel_add(&channel, &echo, "wall"));
        }
        assert_int_equal(vsb_echo_solve(&channel, 18.0, &usual, &result), STATUS_OK);
        assert_near(result.infinite_snr_db, without_end_db(&channel, 18.0), 1e-4,
                    "from the channel's response at the radio frequency");
    }
    struct channel channel;
    struct vsb_echo_result result;
    struct echo wall = {.delay_us = 0.05, .level_db = -1.0, .phase_deg = 270.0};
    channel_start(&channel, 189e6);
    assert_true(channel_add(&channel, &wall, "wall"));
    assert_int_equal(vsb_echo_solve(&channel, 18.0, &usual, &result), STATUS_OK);
    assert_near(result.margin_db, 2.41, 0.25,
                "issue 13, independent simulation; the pilot counted as 0.31 dB");
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
        cmocka_unit_test(the_channel_is_the_one_that_ofdm_receives),
        cmocka_unit_test(more_span_is_never_worse),
        cmocka_unit_test(a_little_more_echo_costs_a_little_more),
        cmocka_unit_test(more_snr_is_always_better),
        cmocka_unit_test(the_lines_of_losses_add_up),
        cmocka_unit_test(the_order_of_echoes_does_not_matter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
