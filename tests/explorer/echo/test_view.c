#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "explorer/drive.h"
#include "explorer/echo/edit.h"
#include "explorer/echo/state.h"

/* ---- Edits. ---- */

static struct scenario two_echoes(void)
{
    struct scenario scenario = scenario_default();
    assert_true(echo_edit_add(&scenario));
    assert_true(echo_edit_add(&scenario));
    return scenario;
}

static void an_added_echo_is_legal_and_has_a_name_of_its_own(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    for (int i = 0; i < ECHOES_MAX; i++) {
        assert_true(echo_edit_add(&scenario));
        assert_int_equal(scenario.echo_count, i + 1);
        assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
        for (int k = 0; k < i; k++) {
            assert_string_not_equal(scenario.echo_names[i], scenario.echo_names[k]);
        }
    }
    assert_false(echo_edit_add(&scenario));
    assert_int_equal(scenario.echo_count, ECHOES_MAX);
}

/* With the verdict of all positions, not of the few that were tried. */
static void an_added_echo_leaves_both_more_than_half_their_margin(void **state)
{
    (void)state;
    static const char *const paths[] = {
        "profiles/echo-hill.ini", "profiles/8vsb-early-receiver.ini",
        "profiles/rooftop-high-rate.ini", "profiles/low-vhf.ini", "profiles/portable-indoor.ini"};
    static const double snrs_db[] = {NAN, 15.5, 17.0, 20.0};
    for (size_t i = 0; i < sizeof paths / sizeof paths[0]; i++) {
        struct profile profile = {0};
        assert_int_equal(profile_read_file(paths[i], &profile, NULL), STATUS_OK);
        struct scenario *scenario = &profile.scenario;
        if (isfinite(snrs_db[i % 4])) {
            scenario->receiver.snr_db = snrs_db[i % 4];
        }
        struct verdicts before, after;
        assert_int_equal(verdicts_make(scenario, &before, NULL), STATUS_OK);
        assert_true(echo_edit_add(scenario));
        assert_int_equal(verdicts_make(scenario, &after, NULL), STATUS_OK);
        for (int g = 0; g < GENERATION_COUNT; g++) {
            double margin_db = before.of[g].margin_db;
            assert_true(!(margin_db > 0.0) || after.of[g].margin_db > 0.49 * margin_db);
        }
        const struct echo *added = &scenario->echoes[scenario->echo_count - 1];
        assert_true(added->delay_us > 0.0 &&
                    added->delay_us < before.of[GENERATION_FIRST].facts.echo_after_us);
        profile_free(&profile);
    }
}

static void removing_closes_the_gap(void **state)
{
    (void)state;
    struct scenario scenario = two_echoes(), fresh = scenario_default();
    struct echo second = scenario.echoes[1];
    echo_edit_remove(&scenario, 0);
    assert_int_equal(scenario.echo_count, 1);
    assert_near(scenario.echoes[0].delay_us, second.delay_us, 0.0, "moved up");
    assert_string_equal(scenario.echo_names[0], "2");
    echo_edit_remove(&scenario, 0);
    assert_memory_equal(scenario.echoes, fresh.echoes, sizeof fresh.echoes);
    assert_memory_equal(scenario.echo_names, fresh.echo_names, sizeof fresh.echo_names);
}

static void sliding_there_and_back_ends_where_it_began(void **state)
{
    (void)state;
    static const double starts[] = {0.0, 0.05, 0.19, 0.2, 1.9, 2.0, 37.0, -0.2, -5.0, -2.0};
    struct scenario scenario = two_echoes();
    for (size_t i = 0; i < sizeof starts / sizeof starts[0]; i++) {
        scenario.echoes[0].delay_us = starts[i];
        for (int k = 0; k < 60; k++) {
            double before = scenario.echoes[0].delay_us;
            echo_edit_step(&scenario, 0, ECHO_DELAY, 1, false);
            assert_true(scenario.echoes[0].delay_us > before);
        }
        for (int k = 0; k < 60; k++) {
            echo_edit_step(&scenario, 0, ECHO_DELAY, -1, false);
        }
        assert_near(scenario.echoes[0].delay_us, starts[i], 1e-9, "60 steps each way");
    }
}

