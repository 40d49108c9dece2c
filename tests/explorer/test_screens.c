/* Whole screens, characters and roles, against kept ones. After a change that was meant, run
 * `test_screens --keep` in the project's folder and look at the difference before committing. */
#include "support/near.h"

#include <stdio.h>
#include <string.h>

#include "base/file.h"
#include "explorer/run.h"

static const struct kept {
    const char *name;
    const char *keys;
    int columns, rows;
    bool ascii, roles;
} screens[] = {
    {"start-80x24", "", 80, 24, false, false},
    {"start-80x24-roles", "", 80, 24, false, true},
    {"start-80x24-ascii", "", 80, 24, true, false},
    {"compare-80x24", "p Down Left n", 80, 24, false, false},
    {"compare-80x24-roles", "p Down Left n", 80, 24, false, true},
    {"compare-120x40", "p Down Left Tab End n n", 120, 40, false, false},
    {"compare-120x40-roles", "p Down Left Tab End n n", 120, 40, false, true},
    {"compare-200x60", "p Down Left", 200, 60, false, false},
    {"settings-40x12", "Down Left", 40, 12, false, false},
    {"figures-40x12", "Down Left Tab", 40, 12, false, false},
    {"figures-40x12-roles", "Down Left Tab", 40, 12, false, true},
    {"small-20x5", "", 20, 5, false, false},
    {"small-20x5-roles", "", 20, 5, false, true},
    {"nothing-0x0", "", 0, 0, false, false},
    {"help-80x24", "?", 80, 24, false, false},
    {"explanation-80x24", "Down i", 80, 24, false, false},
    {"question-80x24", "Right q", 80, 24, false, false},
    {"weigh-80x24", "w Right Down Right Tab Down", 80, 24, false, false},
    {"weigh-80x24-roles", "w Right Down Right Tab Down", 80, 24, false, true},
    {"weigh-80x24-ascii", "w Tab n + +", 80, 24, true, false},
    {"weigh-40x12", "w", 40, 12, false, false},
    {"weigh-empty-80x24", "w Down Down 4 5 Down 1 5 Enter", 80, 24, false, false},
    {"read-80x24", "t f text:demo/pages/03-rows-of-plps.txt Enter n Down Down Down", 80, 24, false,
     false},
    {"read-contradiction-80x24", "t f text:demo/pages/09-guard-too-long.txt Enter", 80, 24, false,
     false},
    {"read-nothing-40x12", "t", 40, 12, false, false},
    {"place-80x24", "l a a Right Tab Down Down Left Wait", 80, 24, false, false},
    {"place-80x24-roles", "l a a Right Tab Down Down Left Wait", 80, 24, false, true},
    {"prove-80x24", "c", 80, 24, false, false},
    {"prove-80x24-ascii", "c Right", 80, 24, true, false},
    {"prove-40x12", "c", 40, 12, false, false},
    {"prove-120x40", "c Down Right", 120, 40, false, false},
    {"plps-80x24", "b Down a A a Tab Down", 80, 24, false, false},
    {"plps-80x24-roles", "b Down a A a Tab Down", 80, 24, false, true},
    {"plps-80x24-ascii", "b Down a Tab End Up Up Up Up Up Up Up Left", 80, 24, true, false},
    {"plps-120x40", "b Down a A a", 120, 40, false, false},
    {"plps-40x12", "b Down a", 40, 12, false, false},
    {"divide-nothing-80x24", "g", 80, 24, false, false},
    {"divide-80x24", "g a Wait Tab Tab Down", 80, 24, false, false},
    {"divide-rates-80x24-ascii", "g a Wait Tab Tab n n", 80, 24, true, false},
    {"divide-40x12", "g a Wait", 40, 12, false, false},
    {"typing-80x24", "End 4 0", 80, 24, false, false},
};

static void screen_path(const struct kept *kept, char *path, size_t size)
{
    snprintf(path, size, "tests/explorer/screens/%s.txt", kept->name);
}

static void draw(const struct kept *kept, struct text *out)
{
    struct profile profile = {.scenario = scenario_default()};
    struct explorer_dump dump = {.keys = kept->keys,
                                 .rows = kept->rows,
                                 .columns = kept->columns,
                                 .ascii = kept->ascii,
                                 .roles = kept->roles};
    assert_int_equal(explorer_dump(&profile, NULL, &dump, out, NULL), STATUS_OK);
    profile_free(&profile);
}

/* No line is longer than the screen, and none is missing. */
static void expect_size(const struct kept *kept, struct text *drawn)
{
    int rows = 0;
    for (char *line = drawn->data; line && *line; rows++) {
        char *end = strchr(line, '\n');
        *end = '\0';
        assert_true((int)text_columns(line) <= kept->columns);
        line = end + 1;
    }
    assert_int_equal(rows, kept->rows);
}

static void screens_are_as_kept_and_have_their_size(void **state)
{
    (void)state;
    int different = 0;
    for (size_t i = 0; i < sizeof screens / sizeof screens[0]; i++) {
        struct text drawn = {0}, kept = {0};
        char path[128];
        struct fault fault;
        screen_path(&screens[i], path, sizeof path);
        draw(&screens[i], &drawn);
        assert_int_equal(file_read(path, 1000000, &kept, &fault), STATUS_OK);
        if (strcmp(text_string(&drawn), text_string(&kept)) != 0) {
            printf("---- %s is now:\n%s", path, text_string(&drawn));
            different++;
        }
        expect_size(&screens[i], &drawn);
        text_free(&drawn);
        text_free(&kept);
    }
    assert_int_equal(different, 0);
}

static int keep(void)
{
    for (size_t i = 0; i < sizeof screens / sizeof screens[0]; i++) {
        struct text drawn = {0};
        char path[128];
        struct fault fault;
        screen_path(&screens[i], path, sizeof path);
        draw(&screens[i], &drawn);
        enum status status = file_replace(path, text_string(&drawn), drawn.length, &fault);
        text_free(&drawn);
        if (status != STATUS_OK) {
            fprintf(stderr, "%s: %s\n", path, fault.wrong);
            return 1;
        }
    }
    return 0;
}

int main(int argc, char **argv)
{
    if (argc == 2 && strcmp(argv[1], "--keep") == 0) {
        return keep();
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(screens_are_as_kept_and_have_their_size),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
