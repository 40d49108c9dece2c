/* Lessons played by keys. */
#include "support/near.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

#include "explorer/drive.h"
#include "explorer/lesson.h"
#include "present/picture/pictures.h"

static void a_lesson_is_stepped_by_keys(void **state)
{
    (void)state;
    static const char text[] = "title Two steps\nsay First words.\npin\nselect second.echo_us\n"
                               "show doppler\nslide mode.guard GI4_768\nsay Second words.\n"
                               "set mode.fft 8K\nsay Third words.\n";
    struct explorer *explorer = explorer_at(24, 80);
    struct lesson lesson;
    struct fault fault;
    assert_int_equal(lesson_read_text(text, sizeof text - 1, &lesson, &fault), STATUS_OK);
    assert_int_equal(lesson_begin(explorer, &lesson, &fault), STATUS_OK);
    assert_true(shows(explorer, "Two steps  1 of 3"));
    assert_true(shows(explorer, "First words."));
    explorer_run_script(explorer, "Space");
    assert_true(shows(explorer, "Second words."));
    assert_true(shows(explorer, "▸echo after, us     38.5   111.1   148.1"));
    assert_true(shows(explorer, "Loss against Doppler"));
    assert_false(explorer->desk.changed); /* a lesson is no work to lose */
    explorer_run_script(explorer, "Space Space");
    assert_true(shows(explorer, "This is the end."));
    assert_int_equal(mode_of(explorer)->fft, FFT_8K);
    explorer_run_script(explorer, "Backspace Backspace Backspace");
    assert_true(shows(explorer, "This is the beginning."));
    assert_int_equal(mode_of(explorer)->guard, GI5_1024);
    assert_null(explorer->desk.pinned);
    /* In between everything can be used; the next stop sets the scene again. */
    explorer_run_script(explorer, "Tab Home Right Right Space");
    assert_int_equal(mode_of(explorer)->guard, GI4_768);
    assert_int_equal(mode_of(explorer)->fft, FFT_16K);
    explorer_run_script(explorer, "Escape");
    assert_null(explorer->lesson);
    assert_true(shows(explorer, "The lesson has ended"));
    assert_true(explorer_run_script(explorer, "q"));
    explorer_free(explorer);
}

static void begin_lesson(struct explorer *explorer, const char *text)
{
    struct lesson lesson;
    struct fault fault;
    if (lesson_read_text(text, strlen(text), &lesson, &fault) != STATUS_OK ||
        lesson_begin(explorer, &lesson, &fault) != STATUS_OK) {
        fail_msg("%s: %s: %s", text, fault.place, fault.wrong);
    }
}

/* The kind's picture, made without the explorer, has the title of the view's. */
static void expect_picture(struct explorer *explorer, const struct picture_kind *kind)
{
    const struct view *view = view_row(explorer->view);
    const struct picture_case wanted = {.scenario = &explorer->desk.profile.scenario,
                                        .report = &explorer->desk.report};
    struct picture shown, made;
    assert_string_equal(view->name, kind->view);
    view_state_of(explorer); /* begins what is computed aside */
    explorer_run_script(explorer, "Wait");
    assert_true(view->picture(&explorer->desk, view_state_of(explorer), &shown));
    assert_true(picture_kind_make(kind, &wanted, &made));
    assert_string_equal(shown.title, made.title);
    picture_free(&shown);
    picture_free(&made);
}

static void a_lesson_shows_every_picture_in_the_view_that_has_it(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct fault fault;
    static const char *const values[][2] = {
        {"echo hill.delay_us", "20"},       {"echo hill.level_db", "-6"},
        {"station a.generation", "second"}, {"station a.rf_channel", "10"},
        {"station a.erp_kw", "50"},         {"station a.height_m", "200"},
        {"station a.distance_km", "20"},    {"station a.network", "Valley"},
        {"station b.generation", "second"}, {"station b.rf_channel", "10"},
        {"station b.erp_kw", "50"},         {"station b.height_m", "200"},
        {"station b.distance_km", "25"},    {"station b.network", "Valley"},
        {"service near.rate_mbps", "1"},    {"service near.snr_db", "8"},
        {"service far.snr_db", "20"}};
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++) {
        assert_int_equal(scenario_set(&scenario, values[i][0], values[i][1], &fault), STATUS_OK);
    }
    for (size_t i = 0; i < picture_kind_count(); i++) {
        const struct picture_kind *kind = picture_kind_row(i);
        if (kind->view) {
            struct explorer *explorer = explorer_with(&scenario, "", 24, 80);
            char text[100];
            snprintf(text, sizeof text, "show %s\nsay Here.\nshow delays\nsay There.\n",
                     kind->name);
            begin_lesson(explorer, text);
            expect_picture(explorer, kind);
            explorer_run_script(explorer, "Space");
            expect_picture(explorer, picture_kind_find("delays"));
            explorer_free(explorer);
        }
    }
}