static void slid_values_stay_in_range(void **state)
{
    (void)state;
    struct scenario scenario = two_echoes();
    for (int column = 0; column < ECHO_COLUMN_COUNT; column++) {
        for (int direction = -1; direction <= 1; direction += 2) {
            for (int k = 0; k < 3000; k++) {
                echo_edit_step(&scenario, 0, (enum echo_column)column, direction, true);
            }
            assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
        }
    }
    for (int k = 0; k < 1000; k++) {
        echo_edit_step(&scenario, ECHO_ROW_SNR, ECHO_DELAY, 1, true);
    }
    assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
}

static void typed_values_are_checked(void **state)
{
    (void)state;
    struct scenario scenario = two_echoes();
    struct fault fault = {0};
    assert_int_equal(echo_edit_set(&scenario, 1, ECHO_LEVEL, "-7.5", &fault), STATUS_OK);
    assert_near(scenario.echoes[1].level_db, -7.5, 0.0, "as typed");
    assert_int_equal(echo_edit_set(&scenario, ECHO_ROW_SNR, ECHO_DELAY, "17", &fault), STATUS_OK);
    assert_near(scenario.receiver.snr_db, 17.0, 0.0, "as typed");
    static const char *const bad[] = {"", "x", "60", "nan", "1e9"};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct scenario before = scenario;
        assert_int_not_equal(echo_edit_set(&scenario, 1, ECHO_LEVEL, bad[i], &fault), STATUS_OK);
        assert_true(fault.wrong[0] != '\0');
        assert_memory_equal(&scenario, &before, sizeof before);
    }
}

/* ---- The view. ---- */

/* What the screen says is the verdict on the scenario as edited. */
static void both_margins_follow_as_an_echo_slides(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("e 2 0 Enter a", 24, 80);
    static struct verdicts verdicts;
    const struct verdict *first = &verdicts.of[GENERATION_FIRST];
    const struct verdict *second = &verdicts.of[GENERATION_SECOND];
    for (int i = 0; i < 12; i++) {
        char expected[64];
        happens(explorer, event_key(PRESS_PAGE_UP));
        assert_int_equal(verdicts_make(&explorer->desk.profile.scenario, &verdicts, NULL),
                         STATUS_OK);
        assert_near(first->conditions.channel.rays[1].delay_us, 10.0 * (i + 1), 1e-9,
                    "steps of 10 us");
        snprintf(expected, sizeof expected, "margin               %9.1f%9.1f",
                 round(first->margin_db * 10.0) / 10.0 + 0.0,
                 round(second->margin_db * 10.0) / 10.0 + 0.0);
        assert_shows(explorer, expected);
        assert_shows(explorer, first->works ? "decodes" : "fails");
    }
    assert_false(first->works); /* beyond 38.5 us */
    explorer_free(explorer);
}

static void an_echo_is_added_typed_removed_and_undone(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("e", 24, 80);
    assert_shows(explorer, "No echoes: a adds one.");
    explorer_run_script(explorer, "a 4 2 . 5 Enter Tab - 3 Enter Tab 9 0 Enter Tab 2 Enter");
    const struct echo *echo = &explorer->desk.profile.scenario.echoes[0];
    assert_int_equal(explorer->desk.profile.scenario.echo_count, 1);
    assert_near(echo->delay_us, 42.5, 0.0, "typed");
    assert_near(echo->level_db, -3.0, 0.0, "typed");
    assert_near(echo->phase_deg, 90.0, 0.0, "typed");
    assert_near(echo->doppler_hz, 2.0, 0.0, "typed");
    assert_shows(explorer, "42.50  -3.0    90    2.0");
    explorer_run_script(explorer, "Tab 9 9 9 9 9 9 9 Enter");
    assert_near(echo->delay_us, 42.5, 0.0, "refused");
    assert_shows(explorer, "10000");
    explorer_run_script(explorer, "d");
    assert_int_equal(explorer->desk.profile.scenario.echo_count, 0);
    explorer_run_script(explorer, "u");
    assert_int_equal(explorer->desk.profile.scenario.echo_count, 1);
    explorer_free(explorer);
}

/* A held key comes many times before a screen is drawn. */
static void removing_more_than_there_are_is_harmless(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("e a a", 24, 80);
    const struct event remove = event_key('d');
    for (int i = 0; i < 10; i++) {
        explorer_step(explorer, &remove);
    }
    assert_int_equal(explorer->desk.profile.scenario.echo_count, 0);
    assert_shows(explorer, "No echoes: a adds one.");
    explorer_free(explorer);
}

