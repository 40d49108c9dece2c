#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "explorer/desk/quantities.h"
#include "explorer/drive.h"
#include "explorer/keys.h"

/* ---- Keys. ---- */

/* Tables of keys that are tried one after the other: no key may be in two of them. */
static void expect_apart(const struct key *one, const struct key *other)
{
    for (uint32_t key = 1; key <= PRESS_DELETE; key = key == 0x7F ? PRESS_UP : key + 1) {
        const struct key *here = keys_find(one, key);
        if (here && keys_find(other, key)) {
            fail_msg("%s is also %s", here->keys, keys_find(other, key)->keys);
        }
    }
}

static void no_two_things_share_a_key(void **state)
{
    (void)state;
    for (int i = 0; i < view_count(); i++) {
        const struct view *view = view_row(i);
        assert_true(view->key > ' ' && view->key < 0x7F && !(view->key >= '0' && view->key <= '9'));
        assert_true(strlen(view->name) <= 8);
        assert_null(keys_find(explorer_keys, view->key));
        expect_apart(view->keys, explorer_keys);
        for (int k = 0; k < view_count(); k++) {
            assert_true(k == i || view->key != view_row(k)->key);
            assert_null(keys_find(view->keys, view_row(k)->key));
        }
        for (const struct key *key = view->keys; key->keys; key++) {
            assert_non_null(key->help);
            expect_apart((const struct key[]){*key, {0}}, key + 1); /* the first would hide it */
        }
    }
}

static void a_click_on_a_key_presses_it(void **state)
{
    (void)state;
    for (int i = 0; i < view_count(); i++) {
        for (const struct key *key = view_row(i)->keys; key->keys; key++) {
            assert_true((key->press != NULL) == (key_click(key) != 0));
            assert_true(!key->press || keys_find(view_row(i)->keys, key_click(key)) == key);
        }
    }
}

static void plus_and_minus_step_as_the_arrows_do(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at(24, 80);
    explorer_run_script(explorer, "+");
    assert_int_equal(mode_of(explorer)->fft, FFT_32K);
    explorer_run_script(explorer, "- -");
    assert_int_equal(mode_of(explorer)->fft, FFT_8K);
    explorer_run_script(explorer, "=");
    assert_int_equal(mode_of(explorer)->fft, FFT_16K);
    explorer_free(explorer);
}

static void changing_the_guard_interval_changes_the_echo_path(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at(24, 80);
    assert_true(shows(explorer, "longer path, km    11.5    44.4"));
    assert_false(explorer_run_script(explorer, "Down Left"));
    assert_int_equal(mode_of(explorer)->guard, GI4_768);
    assert_true(shows(explorer, "longer path, km    11.5    33.3")); /* 111.11 us x c */
    assert_true(shows(explorer, "Also moved: Pilots SP16_2"));
    assert_true(explorer->desk.changed);
    explorer_run_script(explorer, "u");
    assert_int_equal(mode_of(explorer)->guard, GI5_1024);
    assert_false(explorer->desk.changed);
    explorer_run_script(explorer, "r");
    assert_int_equal(mode_of(explorer)->guard, GI4_768);
    explorer_free(explorer);
}

static void numbers_on_the_screen_equal_the_report(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at(60, 200);
    explorer_run_script(explorer, "p Left Down Right PageDown");
    struct text text = {0};
    screen_of(explorer, &text);
    struct report report;
    assert_int_equal(report_make(&explorer->desk.profile.scenario, &report, NULL), STATUS_OK);
    for (int i = 0; i < quantity_count(); i++) {
        const struct figure *figure = quantity_row(i);
        char label[64];
        snprintf(label, sizeof label, figure->unit[0] ? " %s, %s " : " %s ", figure_brief(figure),
                 figure->unit);
        const char *row = strstr(text_string(&text), label);
        if (!row) {
            fail_msg("no row \"%s\"", label);
        }
        char line[400];
        snprintf(line, sizeof line, "%.*s", (int)strcspn(row, "\n"), row);
        for (int k = 0; k < GENERATION_COUNT; k++) {
            double value = figure_number(figure, &report.verdicts.of[k]);
            char number[64];
            snprintf(number, sizeof number, " %.*f ", figure->decimals, value);
            assert_true(!isfinite(value) || strstr(line, number));
        }
    }
    text_free(&text);
    explorer_free(explorer);
}