static void a_message_leaves_what_a_lesson_says_whole(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at(24, 80);
    begin_lesson(explorer,
                 "title Three lines\nsay This fills the first of them: 3456789 123456789 "
                 "123456789 123456789 123456789 123456789 123456789 123456789 123456789 "
                 "123456789 123456789 123456789 123456789 123456789 123456789 last words.\n");
    explorer_run_script(explorer, "Space");
    assert_true(shows(explorer, "last words."));
    assert_true(
        shows(explorer, "Three lines  1 of 1 ─ This is the end. Escape ends the lesson. ─"));
    /* A message as wide as the rule takes the title's place. */
    desk_say(&explorer->desk, TONE_WARN, "%s",
             "Also moved: this and that and something else so that it "
             "is legal.");
    assert_true(
        shows(explorer, "── Also moved: this and that and something else so that it is legal. ─"));
    assert_true(shows(explorer, "last words."));
    explorer_free(explorer);
    /* Where a line is free, it takes the message. */
    explorer = explorer_at(24, 80);
    begin_lesson(explorer, "title Short\nsay One line.\n");
    explorer_run_script(explorer, "Space");
    assert_true(shows(explorer, "\n This is the end. Escape ends the lesson."));
    assert_true(shows(explorer, "Short  1 of 1  Space: on, Backspace: back, Escape: end"));
    explorer_free(explorer);
}

/* Plays one stop on as a terminal does: it draws once nothing more is computed, and brings nothing
 * up to date for that. */
static void play_on(struct explorer *explorer, struct text *screen)
{
    struct grid grid = {0};
    happens(explorer, (struct event){.kind = EVENT_KEY, .key = ' '});
    const struct timespec pause = {.tv_nsec = 5000000};
    while (explorer_busy(explorer)) {
        nanosleep(&pause, NULL);
        happens(explorer, (struct event){.kind = EVENT_TICK});
    }
    assert_true(explorer_draw(explorer, &grid));
    text_clear(screen);
    grid_dump(&grid, screen);
    grid_free(&grid);
}

static void a_verdict_that_takes_other_rows_leaves_no_picture_empty(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at(24, 80);
    struct lesson lesson;
    struct fault fault;
    struct text screen = {0};
    assert_int_equal(lesson_read_file("demo/lessons/one-room-two-verdicts.txt", &lesson, &fault),
                     STATUS_OK);
    assert_int_equal(lesson_begin(explorer, &lesson, &fault), STATUS_OK);
    static const char *const words[] = {"x ray", "Margin over positions", "Margin over positions",
                                        "SNR by carrier"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        play_on(explorer, &screen);
        if (!strstr(text_string(&screen), words[i])) {
            fail_msg("no \"%s\" at stop %zu:\n%s", words[i], i + 2, text_string(&screen));
        }
    }
    text_free(&screen);
    explorer_free(explorer);
}

static void a_lesson_that_cannot_be_played_is_refused(void **state)
{
    (void)state;
    static const char text[] = "say a\nslide \"echo hill.delay_us\" 3\n";
    struct explorer *explorer = explorer_at(24, 80);
    struct lesson lesson;
    struct fault fault;
    assert_int_equal(lesson_read_text(text, sizeof text - 1, &lesson, &fault), STATUS_OK);
    assert_int_not_equal(lesson_begin(explorer, &lesson, &fault), STATUS_OK);
    assert_null(explorer->lesson);
    assert_true(shows(explorer, "FFT size"));
    explorer_free(explorer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_lesson_is_stepped_by_keys),
        cmocka_unit_test(a_lesson_shows_every_picture_in_the_view_that_has_it),
        cmocka_unit_test(a_message_leaves_what_a_lesson_says_whole),
        cmocka_unit_test(a_verdict_that_takes_other_rows_leaves_no_picture_empty),
        cmocka_unit_test(a_lesson_that_cannot_be_played_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
