#include "support/near.h"

#include <stdio.h>
#include <string.h>

#include "command/command.h"
#include "command/commands.h"
#include "scenario/section.h"
#include "support/run.h"

/* What completion offers is what the command line accepts; tests/command/test_completion.sh shows
 * it in the shells. */

static void assert_offers(const char *line, const char *wanted)
{
    struct run run = run_line(line);
    assert_int_equal(run.status, 0);
    assert_string_equal(run.err, "");
    char begin[128];
    snprintf(begin, sizeof begin, "\n%s", wanted);
    if (strncmp(run.out, wanted, strlen(wanted)) != 0 && !strstr(run.out, begin)) {
        fail_msg("\"%s\" offers \"%s\", not \"%s\"", line, run.out, wanted);
    }
    run_free(&run);
}

static void every_command_and_option_is_offered(void **state)
{
    (void)state;
    char line[256], wanted[256];
    for (size_t i = 0; i < command_count(); i++) {
        const struct command *command = command_row(i);
        snprintf(wanted, sizeof wanted, "%s\t%s\n", command->name, command->summary);
        snprintf(line, sizeof line, "--complete %.3s", command->name);
        assert_offers(line, wanted);
        for (const struct option_row *row = command->options; row && row->name; row++) {
            snprintf(line, sizeof line, "--complete %s %s", command->name, row->name);
            snprintf(wanted, sizeof wanted, "%s\t", row->name);
            assert_offers(line, wanted);
        }
    }
}

static void every_key_that_stands_once_is_offered(void **state)
{
    (void)state;
    int count = 0;
    for (size_t i = 0; i < field_count(); i++) {
        char name[FIELD_TEXT_BYTES], line[256], wanted[256];
        field_name(field_at(i), name, sizeof name);
        if (section_find(field_at(i)->section)->most == 0) {
            snprintf(line, sizeof line, "--complete report --set %s", name);
            snprintf(wanted, sizeof wanted, "%s=\t%s\n", name, field_at(i)->title);
            assert_offers(line, wanted);
            count++;
        }
    }
    assert_true(count > 40);
}

/* All that is offered for a key can be written there. */
static void every_value_offered_is_read(void **state)
{
    (void)state;
    int count = 0;
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        char name[FIELD_TEXT_BYTES], line[256];
        field_name(field, name, sizeof name);
        snprintf(line, sizeof line, "--complete report --set=%s=", name);
        struct run run = run_line(line);
        for (char *rest, *offer = strtok_r(run.out, "\n", &rest); offer;
             offer = strtok_r(NULL, "\n", &rest)) {
            double number;
            char *value = strchr(strstr(offer, name), '=') + 1;
            *strchr(value, '\t') = '\0';
            assert_int_equal(field_read(field, value, &number), STATUS_OK);
            count++;
        }
        run_free(&run);
    }
    assert_true(count > 100);
}

static void files_are_left_to_the_shell(void **state)
{
    (void)state;
    assert_offers("--complete report mob", "PROFILE\n");
    assert_offers("--complete read demo/", "FILE\n");
    assert_offers("--complete simulate --merge one.json two", "FILE\n");
    assert_offers("--complete draw delays -o out", "FILE\n");
    assert_offers("--complete", "explore\t");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_command_and_option_is_offered),
        cmocka_unit_test(every_key_that_stands_once_is_offered),
        cmocka_unit_test(every_value_offered_is_read),
        cmocka_unit_test(files_are_left_to_the_shell),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
