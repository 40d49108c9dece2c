#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command/commands.h"
#include "support/run.h"

static void assert_same_output(const char *one, const char *other)
{
    struct run a = run_line(one), b = run_line(other);
    assert_int_equal(a.status, 0);
    assert_int_equal(b.status, 0);
    assert_string_equal(a.out, b.out);
    run_free(&a);
    run_free(&b);
}

static void options_stand_before_or_after_operands(void **state)
{
    (void)state;
    run_enter_folder();
    run_write_file("p.ini", "[mode]\nboost = 1\n", 17);
    const char *expected = "report p.ini --format csv --set mode.fft=8K --set mode.pilots=SP6_2";
    assert_same_output(expected,
                       "--format csv --set mode.fft=8K report --set mode.pilots=SP6_2 p.ini");
    assert_same_output(expected,
                       "report --set=mode.fft=8K --set=mode.pilots=SP6_2 --format=csv p.ini");
    assert_same_output(expected,
                       "report --format csv --set mode.fft=8K --set mode.pilots=SP6_2 -- p.ini");
    run_leave_folder();
}

static void two_dashes_end_the_options(void **state)
{
    (void)state;
    run_enter_folder();
    run_write_file("--help", "[mode]\nboost = 1\n", 17);
    struct run run = run_line("report --format csv -- --help");
    assert_int_equal(run.status, 0);
    assert_non_null(strstr(run.out, "second,boost,1,"));
    run_free(&run);
    run_leave_folder();
}

static void the_last_value_counts(void **state)
{
    (void)state;
    assert_same_output("report --format json --set mode.boost=2",
                       "report --format text --set mode.boost=3 --format json --set mode.boost=2");
}

static void set_may_make_echoes_and_stations(void **state)
{
    (void)state;
    struct run run = run_line("report --set echo%20far%20hill.delay_us=-12 "
                              "--set echo%20far%20hill.level_db=-3 "
                              "--set ECHO%20Far%20Hill.doppler_hz=4");
    assert_int_equal(run.status, 0);
    run_free(&run);
}

/* Help is wrapped: runs of white space count as one space. */
static void assert_says(const char *text, const char *words)
{
    const char *from = text;
    for (; *from; from++) {
        const char *a = from, *b = words;
        while (*b && (*a == *b || (*b == ' ' && (*a == '\n' || *a == ' ')))) {
            a += *b == ' ' ? strspn(a, " \n") : 1;
            b++;
        }
        if (!*b) {
            return;
        }
    }
    fail_msg("\"%s\" is not said", words);
}

static void help_names_every_command_and_option(void **state)
{
    (void)state;
    struct run run = run_line("--help");
    assert_int_equal(run.status, 0);
    assert_string_equal(run.err, "");
    for (size_t i = 0; i < command_count(); i++) {
        assert_non_null(strstr(run.out, command_row(i)->name));
        assert_says(run.out, command_row(i)->summary);
    }
    run_free(&run);
    for (size_t i = 0; i < command_count(); i++) {
        char line[64];
        snprintf(line, sizeof line, "%s --help", command_row(i)->name);
        run = run_line(line);
        assert_int_equal(run.status, 0);
        for (const struct option_row *row = command_row(i)->options; row && row->name; row++) {
            assert_non_null(strstr(run.out, row->name));
            assert_says(run.out, row->help);
        }
        for (const struct option_row *row = common_options; row->name; row++) {
            assert_non_null(strstr(run.out, row->name));
        }
        run_free(&run);
    }
}

/* Before the command is known an option's value is skipped by any command's table. */
static void options_of_the_same_name_agree_on_taking_a_value(void **state)
{
    (void)state;
    for (size_t i = 0; i < command_count(); i++) {
        for (size_t k = 0; k < command_count(); k++) {
            const struct option_row *a = command_row(i)->options;
            for (; a && a->name; a++) {
                const struct option_row *b = command_row(k)->options;
                for (; b && b->name; b++) {
                    assert_true(strcmp(a->name, b->name) != 0 || !a->value == !b->value);
                }
            }
        }
    }
}

static void help_lines_fit_a_terminal(void **state)
{
    (void)state;
    char line[64] = "--help";
    for (size_t i = 0; i <= command_count(); i++) {
        struct run run = run_line(line);
        for (char *rest, *at = strtok_r(run.out, "\n", &rest); at;
             at = strtok_r(NULL, "\n", &rest)) {
            if (text_columns(at) > 100) {
                print_error("%s: %s\n", line, at);
                fail();
            }
        }
        run_free(&run);
        if (i < command_count()) {
            snprintf(line, sizeof line, "%s --help", command_row(i)->name);
        }
    }
}

static void version_is_said(void **state)
{
    (void)state;
    struct run run = run_line("--version");
    assert_int_equal(run.status, 0);
    assert_string_equal(run.out, "guardspan " GUARDSPAN_VERSION "\n");
    run_free(&run);
}

static void a_full_standard_output_is_a_failure(void **state)
{
    (void)state;
    static const char *const lines[] = {"report", "facts", "--help"};
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        char program[] = "guardspan", word[16], *message = NULL;
        size_t length;
        snprintf(word, sizeof word, "%s", lines[i]);
        char *argv[] = {program, word, NULL};
        FILE *out = fopen("/dev/full", "w"), *err = open_memstream(&message, &length);
        assert_int_equal(command_line_run(2, argv, out, err), EXIT_FAILED);
        fclose(out);
        fclose(err);
        assert_string_equal(message, "guardspan: standard output: cannot be written: No space "
                                     "left on device\n");
        free(message);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(options_stand_before_or_after_operands),
        cmocka_unit_test(two_dashes_end_the_options),
        cmocka_unit_test(the_last_value_counts),
        cmocka_unit_test(set_may_make_echoes_and_stations),
        cmocka_unit_test(help_names_every_command_and_option),
        cmocka_unit_test(options_of_the_same_name_agree_on_taking_a_value),
        cmocka_unit_test(help_lines_fit_a_terminal),
        cmocka_unit_test(version_is_said),
        cmocka_unit_test(a_full_standard_output_is_a_failure),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