/* Of either pair. */
static void a_pinned_mode_of_dvbt2_stays_as_it_was(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default_of(PAIR_DVB);
    struct explorer *explorer = explorer_with(&scenario, "p Left", 30, 100);
    assert_int_equal(explorer->desk.profile.scenario.dvbt2.waveform.fft, T2_16K);
    assert_int_equal(explorer->desk.pinned->dvbt2.waveform.fft, T2_32K);
    assert_true(report_facts(&explorer->desk.pinned_report, GENERATION_SECOND)->useful_us >
                1.9 * report_facts(&explorer->desk.report, GENERATION_SECOND)->useful_us);
    explorer_free(explorer);
}

static void a_pinned_mode_stays_beside_the_next_ones(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at(24, 80);
    explorer_run_script(explorer, "p");
    assert_true(shows(explorer, "pinned"));
    explorer_run_script(explorer, "Down Right Right");
    assert_true(shows(explorer, "echo after, us     38.5   296.3   148.1"));
    /* The channel is common to both columns: the pinned speed follows it. */
    double before = report_facts(&explorer->desk.pinned_report, GENERATION_SECOND)->speed_kmh;
    explorer_run_script(explorer, "Down Down Down Down Down Down Down Left");
    assert_int_equal(explorer->desk.profile.scenario.site.rf_channel, 9);
    assert_true(report_facts(&explorer->desk.pinned_report, GENERATION_SECOND)->speed_kmh > before);
    explorer_run_script(explorer, "p");
    assert_null(explorer->desk.pinned);
    explorer_free(explorer);
}

static void values_are_typed_and_checked(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at(24, 80);
    const char *to_snr = "Down Down Down Down Down Down Down Down Down Down Down Down";
    explorer_run_script(explorer, to_snr);
    assert_true(shows(explorer, "Measured SNR        none"));
    explorer_run_script(explorer, "2");
    assert_true(shows(explorer, "Type -20 to 80 dB, or none, then Enter"));
    explorer_run_script(explorer, "0 . 5 Enter");
    assert_near(explorer->desk.profile.scenario.receiver.snr_db, 20.5, 0.0, "typed");
    assert_true(shows(explorer, "Measured SNR     20.5 dB"));
    assert_true(
        shows(explorer, "8-VSB decodes, 5.6 dB to spare. OFDM decodes, 0.9 dB to spare.\n"));
    explorer_run_script(explorer, "9 9 9 Enter");
    assert_near(explorer->desk.profile.scenario.receiver.snr_db, 20.5, 0.0, "refused");
    assert_true(
        shows(explorer, "receiver.snr_db: \"999\" is out of range (-20 to 80 dB, or none)"));
    explorer_run_script(explorer, "- 3 Escape");
    assert_near(explorer->desk.profile.scenario.receiver.snr_db, 20.5, 0.0, "left");
    explorer_run_script(explorer, "q"); /* a question, and not the letter of a field */
    assert_non_null(explorer->desk.question.replies);
    explorer_run_script(explorer, "Escape Delete");
    assert_true(isnan(explorer->desk.profile.scenario.receiver.snr_db));
    explorer_free(explorer);
}

static void the_first_and_last_choice_say_so(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at(24, 80);
    explorer_run_script(explorer, "Left Left");
    assert_true(shows(explorer, "FFT size: this is the first legal value."));
    explorer_run_script(explorer, "u u u");
    assert_true(shows(explorer, "Nothing to undo."));
    explorer_free(explorer);
}

