#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "command/commands.h"
#include "present/lesson/lesson.h"
#include "scenario/section.h"

/* The manual tells of every command, option and key; make runs tests in its top folder. */

static struct text read_manual(const char *path)
{
    struct text text = {0};
    struct fault fault;
    assert_int_equal(file_read(path, 1 << 20, &text, &fault), STATUS_OK);
    return text;
}

static int missing(const struct text *manual, const char *what)
{
    if (strstr(text_string(manual), what)) {
        return 0;
    }
    print_error("the manual does not tell of \"%s\"\n", what);
    return 1;
}

static int missing_option(const struct text *manual, const struct option_row *row)
{
    char what[64];
    snprintf(what, sizeof what, "Fl %s", row->name + 1); /* mdoc's Fl writes the first dash */
    return missing(manual, what);
}

static void every_command_and_option_is_told_of(void **state)
{
    (void)state;
    struct text manual = read_manual("man/guardspan.1");
    int count = 0;
    for (size_t i = 0; i < command_count(); i++) {
        const struct command *command = command_row(i);
        char what[64];
        snprintf(what, sizeof what, ".It Cm %s", command->name);
        count += missing(&manual, what);
        for (const struct option_row *row = command->options; row && row->name; row++) {
            count += missing_option(&manual, row);
        }
    }
    for (const struct option_row *row = common_options; row->name; row++) {
        count += missing_option(&manual, row);
    }
    text_free(&manual);
    assert_int_equal(count, 0);
}

/* What the manual says of a field, in one line: from its item to the next. */
static void entry_of(const struct text *manual, const struct field *field, char *buffer,
                     size_t size)
{
    char heading[64], item[64];
    const struct section *section = section_find(field->section);
    snprintf(heading, sizeof heading, "\n.Ss Section %s%s\n", field->section,
             section->most > 0 ? " NAME" : "");
    snprintf(item, sizeof item, "\n.It Cm %s\n", field->name);
    const char *from = strstr(text_string(manual), heading);
    from = from ? strstr(from, item) : NULL;
    assert_non_null(from);
    from += strlen(item);
    snprintf(buffer, size, "%.*s", (int)(strstr(from, "\n.") - from), from);
    for (char *feed = buffer; (feed = strchr(feed, '\n')) != NULL;) {
        *feed = ' ';
    }
}

/* "0 to 4 dB", "first to last" of choices, or each of them. */
static bool tells_range(const char *entry, const struct field *field)
{
    char first[FIELD_TEXT_BYTES], last[FIELD_TEXT_BYTES], range[3 * FIELD_TEXT_BYTES];
    if (field_is_text(field)) {
        return strstr(entry, field->type == FIELD_PATH ? "File of" : "Name of") != NULL;
    }
    field_write(field, field->turn > 0.0 ? 0.0 : field->low, first, sizeof first);
    field_write(field, field->high, last, sizeof last);
    snprintf(range, sizeof range, "%s to %s%s%s", first, last, field->unit[0] ? " " : "",
             field->unit);
    bool each = field->type != FIELD_NUMBER;
    for (double i = field->low; each && i <= field->high; i++) {
        field_write(field, i, last, sizeof last);
        each = strstr(entry, last) != NULL;
    }
    return strstr(entry, range) || each;
}

static bool tells_default(const char *entry, const struct field *field)
{
    char plain[FIELD_TEXT_BYTES], told[FIELD_TEXT_BYTES + 2], word[FIELD_TEXT_BYTES];
    field_write(field, field->plain, plain, sizeof plain);
    snprintf(told, sizeof told, "(%s)", plain);
    snprintf(word, sizeof word, "or %s", field->word ? field->word : "");
    bool has_none = isnan(field->plain) && !field->word;
    return (has_none || strstr(entry, told)) && (!field->word || strstr(entry, word));
}

static void every_key_is_told_of_with_its_range_and_default(void **state)
{
    (void)state;
    struct text manual = read_manual("man/guardspan-profile.5");
    int count = 0;
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        char entry[512];
        entry_of(&manual, field, entry, sizeof entry);
        if (!tells_range(entry, field) || !tells_default(entry, field)) {
            print_error("%s.%s: \"%s\"\n", field->section, field->name, entry);
            count++;
        }
    }
    text_free(&manual);
    assert_int_equal(count, 0);
}

static void the_manuals_lesson_can_be_played(void **state)
{
    (void)state;
    struct text manual = read_manual("man/guardspan.1");
    const char *begin = strstr(text_string(&manual), "\ntitle The guard interval\n");
    assert_non_null(begin);
    const char *end = strstr(++begin, ".Ed\n");
    assert_non_null(end);
    struct lesson lesson;
    struct lesson_scene scene;
    struct scenario scenario = scenario_default();
    struct fault fault = {0};
    enum status status = lesson_read_text(begin, (size_t)(end - begin), &lesson, &fault);
    if (status != STATUS_OK) {
        print_error("%s: %s\n", fault.place, fault.wrong);
    }
    assert_int_equal(status, STATUS_OK);
    assert_int_equal(lesson_play(&lesson, &scenario, 1000, &scene, &fault), STATUS_OK);
    assert_int_equal(scene.stop_count, 5);
    assert_string_equal(scene.text, "The echo has left the guard interval.");
    lesson_free(&lesson);
    text_free(&manual);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_command_and_option_is_told_of),
        cmocka_unit_test(every_key_is_told_of_with_its_range_and_default),
        cmocka_unit_test(the_manuals_lesson_can_be_played),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
