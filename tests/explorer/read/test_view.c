#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "base/file.h"
#include "explorer/drive.h"
#include "explorer/read/state.h"

/* The reading view: what a page says on the left, what it amounts to on the right. */

#define READ(page) "t f text:" page " Enter"

static struct text screen_after(const char *keys, int rows, int columns)
{
    struct explorer *explorer = explorer_after(keys, rows, columns);
    struct text screen = {0};
    screen_of(explorer, &screen);
    explorer_free(explorer);
    return screen;
}

static void expect_shown(const char *keys, const char *words, bool shows)
{
    struct text screen = screen_after(keys, 40, 120);
    if ((strstr(text_string(&screen), words) != NULL) != shows) {
        fail_msg("%s: \"%s\" is %s in\n%s", keys, words, shows ? "not" : "", text_string(&screen));
    }
    text_free(&screen);
}

static void plain_words_stand_first_and_every_plp_is_told(void **state)
{
    (void)state;
    expect_shown(READ("demo/pages/18-name-before-each.txt"), "PLP 0 comes in", true);
    expect_shown(READ("demo/pages/18-name-before-each.txt"), "PLP 1 comes in", true);
    expect_shown(READ("demo/pages/29-first-generation-in-trouble.txt"), "It comes in", true);
    expect_shown(READ("demo/pages/29-first-generation-in-trouble.txt"), "! the receiver shows 212",
                 true);
}

static void a_mode_of_either_generation_is_taken_over_into_its_own_section(void **state)
{
    (void)state;
    struct explorer *explorer =
        explorer_after(READ("demo/pages/32-dvb-t-in-trouble.txt") " Enter", 40, 120);
    const struct scenario *scenario = &explorer->desk.profile.scenario;
    const struct scenario plain = scenario_default_of(PAIR_DVB);
    assert_int_equal(scenario->site.pair, PAIR_DVB);
    assert_int_equal(scenario->site.rf_channel, 9);
    assert_int_equal(scenario->site.bandwidth_mhz, 7);
    assert_int_equal(scenario->dvbt.constellation, DVBT_16QAM);
    assert_int_equal(scenario->dvbt.rate, DVBT_3_4);
    assert_int_equal(scenario->dvbt2.code.constellation, plain.dvbt2.code.constellation);
    explorer_free(explorer);
    explorer = explorer_after(READ("demo/pages/30-dvb-t2.txt") " Enter", 40, 120);
    scenario = &explorer->desk.profile.scenario;
    assert_int_equal(scenario->dvbt2.waveform.pilots, T2_PP7);
    assert_int_equal(scenario->dvbt2.waveform.guard, T2_GI_1_128);
    assert_int_equal(scenario->dvbt.constellation, plain.dvbt.constellation);
    explorer_free(explorer);
}

static void what_is_guessed_missing_and_assumed_is_marked(void **state)
{
    (void)state;
    expect_shown(READ("demo/pages/21-off-a-photograph.txt"), "(guess)", true);
    expect_shown(READ("demo/pages/21-off-a-photograph.txt"), "? Quality 9?%", true);
    expect_shown(READ("demo/pages/16-hardly-anything.txt"), "- constellation: not on the page",
                 true);
    expect_shown(READ("demo/pages/16-hardly-anything.txt"), "256QAM", false);
    expect_shown(READ("demo/pages/12-short-forms.txt"), "= carrier reduction 0", true);
}

static void the_next_plp_is_what_the_rest_is_about(void **state)
{
    (void)state;
    expect_shown(READ("demo/pages/18-name-before-each.txt"), "PLP 0: 16K, GI6_1536", true);
    expect_shown(READ("demo/pages/18-name-before-each.txt") " n", "PLP 1: 16K, GI6_1536", true);
}

/* A page without a whole mode has none to give; layers and subframes go over as they are. */
static void what_is_taken_over_is_what_was_read(void **state)
{
    (void)state;
    struct explorer *explorer =
        explorer_after(READ("demo/pages/16-hardly-anything.txt") " Enter", 30, 100);
    struct text screen = {0};
    screen_of(explorer, &screen);
    assert_non_null(strstr(text_string(&screen), "no mode to take over"));
    explorer_free(explorer);
    explorer = explorer_after(READ("demo/pages/28-layers.txt") " Enter", 30, 100);
    screen_of(explorer, &screen);
    const struct scenario *scenario = &explorer->desk.profile.scenario;
    assert_int_equal(scenario->transmission.plp_count, 2);
    assert_int_equal(scenario->transmission.plps[1].layer, LAYER_ENHANCED);
    assert_near(scenario->transmission.plps[1].injection_db, 4.0, 0.0, "the page");
    assert_near(scenario->receiver.snr_db, 24.0, 0.0, "the page");
    assert_int_equal(scenario_check(scenario, NULL), STATUS_OK);
    text_free(&screen);
    explorer_free(explorer);
}

