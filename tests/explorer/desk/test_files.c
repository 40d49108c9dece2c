/* Opening, saving, exporting, and leaving without losing anything. */
#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/file.h"
#include "explorer/desk/files.h"
#include "explorer/desk/rescue.h"
#include "explorer/desk/shipped.h"
#include "explorer/drive.h"

static char folder[] = "/tmp/guardspan-explorer-XXXXXX";

static int make_folder(void **state)
{
    (void)state;
    return mkdtemp(folder) ? 0 : -1;
}

static void path_in_folder(char *path, size_t size, const char *name)
{
    snprintf(path, size, "%s/%s", folder, name);
}

static int remove_folder(void **state)
{
    (void)state;
    static const char *const names[] = {"new.ini",
                                        "other.ini",
                                        "twice.ini",
                                        "screen.txt",
                                        "delays.svg",
                                        "state/guardspan/unsaved.ini",
                                        "state/guardspan/earlier.ini"};
    char path[128];
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        path_in_folder(path, sizeof path, names[i]);
        unlink(path);
    }
    path_in_folder(path, sizeof path, "state/guardspan");
    rmdir(path);
    path_in_folder(path, sizeof path, "state");
    rmdir(path);
    return rmdir(folder);
}

static void run_with_path(struct explorer *explorer, const char *format, const char *path)
{
    char script[256];
    snprintf(script, sizeof script, format, path);
    explorer_run_script(explorer, script);
}

static void a_new_profile_is_saved_under_the_name_given(void **state)
{
    (void)state;
    char path[128];
    path_in_folder(path, sizeof path, "new.ini");
    struct explorer *explorer = explorer_at(24, 80);
    run_with_path(explorer, "Down Left s text:%s Enter", path);
    assert_true(shows(explorer, "Saved "));
    assert_true(shows(explorer, "new.ini "));
    assert_false(explorer->desk.changed);
    struct profile profile = {0};
    struct fault fault;
    assert_int_equal(profile_read_file(path, &profile, &fault), STATUS_OK);
    assert_int_equal(profile.scenario.transmission.subframes[0].waveform.guard, GI4_768);
    profile_free(&profile);
    /* The next save asks nothing. */
    explorer_run_script(explorer, "Left s");
    assert_false(explorer->desk.changed);
    assert_true(explorer_run_script(explorer, "q"));
    explorer_free(explorer);
}

static void another_file_is_not_overwritten(void **state)
{
    (void)state;
    char path[128];
    path_in_folder(path, sizeof path, "other.ini");
    struct fault fault;
    assert_int_equal(file_replace(path, "mine", 4, &fault), STATUS_OK);
    struct explorer *explorer = explorer_at(24, 80);
    run_with_path(explorer, "Right s text:%s Enter", path);
    assert_true(shows(explorer, "exists and was not opened here"));
    assert_true(explorer->desk.changed);
    run_with_path(explorer, "x text:%s Enter", path);
    struct text text = {0};
    assert_int_equal(file_read(path, 100, &text, &fault), STATUS_OK);
    assert_string_equal(text_string(&text), "mine");
    text_free(&text);
    explorer_free(explorer);
}

static void what_cannot_be_opened_or_written_is_named(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at(24, 120);
    explorer_run_script(explorer, "o text:/nonexistent/a.ini Enter");
    assert_true(shows(explorer, "/nonexistent/a.ini"));
    assert_string_equal(explorer->desk.path, "");
    explorer_run_script(explorer, "Right s text:/nonexistent/a.ini Enter");
    assert_true(shows(explorer, "/nonexistent/a.ini"));
    assert_true(explorer->desk.changed);
    explorer_run_script(explorer, "o Enter s Escape");
    assert_true(explorer->desk.changed);
    explorer_free(explorer);
}

static struct explorer *explorer_on(const char *path)
{
    struct profile profile = {0};
    struct fault fault;
    assert_int_equal(profile_read_file(path, &profile, &fault), STATUS_OK);
    struct explorer *explorer = explorer_new(&profile, path);
    assert_non_null(explorer);
    explorer->rows = 24;
    explorer->columns = 80;
    return explorer;
}

static void expect_text(const char *path, const char *expected)
{
    struct text text = {0};
    struct fault fault;
    assert_int_equal(file_read(path, 1000, &text, &fault), STATUS_OK);
    assert_non_null(strstr(text_string(&text), expected));
    text_free(&text);
}