static void the_snr_can_be_slid_and_forgotten(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("e", 24, 80);
    assert_shows(explorer, "│ no SNR is known. Give a measured SNR, a");
    explorer_run_script(explorer, "Right Right");
    assert_near(explorer->desk.profile.scenario.receiver.snr_db, 30.5, 0.0,
                "the middle of the range, then half a decibel");
    explorer_run_script(explorer, "d");
    assert_true(isnan(explorer->desk.profile.scenario.receiver.snr_db));
    explorer_free(explorer);
}

static void every_picture_comes(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("e 2 0 Enter a", 40, 100);
    assert_shows(explorer, "Rays, and what each generation makes of them");
    explorer_run_script(explorer, "n");
    assert_shows(explorer, "SNR by carrier");
    explorer_run_script(explorer, "n Wait");
    assert_shows(explorer, "Margins as echo \"1\" slides");
    explorer_run_script(explorer, "n Wait");
    assert_shows(explorer, "Strongest echo borne, by its delay");
    explorer_run_script(explorer, "n Wait");
    assert_shows(explorer, "Margin over ten seconds");
    explorer_run_script(explorer, "n");
    assert_shows(explorer, "picture, n next [rays]  carriers   margin   tolerance   time");
    explorer_free(explorer);
}

/* Sliding while a sweep is computed: the sweep that comes is that of the last position. */
static void a_sweep_follows_the_last_change(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("e 2 0 Enter a n n", 30, 100);
    for (int i = 0; i < 5; i++) {
        happens(explorer, event_key(PRESS_RIGHT));
    }
    explorer_run_script(explorer, "Wait");
    const struct echo_state *view = explorer->view_state[explorer->view];
    assert_false(echo_is_busy(view));
    assert_non_null(echo_picture_of(view, ECHO_PICTURE_MARGINS));
    assert_int_equal(view->sweeps[SWEEP_MARGINS].judged, explorer->desk.judged);
    explorer_free(explorer);
}

static void rays_that_cancel_are_said_to(void **state)
{
    (void)state;
    struct explorer *explorer =
        explorer_after("e 2 0 Enter a 0 Enter Tab 0 Enter Tab 1 8 0 Enter", 24, 80);
    assert_shows(explorer, "the rays cancel each other");
    explorer_run_script(explorer, "n n Wait n Wait n n");
    assert_shows(explorer, "the rays cancel each other");
    explorer_free(explorer);
}

static void it_draws_at_any_size(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("e a a a a a a", 24, 80);
    desk_wait(&explorer->desk);
    assert_draws_at_any_size(explorer);
    explorer_free(explorer);
}

static void a_click_selects_what_it_hits(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("e a a", 24, 80);
    explorer_run_script(explorer, "Click:5,25");
    const struct echo_state *view = explorer->view_state[explorer->view];
    assert_int_equal(echo_selected(view), 1);
    assert_int_equal(view->column, ECHO_LEVEL);
    explorer_run_script(explorer, "Click:3,15");
    assert_int_equal(echo_selected(view), ECHO_ROW_SNR);
    explorer_run_script(explorer, "Click:4,38 WheelUp:4,38");
    assert_int_equal(view->column, ECHO_DOPPLER);
    assert_near(explorer->desk.profile.scenario.echoes[0].doppler_hz, 0.5, 0.0, "one step");
    explorer_free(explorer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_added_echo_is_legal_and_has_a_name_of_its_own),
        cmocka_unit_test(an_added_echo_leaves_both_more_than_half_their_margin),
        cmocka_unit_test(removing_closes_the_gap),
        cmocka_unit_test(sliding_there_and_back_ends_where_it_began),
        cmocka_unit_test(slid_values_stay_in_range),
        cmocka_unit_test(typed_values_are_checked),
        cmocka_unit_test(both_margins_follow_as_an_echo_slides),
        cmocka_unit_test(an_echo_is_added_typed_removed_and_undone),
        cmocka_unit_test(removing_more_than_there_are_is_harmless),
        cmocka_unit_test(the_snr_can_be_slid_and_forgotten),
        cmocka_unit_test(every_picture_comes),
        cmocka_unit_test(a_sweep_follows_the_last_change),
        cmocka_unit_test(rays_that_cancel_are_said_to),
        cmocka_unit_test(it_draws_at_any_size),
        cmocka_unit_test(a_click_selects_what_it_hits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
