#include "support/near.h"

#include <math.h>
#include <string.h>

#include <jansson.h>

#include "present/table/table.h"

static const struct table_column columns[] = {
    {"name", "Name", NULL, 0},
    {"net_mbps", "Net rate", "Mbit/s", 2},
    {"cells", "Cells", "", 0},
    {"works", "Works", NULL, 0},
};

static struct table sample(void)
{
    struct table table = table_start(columns, 4);
    table_word(&table, "one, \"two\"|");
    table_number(&table, 19.392658);
    table_whole(&table, 12);
    table_bool(&table, true);
    table_word(&table, "\xC3\xA9");
    table_number(&table, NAN);
    table_whole(&table, -3);
    table_bool(&table, false);
    return table;
}

static void text_is_aligned_with_units_below_labels(void **state)
{
    (void)state;
    struct table table = sample();
    struct text out = {0};
    assert_int_equal(table_write(&table, FORMAT_TEXT, &out), STATUS_OK);
    assert_string_equal(text_string(&out), "Name         Net rate  Cells  Works\n"
                                           "               Mbit/s\n"
                                           "one, \"two\"|     19.39     12  yes\n"
                                           "\xC3\xA9                   -     -3  no\n");
    text_free(&out);
    table_free(&table);
}

static void csv_follows_rfc_4180(void **state)
{
    (void)state;
    struct table table = sample();
    struct text out = {0};
    assert_int_equal(table_write(&table, FORMAT_CSV, &out), STATUS_OK);
    assert_string_equal(text_string(&out), "name,net_mbps,cells,works\r\n"
                                           "\"one, \"\"two\"\"|\",19.392658,12,true\r\n"
                                           "\xC3\xA9,,-3,false\r\n");
    text_free(&out);
    table_free(&table);
}

static void markdown_escapes_what_would_break_the_table(void **state)
{
    (void)state;
    struct table table = sample();
    struct text out = {0};
    assert_int_equal(table_write(&table, FORMAT_MARKDOWN, &out), STATUS_OK);
    assert_string_equal(text_string(&out), "| Name | Net rate (Mbit/s) | Cells | Works |\n"
                                           "| --- | ---: | ---: | --- |\n"
                                           "| one, \"two\"\\| | 19.39 | 12 | yes |\n"
                                           "| \xC3\xA9 | - | -3 | no |\n");
    text_free(&out);
    table_free(&table);
}

static void json_gives_null_for_what_is_not_known(void **state)
{
    (void)state;
    struct table table = sample();
    struct text out = {0};
    assert_int_equal(table_write(&table, FORMAT_JSON, &out), STATUS_OK);
    json_t *json = json_loads(text_string(&out), JSON_REJECT_DUPLICATES, NULL);
    assert_non_null(json);
    assert_int_equal(json_array_size(json), 2);
    json_t *row = json_array_get(json, 0);
    assert_string_equal(json_string_value(json_object_get(row, "name")), "one, \"two\"|");
    assert_near(json_real_value(json_object_get(row, "net_mbps")), 19.392658, 1e-11, "as put in");
    assert_true(json_is_true(json_object_get(row, "works")));
    row = json_array_get(json, 1);
    assert_true(json_is_null(json_object_get(row, "net_mbps")));
    assert_int_equal(json_integer_value(json_object_get(row, "cells")), -3);
    json_decref(json);
    text_free(&out);
    table_free(&table);
}

static void members_nest_objects_lists_and_values(void **state)
{
    (void)state;
    static const struct table_column one[] = {{"line", "Line", NULL, 0}};
    struct table table = sample(), lines = table_start(one, 1), none = table_start(one, 1);
    table_word(&lines, "a");
    table_word(&lines, "b");
    const struct member members[] = {
        {"mode", MEMBER_OBJECT, &table},   {"all", MEMBER_ARRAY, &table},
        {"unread", MEMBER_LIST, &lines},   {"first", MEMBER_VALUE, &lines},
        {"nothing", MEMBER_OBJECT, &none}, {"empty", MEMBER_LIST, &none}};
    struct text out = {0};
    assert_int_equal(members_write_json(members, 6, &out), STATUS_OK);
    json_t *json = json_loads(text_string(&out), 0, NULL);
    assert_int_equal(json_integer_value(json_object_get(json_object_get(json, "mode"), "cells")),
                     12);
    assert_int_equal(json_array_size(json_object_get(json, "all")), 2);
    assert_string_equal(json_string_value(json_array_get(json_object_get(json, "unread"), 1)), "b");
    assert_string_equal(json_string_value(json_object_get(json, "first")), "a");
    assert_true(json_is_null(json_object_get(json, "nothing")));
    assert_int_equal(json_array_size(json_object_get(json, "empty")), 0);
    json_decref(json);
    text_free(&out);
    table_free(&table);
    table_free(&lines);
    table_free(&none);
}

static void words_are_made_safe_for_terminals(void **state)
{
    (void)state;
    struct table table = table_start(columns, 1);
    table_word(&table, "a\033[2J\xFF\xE2\x80\xAE"
                       "b");
    assert_string_equal(table.cells[0].word, "a?[2J??b");
    table_free(&table);
}

static void numbers_that_round_to_nothing_have_no_sign(void **state)
{
    (void)state;
    static const struct table_column one[] = {{"x", "x", NULL, 1}};
    struct table table = table_start(one, 1);
    table_number(&table, -0.04);
    table_number(&table, -0.06);
    table_number_to(&table, 1.25, 2);
    struct text out = {0};
    assert_int_equal(table_write(&table, FORMAT_TEXT, &out), STATUS_OK);
    assert_string_equal(text_string(&out), "   x\n 0.0\n-0.1\n1.25\n");
    text_free(&out);
    table_free(&table);
}

static void an_empty_table_is_a_heading_or_an_empty_array(void **state)
{
    (void)state;
    struct table table = table_start(columns, 4);
    struct text out = {0};
    assert_int_equal(table_write(&table, FORMAT_JSON, &out), STATUS_OK);
    assert_string_equal(text_string(&out), "[]\n");
    text_clear(&out);
    assert_int_equal(table_write(&table, FORMAT_CSV, &out), STATUS_OK);
    assert_string_equal(text_string(&out), "name,net_mbps,cells,works\r\n");
    text_free(&out);
    table_free(&table);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text_is_aligned_with_units_below_labels),
        cmocka_unit_test(csv_follows_rfc_4180),
        cmocka_unit_test(markdown_escapes_what_would_break_the_table),
        cmocka_unit_test(json_gives_null_for_what_is_not_known),
        cmocka_unit_test(members_nest_objects_lists_and_values),
        cmocka_unit_test(words_are_made_safe_for_terminals),
        cmocka_unit_test(numbers_that_round_to_nothing_have_no_sign),
        cmocka_unit_test(an_empty_table_is_a_heading_or_an_empty_array),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