static void what_another_window_has_saved_is_not_overwritten_unasked(void **state)
{
    (void)state;
    char path[128];
    path_in_folder(path, sizeof path, "twice.ini");
    struct fault fault;
    assert_int_equal(file_replace(path, "[mode]\nfft = 16K\n", 17, &fault), STATUS_OK);
    struct explorer *one = explorer_on(path), *two = explorer_on(path);
    explorer_run_script(one, "Right s");
    assert_true(shows(one, "Saved "));
    expect_text(path, "fft = 32K");
    explorer_run_script(two, "Left s");
    assert_true(shows(two, "Changed on disk"));
    assert_true(shows(two, "w writes over it"));
    expect_text(path, "fft = 32K");
    explorer_run_script(two, "x Escape"); /* other keys do nothing while it asks */
    assert_null(two->desk.question.replies);
    assert_true(two->desk.changed);
    explorer_run_script(two, "s w");
    assert_true(shows(two, "Saved "));
    expect_text(path, "fft = 8K");
    /* And the first window now stands where the second one stood. */
    explorer_run_script(one, "Left q s");
    assert_true(shows(one, "Changed on disk"));
    explorer_run_script(one, "Escape s o");
    assert_int_equal(mode_of(one)->fft, FFT_8K);
    assert_false(one->desk.changed);
    assert_true(explorer_run_script(two, "Right q s")); /* nobody has changed it: saved, and left */
    explorer_run_script(one, "Right Right q s");
    assert_true(shows(one, "w writes over it and leaves"));
    assert_true(explorer_run_script(one, "w"));
    expect_text(path, "fft = 32K");
    explorer_free(one);
    explorer_free(two);
}

/* PLPs of the pair that was left are not lost: undo brings them back, and the file keeps them as
 * comments, which is said. */
static void pipes_of_the_other_pair_are_kept_and_said(void **state)
{
    (void)state;
    static const char pipes[] = "[plp kept]\nrate = 5/15\n\n[plp more]\nrate = 9/15\n";
    char path[128];
    path_in_folder(path, sizeof path, "twice.ini");
    assert_int_equal(file_replace(path, pipes, strlen(pipes), NULL), STATUS_OK);
    struct explorer *explorer = explorer_on(path);
    struct scenario scenario = explorer->desk.profile.scenario;
    scenario_set_pair(&scenario, PAIR_DVB);
    assert_true(desk_change(&explorer->desk, &scenario));
    explorer_run_script(explorer, "s");
    assert_true(shows(explorer, "2 PLPs of the other pair stand as comments"));
    expect_text(path, "; [plp kept]\n; rate = 5/15\n");
    explorer_run_script(explorer, "u s");
    assert_int_equal(explorer->desk.profile.scenario.transmission.plp_count, 2);
    expect_text(path, "\n[plp more]\nrate = 9/15\n");
    explorer_free(explorer);
}

static void unsaved_work_is_mentioned_once_and_kept_until_it_is_saved(void **state)
{
    (void)state;
    char path[128], home[128], kept[128], earlier[128];
    path_in_folder(home, sizeof home, "state");
    path_in_folder(kept, sizeof kept, "state/guardspan/unsaved.ini");
    path_in_folder(earlier, sizeof earlier, "state/guardspan/earlier.ini");
    path_in_folder(path, sizeof path, "new.ini");
    unlink(path);
    setenv("XDG_STATE_HOME", home, 1);
    struct explorer *explorer = explorer_after("Right", 24, 80);
    FILE *err = tmpfile();
    assert_non_null(err);
    rescue_unsaved(&explorer->desk, err);
    fclose(err);
    assert_int_equal(access(kept, F_OK), 0);
    explorer_free(explorer);
    for (int run = 0; run < 2; run++) { /* the second run says nothing any more */
        explorer = explorer_at(24, 80);
        rescue_mention(&explorer->desk);
        struct text screen = {0};
        screen_of(explorer, &screen);
        assert_true(
            (strstr(text_string(&screen), "\n Unsaved work of an earlier run is kept: o offers "
                                          "it first.\n") != NULL) == (run == 0));
        text_free(&screen);
        explorer_run_script(explorer, "o");
        assert_true(shows(explorer, "▸Unsaved work of an earlier run"));
        explorer_run_script(explorer, "Enter");
        assert_int_equal(mode_of(explorer)->fft, FFT_32K);
        assert_true(explorer->desk.changed);
        assert_string_equal(explorer->desk.path, "");
        if (run == 0) {
            explorer_free(explorer);
        }
    }
    run_with_path(explorer, "s text:%s Enter", path);
    assert_int_not_equal(access(earlier, F_OK), 0);
    explorer_free(explorer);
    unsetenv("XDG_STATE_HOME");
}

