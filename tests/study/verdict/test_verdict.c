#include "support/near.h"

#include <math.h>
#include <string.h>

#include "base/units.h"
#include "study/verdict/echo_study.h"

static struct echo_study study;

static void solve(const struct scenario *scenario)
{
    struct fault fault = {0};
    enum status status = echo_study_make(scenario, &study, &fault);
    if (status != STATUS_OK) {
        print_error("%s: %s\n", fault.place, fault.wrong);
    }
    assert_int_equal(status, STATUS_OK);
}

static struct scenario scenario_with(double snr_db, int count, struct echo echo)
{
    struct scenario scenario = scenario_default();
    scenario.receiver.snr_db = snr_db;
    scenario.echo_count = count;
    scenario.echoes[0] = echo;
    return scenario;
}

static void without_echoes_both_keep_their_snr(void **state)
{
    (void)state;
    for (double snr_db = 0.0; snr_db <= 40.0; snr_db += 8.0) {
        struct scenario scenario = scenario_with(snr_db, 0, (struct echo){0});
        solve(&scenario);
        assert_near(study.first.output_snr_db, snr_db, 0.01, "nothing disturbs");
        assert_near(study.second.effective_snr_db, snr_db, 0.01, "nothing disturbs");
        assert_int_equal(study.first_works, snr_db >= 14.9);
        assert_int_equal(study.second_works, snr_db >= study.input.needed_db);
    }
}

static void losses_lead_from_input_to_margin(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(
        24.0, 1, (struct echo){.delay_us = 170.0, .level_db = -12.0, .doppler_hz = 3});
    scenario.first.implementation_loss_db = 1.2;
    scenario.first.adaptation_step = 0.05;
    solve(&scenario);
    for (int generation = 0; generation < 2; generation++) {
        struct echo_loss losses[ECHO_LOSSES_MAX];
        size_t count =
            generation ? echo_losses_second(&study, losses) : echo_losses_first(&study, losses);
        double db = losses[0].db;
        assert_near(db, 24.0, 1e-9, "the profile's SNR");
        size_t i = 1;
        for (; i < count && !losses[i].is_level; i++) {
            assert_true(losses[i].db <= 1e-6);
            db += losses[i].db;
        }
        assert_near(losses[i].db, db, 1e-6, "sum of the lines above");
        assert_near(losses[i + 2].db, losses[i].db - losses[i + 1].db, 1e-9, "margin");
    }
}

static void the_source_of_the_snr_is_told(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    solve(&scenario);
    assert_int_equal(study.input.source, ECHO_SNR_ASSUMED);
    assert_near(study.input.snr_db, ECHO_ASSUMED_SNR_DB, 0.0, "header");
    scenario.receiver.level_dbm = -80.0;
    solve(&scenario);
    assert_int_equal(study.input.source, ECHO_SNR_FROM_LEVEL);
    assert_near(study.input.snr_db, -80.0 - (-106.2 + 7.0), 0.05, "kTB in 6 MHz, noise figure 7");
    scenario.receiver.snr_db = 17.0;
    solve(&scenario);
    assert_int_equal(study.input.source, ECHO_SNR_MEASURED);
}

static void a_moving_receiver_moves_its_echoes(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(20.0, 1, (struct echo){.delay_us = 2, .level_db = -3});
    scenario.receiver.speed_kmh = 36.0;
    solve(&scenario);
    double most_hz = 10.0 * scenario.site.center_mhz * 1e6 / SPEED_OF_LIGHT_M_S;
    assert_near(study.input.echoes[0].doppler_hz, -2.0 * most_hz, 1e-9, "from behind: -2 v f / c");
    assert_true(study.input.moving);
    scenario.echoes[0].doppler_hz = 1.5;
    solve(&scenario);
    assert_near(study.input.echoes[0].doppler_hz, 1.5, 0.0, "its own");
}

