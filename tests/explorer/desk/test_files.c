/* Opening, saving, exporting, and leaving without losing anything. */
#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/file.h"
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
    static const char *const names[] = {"new.ini", "other.ini", "screen.txt", "delays.svg"};
    char path[128];
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        path_in_folder(path, sizeof path, names[i]);
        unlink(path);
    }
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
    assert_true(explorer_run_script(explorer, "Ctrl-C")); /* the second one leaves */
    assert_false(explorer_run_script(explorer, "Escape q"));
    assert_true(explorer_run_script(explorer, "d"));
    char path[128];
    path_in_folder(path, sizeof path, "new.ini");
    unlink(path);
    explorer->box = BOX_NONE;
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
        cmocka_unit_test(an_export_holds_what_is_seen),
        cmocka_unit_test(a_picture_is_exported_as_a_figure),
        cmocka_unit_test(leaving_asks_only_when_something_would_be_lost),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
