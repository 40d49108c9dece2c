#include "support/near.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "study/figure.h"
#include "study/place/place.h"
#include "study/report/report.h"

struct result {
    double level_db, count, rate, works;
    const char *word;
};

static double twice_the_level(const void *result)
{
    return 2.0 * ((const struct result *)result)->level_db;
}

static const char *constant_word(const void *result)
{
    (void)result;
    return "always";
}

static void in_words(const void *result, char *buffer, size_t size)
{
    text_format(buffer, size, "beyond %g", ((const struct result *)result)->level_db);
}

static const struct figure rows[] = {
    {"level_db", "Level", FIGURE_AT(struct result, level_db, "dB", 1)},
    {"count", "Count", FIGURE_WHOLE_AT(struct result, count)},
    {"word", "Word", FIGURE_WORD_AT(struct result, word)},
    {"rate", "Rate", .unit = "", .kind = FIGURE_RATE, .decimals = 2,
     .offset = offsetof(struct result, rate)},
    {"works", "Works", .unit = "", .kind = FIGURE_YES_NO, .offset = offsetof(struct result, works)},
    {"twice_db", "Twice the level", .brief = "twice", .unit = "dB", .decimals = 3,
     .number = twice_the_level},
    {"always", "Always", .unit = "", .kind = FIGURE_WORD, .word = constant_word},
    {"far_db", "Far", .unit = "dB", .offset = offsetof(struct result, level_db), .text = in_words},
};
static const struct figure_table table = {rows, sizeof rows / sizeof rows[0]};

static void assert_reads(const struct result *result, const char *name, const char *expected)
{
    char text[64];
    figure_text(figure_find(&table, name), result, text, sizeof text);
    assert_string_equal(text, expected);
}

static void rows_know_how_to_get_their_value(void **state)
{
    (void)state;
    const struct result result = {-3.25, 1234567.0, 4.2e-5, 1.0, "QPSK"};
    assert_near(figure_number(figure_find(&table, "level_db"), &result), -3.25, 0.0, "as put in");
    assert_near(figure_number(figure_find(&table, "twice_db"), &result), -6.5, 0.0, "2 x -3.25");
    assert_true(isnan(figure_number(figure_find(&table, "word"), &result)));
    assert_null(figure_word(figure_find(&table, "count"), &result));
    assert_string_equal(figure_word(figure_find(&table, "word"), &result), "QPSK");
    assert_reads(&result, "level_db", "-3.2"); /* to even: -3.25 is exact in binary */
    assert_reads(&result, "count", "1234567");
    assert_reads(&result, "word", "QPSK");
    assert_reads(&result, "rate", "4.20e-05");
    assert_reads(&result, "works", "yes");
    assert_reads(&result, "twice_db", "-6.500");
    assert_reads(&result, "always", "always");
    assert_reads(&result, "far_db", "beyond -3.25");
    assert_string_equal(figure_brief(figure_find(&table, "twice_db")), "twice");
    assert_string_equal(figure_brief(figure_find(&table, "level_db")), "Level");
}

static void what_is_not_known_is_a_dash_and_nothing_has_no_sign(void **state)
{
    (void)state;
    struct result result = {NAN, NAN, NAN, NAN, NULL};
    static const char *const names[] = {"level_db", "count", "word", "rate", "works", "twice_db"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        assert_reads(&result, names[i], "-");
    }
    result = (struct result){-0.04, INFINITY, 0.0, 0.0, ""};
    assert_reads(&result, "level_db", "0.0");
    assert_reads(&result, "count", "-");
    assert_reads(&result, "rate", "0");
    assert_reads(&result, "works", "no");
}

static void lists_keep_the_order_asked_for(void **state)
{
    (void)state;
    static const char *const names[] = {"word", "level_db", NULL};
    struct figure_list list = figures_named(&table, names);
    assert_int_equal(list.count, 2);
    assert_ptr_equal(list.rows[0], &rows[2]);
    assert_ptr_equal(list.rows[1], &rows[0]);
    assert_int_equal(figures_all(&table).count, table.count);
    assert_null(figure_find(&table, "colour"));
}