static void words_say_what_the_figures_say(void **state)
{
    (void)state;
    /* 80 us: beyond the equaliser (38.5 us), within the guard interval (148 us). */
    struct scenario scenario =
        scenario_with(22.0, 1, (struct echo){.delay_us = 80, .level_db = -6});
    scenario.transmission.subframes[0].plps[0].code.constellation = QAM64;
    solve(&scenario);
    assert_false(study.first_works);
    assert_true(study.second_works);
    struct text text = {0};
    char expected[128];
    echo_words_verdict(&study, &text);
    text_format(expected, sizeof expected,
                "First generation: fails, %.1f dB short. Second: decodes, %.1f dB margin.",
                -study.first.margin_db, study.second.margin_db);
    assert_string_equal(text_string(&text), expected);
    text_clear(&text);
    echo_words_first(&study, &text);
    assert_non_null(strstr(text_string(&text), "one echo lies outside the equaliser's reach"));
    text_clear(&text);
    echo_words_second(&study, &text);
    assert_non_null(strstr(text_string(&text), "All rays fit into the guard interval of 148.1 us"));
    text_clear(&text);
    echo_words_decision(&study, &text);
    assert_non_null(strstr(text_string(&text), "Only the second generation decodes."));
    assert_non_null(strstr(text_string(&text), "how it bears the echoes"));
    text_clear(&text);
    scenario.echoes[0].delay_us = 400.0;
    solve(&scenario);
    echo_words_second(&study, &text);
    assert_non_null(strstr(text_string(&text), "1 is beyond what the pilots resolve"));
    assert_non_null(strstr(text_string(&text), "no SNR would be enough"));
    text_free(&text);
}

static void assert_words(void (*write)(const struct echo_study *study, struct text *out),
                         const char *wanted)
{
    struct text text = {0};
    write(&study, &text);
    if (!strstr(text_string(&text), wanted)) {
        print_error("\"%s\" is not in: %s\n", wanted, text_string(&text));
        fail();
    }
    text_free(&text);
}

static void words_tell_of_each_trouble(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(30.0, 0, (struct echo){0});
    solve(&scenario);
    assert_words(echo_words_first, "Without echoes the equaliser has nothing to do.");
    assert_words(echo_words_second, "Without echoes all carriers are alike.");
    scenario = scenario_with(30.0, 1, (struct echo){.delay_us = -35.0, .level_db = 3.0});
    solve(&scenario);
    assert_words(echo_words_first, "The receiver locks to the stronger ray at -35.0 us.");
    assert_words(echo_words_first, "All echoes lie within the equaliser's reach");
    scenario = scenario_with(30.0, 1,
                             (struct echo){.delay_us = 5.0, .level_db = -10.0, .doppler_hz = 25.0});
    solve(&scenario);
    assert_words(echo_words_first, "Also one echo moves faster than the 10 Hz that it follows and "
                                   "acts as noise, -10.0 dB.");
    scenario.echoes[scenario.echo_count++] =
        (struct echo){.delay_us = 80.0, .level_db = -10.0, .doppler_hz = 25.0};
    scenario.echoes[scenario.echo_count++] = (struct echo){.delay_us = 90.0, .level_db = -10.0};
    solve(&scenario);
    assert_words(echo_words_first, "There is no guard interval, and 2 echoes lie outside the "
                                   "equaliser's reach (29.5 us before to 38.5 us after)");
    /* As strong as the main signal and far outside of the guard interval. */
    scenario = scenario_with(60.0, 1, (struct echo){.delay_us = 1500.0});
    solve(&scenario);
    assert_words(echo_words_second,
                 "no SNR would be enough, the interference alone is too strong.");
    assert_words(echo_words_decision, "Both fail.");
    /* The same needs and the same losses. */
    scenario = scenario_with(30.0, 0, (struct echo){0});
    solve(&scenario);
    scenario.first.threshold_db = study.input.needed_db;
    solve(&scenario);
    assert_words(echo_words_decision, "the two come out even.");
}

static void rays_that_cancel_and_bad_echoes_are_refused(void **state)
{
    (void)state;
    struct fault fault = {0};
    struct scenario scenario = scenario_with(20.0, 1, (struct echo){.phase_deg = 180.0});
    assert_int_equal(echo_study_make(&scenario, &study, &fault), STATUS_NO_SOLUTION);
    assert_string_equal(fault.wrong, "the rays cancel each other");
    scenario = scenario_with(20.0, 1, (struct echo){.level_db = 60.0});
    assert_int_equal(echo_study_make(&scenario, &study, &fault), STATUS_OUT_OF_RANGE);
    assert_string_equal(fault.place, "echo 1");
    scenario = scenario_with(20.0, 10000, (struct echo){0});
    assert_int_equal(echo_study_make(&scenario, &study, &fault), STATUS_OUT_OF_RANGE);
    scenario = scenario_with(500.0, 0, (struct echo){0});
    assert_int_equal(echo_study_make(&scenario, &study, &fault), STATUS_OUT_OF_RANGE);
    assert_string_equal(fault.place, "receiver.snr_db");
    scenario = scenario_default();
    scenario.transmission.subframes[0].waveform.pilots = SP32_4;
    assert_int_equal(echo_study_make(&scenario, &study, &fault), STATUS_ILLEGAL);
}

