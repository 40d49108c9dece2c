#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "explorer/drive.h"
#include "explorer/read/state.h"
#include "explorer/weigh/state.h"
#include "scenario/scenario.h"

/* The views that weigh modes and read pages. */

static struct weigh_state *weigh_of(struct explorer *explorer)
{
    return view_state_of(explorer);
}

static void limits_are_typed_stepped_and_taken_off(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("w 1 5 0 Enter", 24, 80);
    struct weigh_state *weigh = weigh_of(explorer);
    assert_near(weigh->wish.limits[LIMIT_ECHO], 150.0, 0.0, "typed");
    for (size_t i = 0; i < weigh->list.count; i++) {
        assert_true(weigh_echo_us(&weigh->space, weigh->list.rows[i].mode) >= 150.0);
    }
    explorer_run_script(explorer, "Right"); /* to the next guard interval's length */
    assert_near(weigh_of(explorer)->wish.limits[LIMIT_ECHO], 222.2, 0.05, "1536 / 6.912");
    explorer_run_script(explorer, "Delete");
    assert_true(isnan(weigh_of(explorer)->wish.limits[LIMIT_ECHO]));
    assert_int_equal(weigh->list.matching, 243000);
    explorer_run_script(explorer, "Down 1 e 9 Enter"); /* no such number: refused */
    assert_true(isnan(weigh_of(explorer)->wish.limits[LIMIT_SPEED]));
    explorer_free(explorer);
}

static void the_limit_on_echoes_is_a_time_or_a_length(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("w 3 0 k m Enter", 24, 80);
    const struct weigh_state *weigh = weigh_of(explorer);
    assert_near(weigh->wish.limits[LIMIT_ECHO], 30.0 / 0.299792458, 1e-9, "30 km / c");
    assert_shows(explorer, "Echo km >=    30.0");
    explorer_run_script(explorer, "k");
    assert_shows(explorer, "Echo us >=   100.1");
    explorer_run_script(explorer, "k 1 5 Enter"); /* in the unit that is shown */
    assert_near(weigh->wish.limits[LIMIT_ECHO], 15.0 / 0.299792458, 1e-9, "15 km / c");
    explorer_run_script(explorer, "1 0 0 Space u s Enter");
    assert_near(weigh->wish.limits[LIMIT_ECHO], 100.0, 0.0, "typed with its unit");
    assert_shows(explorer, "Echo us >=   100.0");
    explorer_run_script(explorer, "1 0 m Enter");
    assert_shows(explorer, "or as \"30km\"");
    explorer_run_script(explorer, "Down 9 k m Enter"); /* a speed is no length */
    assert_true(isnan(weigh_of(explorer)->wish.limits[LIMIT_SPEED]));
    explorer_free(explorer);
}

static void moves_that_break_a_limit_are_not_offered(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("w Tab n", 24, 80);
    assert_true(weigh_of(explorer)->moves[MOVE_FASTER].exists);
    explorer_run_script(explorer, "Tab Up Down Down Down Down Down Down Right Tab"); /* keep FFT */
    assert_false(weigh_of(explorer)->moves[MOVE_FASTER].exists);
    assert_shows(explorer, "breaks a limit");
    explorer_free(explorer);
}

static void a_mode_is_taken_over_and_undone(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("w Tab Down Down", 24, 80);
    struct weigh_state *weigh = weigh_of(explorer);
    struct scenario put = weigh->space.scenario;
    weigh_put(&weigh->space, (size_t)weigh_row_mode(weigh, 2), &put);
    struct transmission wanted = put.transmission;
    struct transmission before = explorer->desk.profile.scenario.transmission;
    explorer_run_script(explorer, "Enter");
    assert_int_equal(explorer->desk.profile.scenario.transmission.subframes[0].waveform.fft,
                     wanted.subframes[0].waveform.fft);
    assert_int_equal(explorer->desk.profile.scenario.transmission.subframes[0].waveform.pilots,
                     wanted.subframes[0].waveform.pilots);
    assert_int_equal(explorer->desk.profile.scenario.transmission.plps[0].code.rate_15ths,
                     wanted.plps[0].code.rate_15ths);
    assert_int_equal(weigh_of(explorer)->from, weigh_find(&weigh->space, &put));
    explorer_run_script(explorer, "u");
    assert_int_equal(explorer->desk.profile.scenario.transmission.subframes[0].waveform.fft,
                     before.subframes[0].waveform.fft);
    assert_int_equal(explorer->desk.profile.scenario.transmission.plps[0].code.rate_15ths,
                     before.plps[0].code.rate_15ths);
    explorer_run_script(explorer, "p");
    assert_non_null(explorer->desk.pinned);
    assert_int_equal(explorer->desk.pinned->transmission.subframes[0].waveform.pilots,
                     wanted.subframes[0].waveform.pilots);
    explorer_free(explorer);
}