static void every_row_has_words_and_a_longer_explanation(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at(24, 80);
    for (int side = 0; side < 2; side++) {
        for (int row = 0; row < 40; row++) {
            struct text text = {0};
            view_main.words(&explorer->desk, explorer->view_state[0], &text);
            assert_true(text.length > 20);
            text_clear(&text);
            view_main.explain(&explorer->desk, explorer->view_state[0], &text);
            assert_non_null(strstr(text_string(&text), "Source: "));
            text_free(&text);
            explorer_run_script(explorer, "Down");
        }
        explorer_run_script(explorer, "Tab");
    }
    explorer_run_script(explorer, "Home i");
    assert_true(shows(explorer, "Explanation"));
    explorer_run_script(explorer, "Escape");
    assert_int_equal(explorer->box, BOX_NONE);
    explorer_free(explorer);
}

static void pictures_follow_one_another(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at(24, 80);
    assert_true(shows(explorer, "OFDM guard interval 148.1 us"));
    explorer_run_script(explorer, "n");
    assert_true(shows(explorer, "Loss against Doppler"));
    explorer_run_script(explorer, "n");
    assert_true(shows(explorer, "Bit rate against required SNR"));
    explorer_run_script(explorer, "N N");
    assert_true(shows(explorer, "OFDM guard interval 148.1 us"));
    explorer_free(explorer);
}

/* ---- The mouse. ---- */

static void the_mouse_selects_chooses_and_steps(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at(24, 80);
    explorer_run_script(explorer, "Click:4,26"); /* the first choice of the guard interval */
    assert_int_equal(mode_of(explorer)->guard, GI1_192);
    explorer_run_script(explorer, "Click:4,5");
    assert_int_equal(mode_of(explorer)->guard, GI1_192);
    explorer_run_script(explorer, "WheelUp:4,5 WheelUp:4,5 WheelDown:4,5");
    assert_int_equal(mode_of(explorer)->guard, GI2_384);
    explorer_run_script(explorer, "Click:13,10"); /* the rule above the picture */
    assert_true(shows(explorer, "Loss against Doppler"));
    explorer_run_script(explorer, "Click:9,50");
    assert_true(shows(explorer, "▸Doppler"));
    explorer_run_script(explorer, "Click:0,0 Click:200,500 Click:-1,-1 WheelUp:23,3");
    explorer_free(explorer);
}

static void keys_at_the_bottom_can_be_clicked(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at(24, 80);
    struct text text = {0};
    screen_of(explorer, &text);
    int row = 0;
    const char *line = text_string(&text);
    for (; row < 22; row++) {
        line = strchr(line, '\n') + 1;
    }
    const char *help = strstr(line, "? help");
    assert_non_null(help);
    char before[200];
    snprintf(before, sizeof before, "%.*s", (int)(help - line), line);
    char script[64];
    snprintf(script, sizeof script, "Click:22,%d", (int)text_columns(before));
    explorer_run_script(explorer, script);
    assert_int_equal(explorer->box, BOX_HELP);
    text_free(&text);
    explorer_free(explorer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_two_things_share_a_key),
        cmocka_unit_test(a_click_on_a_key_presses_it),
        cmocka_unit_test(plus_and_minus_step_as_the_arrows_do),
        cmocka_unit_test(changing_the_guard_interval_changes_the_echo_path),
        cmocka_unit_test(numbers_on_the_screen_equal_the_report),
        cmocka_unit_test(a_pinned_mode_of_dvbt2_stays_as_it_was),
        cmocka_unit_test(a_pinned_mode_stays_beside_the_next_ones),
        cmocka_unit_test(values_are_typed_and_checked),
        cmocka_unit_test(the_first_and_last_choice_say_so),
        cmocka_unit_test(every_row_has_words_and_a_longer_explanation),
        cmocka_unit_test(pictures_follow_one_another),
        cmocka_unit_test(the_mouse_selects_chooses_and_steps),
        cmocka_unit_test(keys_at_the_bottom_can_be_clicked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
