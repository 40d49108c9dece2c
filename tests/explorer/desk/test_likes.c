/* What the user likes is remembered from one run to the next, in a folder of its own. */
#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/file.h"
#include "explorer/drive.h"

static char folder[] = "/tmp/guardspan-likes-XXXXXX";
static char file[128];

static int make_folder(void **state)
{
    (void)state;
    bool made = mkdtemp(folder) != NULL;
    snprintf(file, sizeof file, "%s/guardspan/explorer.ini", folder);
    setenv("XDG_CONFIG_HOME", folder, 1);
    return made ? 0 : -1;
}

static int remove_folder(void **state)
{
    (void)state;
    char path[128];
    snprintf(path, sizeof path, "%s/guardspan", folder);
    unlink(file);
    rmdir(path);
    unsetenv("XDG_CONFIG_HOME");
    return rmdir(folder);
}

static struct explorer *started(const char *keys)
{
    struct explorer *explorer = explorer_at(24, 80);
    explorer_like(explorer, false, false);
    explorer_run_script(explorer, keys);
    return explorer;
}

static void picture_characters_and_mouse_are_remembered(void **state)
{
    (void)state;
    struct explorer *explorer = started("n n P");
    assert_shows(explorer, "is shown first. This is remembered.");
    assert_false(explorer->desk.changed); /* it is not in the profile */
    explorer_run_script(explorer, "U");
    assert_true(explorer->ascii);
    explorer_run_script(explorer, "M");
    assert_false(explorer->mouse);
    explorer_free(explorer);
    explorer = started("");
    assert_true(explorer->ascii && !explorer->mouse);
    assert_shows(explorer, "Bit rate against required SNR");
    explorer_run_script(explorer, "U M");
    assert_true(!explorer->ascii && explorer->mouse);
    explorer_free(explorer);
    explorer = started("");
    assert_true(!explorer->ascii && explorer->mouse);
    explorer_like(explorer, true,
                  true); /* what the terminal and the command line say comes first */
    assert_true(explorer->ascii && !explorer->mouse);
    explorer_run_script(explorer, "U");
    assert_shows(explorer, "This terminal has ASCII characters only.");
    explorer_free(explorer);
}

static void a_damaged_file_is_said_and_ignored(void **state)
{
    (void)state;
    static const struct {
        const char *text, *said;
    } cases[] = {{"[explorer]\nmouse = perhaps\n", "explorer.mouse"},
                 {"[explorer]\npicture = sunset\n", "there is no picture \"sunset\""}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct fault fault;
        assert_int_equal(file_replace(file, cases[i].text, strlen(cases[i].text), &fault),
                         STATUS_OK);
        struct explorer *explorer = started("");
        assert_non_null(strstr(explorer->desk.message, "Ignored: "));
        assert_non_null(strstr(explorer->desk.message, cases[i].said));
        assert_true(explorer->mouse);
        assert_shows(explorer, "Delays and what withstands them");
        explorer_free(explorer);
    }
}

/* Dumps and scripts must not depend on who runs them. */
static void without_a_terminal_nothing_is_read_or_written(void **state)
{
    (void)state;
    unlink(file);
    struct explorer *explorer = explorer_after("n P U M", 24, 80);
    assert_null(strstr(explorer->desk.message, "remembered"));
    assert_int_not_equal(access(file, F_OK), 0);
    explorer_free(explorer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(picture_characters_and_mouse_are_remembered),
        cmocka_unit_test(a_damaged_file_is_said_and_ignored),
        cmocka_unit_test(without_a_terminal_nothing_is_read_or_written),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