/* A program of that name, in a folder that is looked at first. */
static void put_tesseract(const char *folder, const char *script)
{
    char path[256];
    struct fault fault;
    snprintf(path, sizeof path, "%s/tesseract", folder);
    assert_int_equal(file_replace(path, script, strlen(script), &fault), STATUS_OK);
    assert_int_equal(chmod(path, 0755), 0);
}

static bool is_there(const char *path)
{
    return access(path, F_OK) == 0;
}

/* While a slow tesseract is at it the keys work; stopped, it ends; a quick one's text is read. */
static void a_picture_is_read_beside_the_interface(void **state)
{
    (void)state;
    static const char png[] = "\x89PNG\r\n\x1A\nnot really";
    char folder[] = "/tmp/guardspan-picture-XXXXXX", path[64], begun[64], script[256], keys[96];
    assert_non_null(mkdtemp(folder));
    char *kept = strdup(getenv("PATH") ? getenv("PATH") : "");
    struct fault fault;
    snprintf(path, sizeof path, "%s/page.png", folder);
    snprintf(begun, sizeof begun, "%s/begun", folder);
    snprintf(script, sizeof script, "%s:%s", folder, kept);
    assert_int_equal(file_replace(path, png, sizeof png - 1, &fault), STATUS_OK);
    setenv("PATH", script, 1);
    snprintf(script, sizeof script, "#!/bin/sh\necho $$ >%s\nexec sleep 60\n", begun);
    put_tesseract(folder, script);
    snprintf(keys, sizeof keys, "t f text:%s Enter", path);
    struct explorer *explorer = explorer_after(keys, 24, 80);
    assert_true(explorer_busy(explorer));
    assert_shows(explorer, "with tesseract ... Delete");
    for (int i = 0; i < 500 && !is_there(begun); i++) {
        nanosleep(&(const struct timespec){.tv_nsec = 10000000}, NULL);
    }
    assert_true(is_there(begun));
    explorer_run_script(explorer, "m Right t"); /* all else works meanwhile */
    assert_true(explorer->desk.changed && explorer_busy(explorer));
    explorer_run_script(explorer, "Delete Tick Tick");
    assert_false(explorer_busy(explorer));
    assert_shows(explorer, "No page yet.");
    put_tesseract(folder, "#!/bin/sh\ncat >/dev/null\necho 'FFT 8K SNR 21.5 dB'\n");
    snprintf(keys, sizeof keys, "f text:%s Enter Wait", path);
    explorer_run_script(explorer, keys);
    assert_shows(explorer, "FFT size: 8K");
    put_tesseract(folder, "#!/bin/sh\nexit 3\n");
    explorer_run_script(explorer, keys);
    assert_shows(explorer, "tesseract could not");
    explorer_free(explorer);
    setenv("PATH", kept, 1);
    free(kept);
    unlink(path);
    unlink(begun);
    snprintf(path, sizeof path, "%s/tesseract", folder);
    unlink(path);
    assert_int_equal(rmdir(folder), 0);
}

static void it_fits_on_small_screens(void **state)
{
    (void)state;
    static const int sizes[][2] = {{24, 80}, {12, 40}, {5, 20}, {50, 160}};
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        struct text screen = screen_after(READ("demo/pages/22-dump-of-the-signalling.txt"),
                                          sizes[i][0], sizes[i][1]);
        assert_true(screen.length > 0);
        text_free(&screen);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_mode_of_either_generation_is_taken_over_into_its_own_section),
        cmocka_unit_test(plain_words_stand_first_and_every_plp_is_told),
        cmocka_unit_test(what_is_guessed_missing_and_assumed_is_marked),
        cmocka_unit_test(the_next_plp_is_what_the_rest_is_about),
        cmocka_unit_test(what_is_taken_over_is_what_was_read),
        cmocka_unit_test(a_picture_is_read_beside_the_interface),
        cmocka_unit_test(it_fits_on_small_screens),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
