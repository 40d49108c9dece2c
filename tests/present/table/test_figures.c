#include "support/near.h"

#include <math.h>

#include <jansson.h>

#include "present/table/figures.h"

struct result {
    double level_db, count, rate, works;
    const char *word;
};

static void in_words(const void *result, char *buffer, size_t size)
{
    (void)result;
    text_format(buffer, size, "far");
}

static const struct figure rows[] = {
    {"level_db", "Level", FIGURE_AT(struct result, level_db, "dB", 1)},
    {"count", "Count", FIGURE_WHOLE_AT(struct result, count)},
    {"word", "Word", FIGURE_WORD_AT(struct result, word)},
    {"rate", "Rate", .unit = "", .kind = FIGURE_RATE, .decimals = 1,
     .offset = offsetof(struct result, rate)},
    {"works", "Works", .unit = "", .kind = FIGURE_YES_NO, .offset = offsetof(struct result, works)},
    {"reach_km", "Reach", .unit = "km", .offset = offsetof(struct result, level_db),
     .text = in_words},
};
static const struct figure_table figures = {rows, sizeof rows / sizeof rows[0]};
static const struct result one = {-3.14, 12.0, 1.5e-4, 1.0, "a"};
static const struct result other = {NAN, NAN, NAN, NAN, NULL};

static void assert_written(struct table *table, enum format format, const char *expected)
{
    struct text out = {0};
    assert_int_equal(table_write(table, format, &out), STATUS_OK);
    assert_string_equal(text_string(&out), expected);
    text_free(&out);
    table_free(table);
}

/* People read words where the row has them; programs get the number. */
static void a_row_a_result(void **state)
{
    (void)state;
    struct figure_list list = figures_all(&figures);
    static const struct table_column more[] = {{"more", "More", NULL, 0}};
    static const char *const expected[] = {
        [FORMAT_TEXT] = "Level  Count  Word     Rate  Works  Reach  More\n"
                        "   dB                                  km\n"
                        " -3.1     12  a     1.5e-04  yes      far  1\n"
                        "    -      -  -           -  -        far  2\n",
        [FORMAT_CSV] = "level_db,count,word,rate,works,reach_km,more\r\n"
                       "-3.14,12,a,0.00015,true,-3.14,1\r\n"
                       ",,,,,,2\r\n",
    };
    static const enum format formats[] = {FORMAT_TEXT, FORMAT_CSV};
    for (int i = 0; i < 2; i++) {
        struct table table = figures_across(&list, more, 1);
        table_figures(&table, &list, &one);
        table_word(&table, "1");
        table_figures(&table, &list, &other);
        table_word(&table, "2");
        assert_written(&table, formats[i], expected[formats[i]]);
    }
}

static void a_line_a_figure_one_beside_the_other(void **state)
{
    (void)state;
    static const char *const names[] = {"count", "level_db", NULL};
    struct figure_list list = figures_named(&figures, names);
    const struct result unknown_level = {.level_db = NAN, .count = 5.0};
    const struct figures_column columns[] = {{"One", &one, NULL},
                                             {"Other", &unknown_level, "no SNR"}};
    struct table table = figures_beside(&list, columns, 2);
    assert_written(&table, FORMAT_TEXT,
                   "Quantity   One   Other  Unit\n"
                   "Count       12       5\n"
                   "Level     -3.1  no SNR  dB\n");
    table = figures_beside(&list, columns, 1);
    assert_written(&table, FORMAT_MARKDOWN,
                   "| Quantity | One | Unit |\n"
                   "| --- | ---: | --- |\n"
                   "| Count | 12 |  |\n"
                   "| Level | -3.1 | dB |\n");
}

static void parts_are_lines_of_csv(void **state)
{
    (void)state;
    static const char *const names[] = {"level_db", "works", NULL};
    struct figure_list list = figures_named(&figures, names);
    struct table table = figures_in_parts();
    figures_add_part(&table, "first", &list, &one);
    figures_add_part(&table, "second", &list, &other);
    assert_written(&table, FORMAT_CSV,
                   "part,name,value,unit\r\n"
                   "first,level_db,-3.14,dB\r\nfirst,works,true,\r\n"
                   "second,level_db,,dB\r\nsecond,works,,\r\n");
}

/* A table within a cell is an array in JSON and nothing elsewhere. */
static void tables_stand_within_cells(void **state)
{
    (void)state;
    static const char *const names[] = {"word", "count", NULL};
    static const struct table_column more[] = {{"rows", "Rows", NULL, 0}};
    struct figure_list list = figures_named(&figures, names);
    struct table table = figures_across(&list, more, 1);
    struct table inner = figures_of(&list, &one);
    table_figures(&inner, &list, &other);
    table_figures(&table, &list, &one);
    table_rows(&table, &inner);
    assert_int_equal(table_row_count(&inner), 0);
    struct text out = {0};
    assert_int_equal(table_write(&table, FORMAT_JSON, &out), STATUS_OK);
    json_t *json = json_loads(text_string(&out), JSON_REJECT_DUPLICATES, NULL);
    json_t *within = json_object_get(json_array_get(json, 0), "rows");
    assert_int_equal(json_array_size(within), 2);
    assert_int_equal(json_integer_value(json_object_get(json_array_get(within, 0), "count")), 12);
    assert_true(json_is_null(json_object_get(json_array_get(within, 1), "word")));
    json_decref(json);
    text_clear(&out);
    assert_int_equal(table_write(&table, FORMAT_CSV, &out), STATUS_OK);
    assert_string_equal(text_string(&out), "word,count,rows\r\na,12,\r\n");
    text_free(&out);
    table_free(&table);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_row_a_result),
        cmocka_unit_test(a_line_a_figure_one_beside_the_other),
        cmocka_unit_test(parts_are_lines_of_csv),
        cmocka_unit_test(tables_stand_within_cells),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