static void what_comes_with_the_program_is_offered_by_name(void **state)
{
    (void)state;
    struct offer offer = {0};
    shipped_offer_profiles(".", &offer);
    int profiles = offer.count;
    shipped_offer_lessons(".", &offer);
    assert_true(profiles >= 20 && offer.count >= profiles + 3);
    for (int i = 0; i < offer.count; i++) {
        size_t length = strlen(offer.rows[i].what);
        assert_true(length > 20 && length < sizeof offer.rows[i].what - 1); /* a whole sentence */
        assert_true(strchr(".:?!", offer.rows[i].what[length - 1]) != NULL);
        assert_true(shipped_is_lesson(offer.rows[i].text) == (i >= profiles));
        assert_int_equal(access(offer.rows[i].text, R_OK), 0);
    }
    struct explorer *explorer = explorer_at(24, 80);
    desk_offer(&explorer->desk, "Open", &offer, true, files_open, explorer);
    explorer_run_script(explorer, "t w o - t r a n s m");
    assert_true(shows(explorer, "echo-two-transmitters.ini"));
    explorer_run_script(explorer, "Enter");
    assert_true(shows(explorer, "echo-two-transmitters.ini"));
    assert_int_equal(explorer->desk.profile.scenario.echo_count, 1);
    explorer_free(explorer);
}

static void an_export_holds_what_is_seen(void **state)
{
    (void)state;
    char path[128];
    path_in_folder(path, sizeof path, "screen.txt");
    struct explorer *explorer = explorer_at(24, 80);
    explorer_run_script(explorer, "p Down Left");
    struct text seen = {0}, written = {0};
    explorer->desk.message[0] = '\0';
    screen_of(explorer, &seen);
    run_with_path(explorer, "x text:%s Enter", path);
    assert_true(shows(explorer, "Wrote "));
    struct fault fault;
    assert_int_equal(file_read(path, 100000, &written, &fault), STATUS_OK);
    assert_string_equal(text_string(&written), text_string(&seen));
    text_free(&seen);
    text_free(&written);
    explorer_free(explorer);
}

static void a_picture_is_exported_as_a_figure(void **state)
{
    (void)state;
    char path[128];
    path_in_folder(path, sizeof path, "delays.svg");
    struct explorer *explorer = explorer_at(24, 80);
    explorer_run_script(explorer, "x text:/tmp/guardspan.jpeg Enter");
    assert_true(shows(explorer, "in .txt, .svg, .pdf or .png)"));
    run_with_path(explorer, "x text:%s Enter", path);
    assert_true(shows(explorer, "Wrote "));
    struct text written = {0};
    struct fault fault;
    assert_int_equal(file_read(path, 10000000, &written, &fault), STATUS_OK);
    assert_non_null(strstr(text_string(&written), "<svg"));
    text_free(&written);
    explorer_free(explorer);
}

static void leaving_asks_only_when_something_would_be_lost(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at(24, 80);
    assert_true(explorer_run_script(explorer, "q"));
    assert_true(explorer_run_script(explorer, "Ctrl-C"));
    assert_false(explorer_run_script(explorer, "Right q"));
    assert_true(shows(explorer, "Not everything is saved"));
    assert_false(explorer_run_script(explorer, "Escape Ctrl-C"));
    assert_true(explorer_run_script(explorer, "Ctrl-C"));      /* the second one leaves */
    assert_false(explorer_run_script(explorer, "Escape q q")); /* the second one stays */
    assert_null(explorer->desk.question.replies);
    assert_false(explorer_run_script(explorer, "q"));
    assert_true(explorer_run_script(explorer, "d"));
    char path[128];
    path_in_folder(path, sizeof path, "new.ini");
    unlink(path);
    char script[256];
    snprintf(script, sizeof script, "q s text:%s Enter", path);
    assert_true(explorer_run_script(explorer, script));
    assert_int_equal(access(path, F_OK), 0);
    explorer_free(explorer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_new_profile_is_saved_under_the_name_given),
        cmocka_unit_test(another_file_is_not_overwritten),
        cmocka_unit_test(what_cannot_be_opened_or_written_is_named),
        cmocka_unit_test(what_another_window_has_saved_is_not_overwritten_unasked),
        cmocka_unit_test(pipes_of_the_other_pair_are_kept_and_said),
        cmocka_unit_test(unsaved_work_is_mentioned_once_and_kept_until_it_is_saved),
        cmocka_unit_test(what_comes_with_the_program_is_offered_by_name),
        cmocka_unit_test(an_export_holds_what_is_seen),
        cmocka_unit_test(a_picture_is_exported_as_a_figure),
        cmocka_unit_test(leaving_asks_only_when_something_would_be_lost),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