static void moves_folding_and_zoom(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("w Tab n", 24, 80);
    assert_shows(explorer, "no legal mode carries more and is as robust in SNR");
    explorer_run_script(explorer, "Down Down");
    assert_shows(explorer, "one more step of guard interval: -");
    explorer_run_script(explorer, "n f");
    assert_int_equal(weigh_of(explorer)->list.rows[0].folded, 0);
    explorer_run_script(explorer, "f");
    assert_true(weigh_of(explorer)->list.rows[0].folded > 0);
    explorer_run_script(explorer, "n + +");
    struct weigh_state *weigh = weigh_of(explorer);
    assert_near(weigh->picture.x.high - weigh->picture.x.low, 46.0 / 4.0, 1e-9, "two halvings");
    explorer_run_script(explorer, "< > - -");
    weigh = weigh_of(explorer);
    assert_near(weigh->picture.x.low, -6.0, 0.0, "all again");
    explorer_free(explorer);
}

static void margins_with_echoes_come_from_beside(void **state)
{
    (void)state;
    struct explorer *explorer =
        explorer_after("e 2 0 Enter a m w Down Down Down Down Right", 24, 80);
    weigh_of(explorer);
    assert_shows(explorer, "computing margins");
    /* There is no list meanwhile, so none can be taken. */
    assert_true(weigh_is_waiting(weigh_of(explorer)));
    assert_int_equal(weigh_of(explorer)->modes.count, 0);
    struct transmission before = explorer->desk.profile.scenario.transmission;
    explorer_run_script(explorer, "Tab Down Enter p");
    if (weigh_is_waiting(weigh_of(explorer))) { /* a fast machine may have them by then */
        assert_memory_equal(&before, &explorer->desk.profile.scenario.transmission, sizeof before);
        assert_null(explorer->desk.pinned);
    }
    explorer_run_script(explorer, "Tab Wait");
    struct weigh_state *weigh = weigh_of(explorer);
    assert_non_null(weigh->space.echo_margins);
    assert_true(weigh->list.count > 0 && weigh->list.matching < 243000);
    for (size_t i = 0; i < weigh->list.count; i++) {
        assert_true(weigh->space.echo_margins[weigh->list.rows[i].mode].half_db >= 1.0f);
    }
    explorer_run_script(explorer, "e d w"); /* another channel: they are made again */
    weigh_of(explorer);
    explorer_free(explorer); /* while the job runs: it is stopped */
}

static void without_an_snr_margins_are_refused_with_a_reason(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("e a m w Down Down Down Down Right Wait", 24, 80);
    assert_true(isnan(weigh_of(explorer)->wish.limits[LIMIT_MARGIN]));
    assert_non_null(strstr(explorer->desk.message, "receiver.snr_db"));
    explorer_free(explorer);
}

static void a_page_is_pasted_read_and_taken_over(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after(
        "t v 'FFT 8K GI3_512 SP6_2 boost 1' Enter '64QAM 9/15 LDPC 16K SNR 21.5 dB' Escape", 24,
        80);
    assert_shows(explorer, "FFT size: 8K");
    assert_shows(explorer, "It comes in, comfortably: 6.6 dB to");
    explorer_run_script(explorer, "Enter");
    const struct scenario *scenario = &explorer->desk.profile.scenario;
    assert_int_equal(scenario->transmission.subframes[0].waveform.fft, FFT_8K);
    assert_int_equal(scenario->transmission.subframes[0].waveform.guard, GI3_512);
    assert_int_equal(scenario->transmission.plps[0].code.length, LENGTH_16200);
    assert_near(scenario->receiver.snr_db, 21.5, 0.0, "the page");
    explorer_run_script(explorer, "u");
    assert_int_equal(scenario->transmission.subframes[0].waveform.fft,
                     transmission_default().subframes[0].waveform.fft);
    explorer_free(explorer);
}

static void a_contradiction_is_shown_and_not_taken_over(void **state)
{
    (void)state;
    struct explorer *explorer =
        explorer_after("t f text:demo/pages/09-guard-too-long.txt Enter", 24, 80);
    assert_shows(explorer, "! FFT size 8K does not go with guard");
    struct transmission before = explorer->desk.profile.scenario.transmission;
    explorer_run_script(explorer, "Enter");
    assert_shows(explorer, "There is no mode to take over.");
    assert_int_equal(explorer->desk.profile.scenario.transmission.subframes[0].waveform.fft,
                     before.subframes[0].waveform.fft);
    explorer_run_script(explorer, "f text:demo/pages/03-rows-of-plps.txt Enter n");
    assert_shows(explorer, "PLP 1: 32K");
    explorer_run_script(explorer, "n");
    assert_shows(explorer, "PLP 4: 32K");
    explorer_run_script(explorer, "f nothing-there.txt Enter");
    assert_shows(explorer, "nothing-there.txt");
    explorer_free(explorer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(limits_are_typed_stepped_and_taken_off),
        cmocka_unit_test(the_limit_on_echoes_is_a_time_or_a_length),
        cmocka_unit_test(moves_that_break_a_limit_are_not_offered),
        cmocka_unit_test(a_mode_is_taken_over_and_undone),
        cmocka_unit_test(moves_folding_and_zoom),
        cmocka_unit_test(margins_with_echoes_come_from_beside),
        cmocka_unit_test(without_an_snr_margins_are_refused_with_a_reason),
        cmocka_unit_test(a_page_is_pasted_read_and_taken_over),
        cmocka_unit_test(a_contradiction_is_shown_and_not_taken_over),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
