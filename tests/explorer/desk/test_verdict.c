/* The verdict that every view shows: made beside the interface, and never an old one. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "explorer/drive.h"

/* The line below the title, two on a narrow screen, as one text. */
static void verdict_on_screen(struct explorer *explorer, char *words, size_t size)
{
    struct text screen = {0};
    screen_of(explorer, &screen);
    const char *line = strchr(text_string(&screen), '\n') + 1;
    words[0] = '\0';
    for (int row = 0; row < explorer_layout(explorer).verdict.rows; row++) {
        size_t used = strlen(words);
        snprintf(words + used, size - used, "%.*s", (int)strcspn(line, "\n"), line);
        line = strchr(line, '\n') + 1;
    }
    text_free(&screen);
}

/* The one that the study makes of what is on the desk. */
static void expect_verdict(struct explorer *explorer)
{
    static struct verdicts verdicts;
    struct text expected = {0};
    char shown[400];
    assert_int_equal(verdicts_make(&explorer->desk.profile.scenario, &verdicts, NULL), STATUS_OK);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct verdict *verdict = &verdicts.of[i];
        text_printf(&expected, " %s ", verdict->reception.system->name);
        verdict_words_line(verdict, i > 0 && verdicts.of[0].positions > 1, &expected);
        text_append(&expected, ".");
    }
    verdict_on_screen(explorer, shown, sizeof shown);
    assert_string_equal(shown, text_string(&expected));
    text_free(&expected);
}

static struct explorer *explorer_at_20_db(int rows, int columns)
{
    struct scenario scenario = scenario_default();
    scenario.receiver.snr_db = 20.0;
    return explorer_with(&scenario, "", rows, columns);
}

static void the_verdict_stands_below_the_title_of_every_view(void **state)
{
    (void)state;
    static const int sizes[][2] = {{24, 80}, {40, 120}, {12, 40}, {60, 200}};
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        struct explorer *explorer = explorer_at_20_db(sizes[i][0], sizes[i][1]);
        for (int view = 0; view < view_count(); view++) {
            explorer_show_view(explorer, view);
            expect_verdict(explorer);
        }
        explorer_free(explorer);
    }
}

static void the_verdict_follows_every_change(void **state)
{
    (void)state;
    static const char *const changes[] = {"Down Right", "e a", "PageUp PageUp PageUp", "u",
                                          "Up Right",   "r",   "m Down Left",          "p u"};
    struct explorer *explorer = explorer_at_20_db(24, 80);
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        explorer_run_script(explorer, changes[i]);
        expect_verdict(explorer);
    }
    explorer_free(explorer);
}

/* Margins in the figures are those of the line above. */
static void margins_of_the_report_are_the_verdicts(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at_20_db(40, 120);
    explorer_run_script(explorer, "e a PageUp PageUp PageUp PageUp m p Down Right");
    desk_wait(&explorer->desk);
    static struct verdicts verdicts;
    static struct report report;
    assert_int_equal(verdicts_make(&explorer->desk.profile.scenario, &verdicts, NULL), STATUS_OK);
    assert_int_equal(report_make(explorer->desk.pinned, &report, NULL), STATUS_OK);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        assert_near(explorer->desk.report.verdicts.of[i].margin_db, verdicts.of[i].margin_db, 0.0,
                    "verdicts_make");
        assert_near(explorer->desk.pinned_report.verdicts.of[i].margin_db,
                    report.verdicts.of[i].margin_db, 0.0, "report_make");
    }
    assert_true(verdicts.of[GENERATION_SECOND].margin_db <
                verdicts.of[GENERATION_SECOND].margin_noise_db);
    explorer_free(explorer);
}

/* A verdict that takes long is said to be under way; the one before is not shown for it. */
static void an_old_verdict_is_not_shown_for_a_new_one(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at_20_db(24, 80);
    char words[100];
    desk_say_verdict(&explorer->desk, 0, words, sizeof words);
    assert_string_equal(words, "8-VSB decodes, 5.1 dB to spare.");
    assert_false(explorer_busy(explorer));
    struct judgement *judgement = calloc(1, sizeof *judgement);
    assert_non_null(judgement);
    judgement->count = 1;
    judgement->cases[0].scenario = explorer->desk.profile.scenario;
    errand_want(&explorer->desk.judging, judgement, 0.0);
    desk_say_verdict(&explorer->desk, 0, words, sizeof words);
    assert_string_equal(words, "Who decodes: computing ...");
    desk_say_verdict(&explorer->desk, 1, words, sizeof words);
    assert_string_equal(words, "");
    assert_true(explorer_busy(explorer)); /* so that ticks come, and with them the new one */
    expect_verdict(explorer);
    explorer_free(explorer);
}

/* Where phases are drawn a verdict over a few positions comes first, and is replaced by that over
 * all, never by another of few. */
static void a_verdict_over_few_positions_is_refined(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario.receiver.snr_db = 20.0;
    scenario.echoes[scenario.echo_count++] =
        (struct echo){.delay_us = 0.05, .level_db = -3.0, .phase_deg = NAN};
    struct explorer *explorer = explorer_with(&scenario, "", 24, 80);
    struct desk *desk = &explorer->desk;
    assert_int_equal(desk_verdicts(desk)->of[GENERATION_FIRST].positions, 256);
    assert_false(desk->refining);
    scenario.echoes[0].level_db = -4.0;
    assert_true(desk_change(desk, &scenario));
    while (desk_verdicts(desk) == NULL) {
        errand_wait(&desk->judging);
        desk_look(desk);
    }
    char words[100];
    assert_true(desk->refining);
    assert_int_equal(desk_verdicts(desk)->of[GENERATION_FIRST].positions, JUDGED_FIRST);
    desk_say_verdict(desk, GENERATION_COUNT, words, sizeof words);
    assert_string_equal(words, "Refining ...");
    assert_true(explorer_busy(explorer));
    desk_wait(desk);
    assert_false(desk->refining);
    assert_int_equal(desk_verdicts(desk)->of[GENERATION_FIRST].positions, 256);
    expect_verdict(explorer);
    explorer_free(explorer);
}

static void without_a_verdict_the_reason_is_said(void **state)
{
    (void)state;
    struct explorer *explorer =
        explorer_after("e 2 0 Enter a 0 Enter Tab 0 Enter Tab 1 8 0 Enter m", 24, 120);
    assert_true(shows(explorer, "\n 8-VSB fails, the rays cancel each other. OFDM fails, the rays "
                                "cancel each other.\n"));
    explorer_run_script(explorer, "u u u u u");
    assert_true(shows(explorer, "\n No verdict: no SNR is known. Give a measured SNR, a level or a "
                                "station.\n"));
    explorer_free(explorer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_verdict_stands_below_the_title_of_every_view),
        cmocka_unit_test(the_verdict_follows_every_change),
        cmocka_unit_test(margins_of_the_report_are_the_verdicts),
        cmocka_unit_test(an_old_verdict_is_not_shown_for_a_new_one),
        cmocka_unit_test(a_verdict_over_few_positions_is_refined),
        cmocka_unit_test(without_a_verdict_the_reason_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