/* In every table: names in JSON's manner and once each, a unit where the name ends in one, and a
 * way to the value. */
static void check_table(const struct figure_table *checked)
{
    static const struct {
        const char *ending, *unit;
    } units[] = {{"_db", "dB"},       {"_us", "us"},        {"_km", "km"},   {"_hz", "Hz"},
                 {"_mbps", "Mbit/s"}, {"_dbuvm", "dBuV/m"}, {"_dbm", "dBm"}, {"_kmh", "km/h"},
                 {"_mhz", "MHz"},     {"_ms", "ms"},        {"_kw", "kW"},   {"_m", "m"}};
    for (size_t i = 0; i < checked->count; i++) {
        const struct figure *figure = &checked->rows[i];
        assert_int_equal(strspn(figure->name, "abcdefghijklmnopqrstuvwxyz_0123456789"),
                         strlen(figure->name));
        assert_ptr_equal(figure_find(checked, figure->name), figure);
        assert_true(figure->label != NULL && figure->unit != NULL);
        assert_int_equal(figure->kind == FIGURE_WORD,
                         figure->word != NULL ||
                             (figure->kind == FIGURE_WORD && figure->number == NULL));
        const char *ending = strrchr(figure->name, '_');
        for (size_t u = 0; ending && u < sizeof units / sizeof units[0]; u++) {
            if (strcmp(ending, units[u].ending) == 0) {
                assert_string_equal(figure->unit, units[u].unit);
            }
        }
    }
}

static void every_table_is_in_order(void **state)
{
    (void)state;
    check_table(&table);
    check_table(&rf_figures);
    check_table(&conditions_figures);
    check_table(&account_figures);
    check_table(&generation_figures);
    check_table(&place_figures);
}

/* A group's rows stand together: else a screen would show its heading twice. */
static void groups_are_not_torn(void **state)
{
    (void)state;
    const struct figure_list grouped = figures_grouped();
    for (size_t i = 1; i < grouped.count; i++) {
        for (size_t before = 0; grouped.rows[i]->group != grouped.rows[i - 1]->group && before < i;
             before++) {
            assert_ptr_not_equal(grouped.rows[before]->group, grouped.rows[i]->group);
        }
    }
}

/* What a report has none of is not told. */
static void reports_leave_out_what_there_is_none_of(void **state)
{
    (void)state;
    struct report_rf rf = {.channel = NAN, .center_mhz = 100.5, .band = BAND_LOW_VHF};
    struct text words = {0};
    report_words_rf(&rf, &words);
    assert_int_equal(strncmp(text_string(&words), "100.500 MHz, ", 13), 0);
    text_clear(&words);
    rf.channel = 6.0;
    report_words_rf(&rf, &words);
    assert_int_equal(strncmp(text_string(&words), "RF channel 6, 100.500 MHz, ", 27), 0);
    text_free(&words);
    struct account_row row = {.is_loss = true, .db = {NAN, NAN}};
    char text[24];
    static const char *const units[][2] = {{"dB", "none"}, {"km", "-"}, {NULL, "-"}};
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        figure_number_text(-INFINITY, units[i][0], 1, text, sizeof text);
        assert_string_equal(text, units[i][1]);
    }
    account_row_text(&row, GENERATION_FIRST, text, sizeof text);
    assert_string_equal(text, "-"); /* nobody knows of either */
    row.db[GENERATION_SECOND] = -1.5;
    account_row_text(&row, GENERATION_FIRST, text, sizeof text);
    assert_string_equal(text, "none");
    static struct verdict verdict;
    const struct figure *name = figure_find(&generation_figures, "name");
    assert_null(figure_word(name, &verdict));
    text_format(verdict.facts.plp, sizeof verdict.facts.plp, "main");
    assert_string_equal(figure_word(name, &verdict), "main");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_know_how_to_get_their_value),
        cmocka_unit_test(what_is_not_known_is_a_dash_and_nothing_has_no_sign),
        cmocka_unit_test(lists_keep_the_order_asked_for),
        cmocka_unit_test(every_table_is_in_order),
        cmocka_unit_test(groups_are_not_torn),
        cmocka_unit_test(reports_leave_out_what_there_is_none_of),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