static void margins_follow_a_sliding_echo(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(24.0, 1, (struct echo){.level_db = -8});
    static struct echo_input input;
    assert_int_equal(echo_input_make(&scenario, &input, NULL), STATUS_OK);
    struct echo_margins margins[25];
    assert_int_equal(echo_sweep_margins(&input, 0, -120.0, 360.0, 25, margins), STATUS_OK);
    for (int i = 0; i < 25; i++) {
        assert_near(margins[i].delay_us, -120.0 + 20.0 * i, 1e-9, "even steps");
        scenario.echoes[0].delay_us = margins[i].delay_us;
        solve(&scenario);
        assert_near(margins[i].first_db, study.first.margin_db, 1e-9, "the study itself");
        assert_near(margins[i].second_db, study.second.margin_db, 1e-9, "the study itself");
    }
}

/* An echo out of everybody's reach is noise: the level at which noise and echo leave the threshold.
 */
static void far_echoes_are_borne_as_noise(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(24.0, 0, (struct echo){0});
    static struct echo_input input;
    assert_int_equal(echo_input_make(&scenario, &input, NULL), STATUS_OK);
    struct echo_tolerated points[2];
    assert_int_equal(echo_sweep_tolerated(&input, 3000.0, 4000.0, 2, points), STATUS_OK);
    for (int generation = 0; generation < 2; generation++) {
        double needed_db = generation ? input.needed_db : 14.9;
        /* 1 / (n (1 + x) + x) = needed, n the noise over total power */
        double noise = ratio_from_db(-24.0), needed = ratio_from_db(needed_db);
        double level_db = db_from_ratio((1.0 / needed - noise) / (1.0 + noise));
        for (int i = 0; i < 2; i++) {
            double got_db = generation ? points[i].second_db : points[i].first_db;
            /* Sideband filter and equaliser shape 8-VSB's echo a little. */
            assert_near(got_db, level_db, generation ? 0.1 : 0.6, "sum of noise powers");
        }
    }
}

static void echoes_in_reach_are_borne_and_others_are_not(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(24.0, 0, (struct echo){0});
    scenario.transmission.subframes[0].plps[0].code.constellation = QAM64;
    static struct echo_input input;
    assert_int_equal(echo_input_make(&scenario, &input, NULL), STATUS_OK);
    struct echo_tolerated points[3];
    assert_int_equal(echo_sweep_tolerated(&input, 38.0, 52.0, 3, points), STATUS_OK);
    assert_true(points[0].first_db > -10.0); /* the published receiver: -10 dB at 38 us */
    assert_true(points[1].first_db < -10.0); /* and not at 45 us */
    assert_true(points[2].first_db < -10.0);
    for (int i = 0; i < 3; i++) {
        assert_near(points[i].second_db, ECHO_TOLERATED_MOST_DB, 0.0, "within the guard interval");
    }
}

static void a_second_transmitter_is_an_echo_by_distance_and_power(void **state)
{
    (void)state;
    struct echo_transmitter near = {10.0, 5.0, 0.0}, far = {20.0, 20.0, 7.0};
    struct echo echo = echo_from_transmitter(&near, &far);
    assert_near(echo.delay_us, 10e3 / SPEED_OF_LIGHT_M_S * 1e6 + 7.0, 1e-9, "path over c");
    assert_near(echo.level_db, 0.0, 1e-9, "four times the power at twice the distance");
    echo = echo_from_transmitter(&far, &near);
    assert_near(echo.delay_us, -10e3 / SPEED_OF_LIGHT_M_S * 1e6 - 7.0, 1e-9, "the other way");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_echoes_both_keep_their_snr),
        cmocka_unit_test(losses_lead_from_input_to_margin),
        cmocka_unit_test(the_source_of_the_snr_is_told),
        cmocka_unit_test(a_moving_receiver_moves_its_echoes),
        cmocka_unit_test(words_say_what_the_figures_say),
        cmocka_unit_test(words_tell_of_each_trouble),
        cmocka_unit_test(rays_that_cancel_and_bad_echoes_are_refused),
        cmocka_unit_test(margins_follow_a_sliding_echo),
        cmocka_unit_test(far_echoes_are_borne_as_noise),
        cmocka_unit_test(echoes_in_reach_are_borne_and_others_are_not),
        cmocka_unit_test(a_second_transmitter_is_an_echo_by_distance_and_power),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
