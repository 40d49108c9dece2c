#include "support/near.h"

#include <stdio.h>
#include <string.h>

#include <jansson.h>

#include "command/facts/facts.h"
#include "standard/atsc3/frame.h"
#include "support/run.h"

static json_t *fact_json(const char *name)
{
    char line[64];
    snprintf(line, sizeof line, "facts %s --format json", name);
    return run_json(line);
}

static json_t *row_where(json_t *fact, const char *name, const char *value)
{
    size_t i;
    json_t *row;
    json_array_foreach(json_object_get(fact, "rows"), i, row)
    {
        json_t *cell = json_object_get(row, name);
        if (json_is_string(cell) && strcmp(json_string_value(cell), value) == 0) {
            return row;
        }
    }
    fail_msg("no row where %s is %s", name, value);
    return NULL;
}

static void every_fact_has_rows_and_a_source(void **state)
{
    (void)state;
    for (size_t i = 0; i < fact_count(); i++) {
        json_t *json = fact_json(fact_row(i)->name);
        size_t rows = json_array_size(json_object_get(json, "rows")), lines = 0;
        assert_true(rows > 0);
        assert_true(strlen(json_string_value(json_object_get(json, "source"))) > 8);
        json_decref(json);
        static const char *const formats[FORMAT_COUNT] = {"text", "json", "csv", "markdown"};
        for (int format = 0; format < FORMAT_COUNT; format++) {
            char line[64];
            snprintf(line, sizeof line, "facts --format %s %s", formats[format], fact_row(i)->name);
            struct run run = run_line(line);
            assert_int_equal(run.status, 0);
            assert_true(run.out_length > 40);
            if (format == FORMAT_CSV) { /* a heading, and a line a row */
                for (const char *end = run.out; (end = strstr(end, "\r\n")); end += 2) {
                    lines++;
                }
                assert_int_equal(lines, rows + 1);
            }
            run_free(&run);
        }
    }
}

/* Tg = 1024 / 6.912 MHz = 148.148 us, ATSC A/322:2024-04 Table 8.9. */
static void a_figure_is_explained_in_numbers(void **state)
{
    (void)state;
    struct run run = run_line("facts echo_us");
    assert_int_equal(run.status, 0);
    assert_non_null(strstr(run.out, "second.echo_us"));
    assert_non_null(strstr(run.out, "148.1 us"));
    run_free(&run);
    run = run_line("facts mode.guard --format json");
    assert_int_equal(run.status, 0);
    assert_non_null(strstr(run.out, "5.9 %"));
    run_free(&run);
}

/* Without echoes the output SNR is the measured one, here 17.5 dB. */
static void an_echo_figure_is_explained_in_numbers(void **state)
{
    (void)state;
    struct run run = run_line("facts first.output_snr_db --set receiver.snr_db=17.5");
    assert_int_equal(run.status, 0);
    assert_non_null(strstr(run.out, "17.5"));
    assert_null(strstr(run.out, "?"));
    run_free(&run);
}

static void facts_alone_list_all(void **state)
{
    (void)state;
    struct run run = run_line("facts");
    assert_int_equal(run.status, 0);
    for (size_t i = 0; i < fact_count(); i++) {
        assert_non_null(strstr(run.out, fact_row(i)->name));
    }
    run_free(&run);
    run = run_line("facts cubes");
    assert_int_equal(run.status, 2);
    assert_string_equal(run.out, "");
    assert_non_null(strstr(run.err, "(8-vsb numerology"));
    run_free(&run);
}

static void they_show_what_the_documents_print(void **state)
{
    (void)state;
    json_t *fact = fact_json("guard");
    json_t *row = row_where(fact, "guard", "GI4_768");
    assert_near(json_number_value(json_object_get(row, "us_6mhz")), 111.11, 0.005, "768 / 6.912");
    assert_string_equal(json_string_value(json_object_get(row, "ffts")), "8K 16K 32K");
    json_decref(fact);

    fact = fact_json("carriers");
    row = row_where(fact, "fft", "32K");
    assert_near(json_number_value(json_object_get(row, "reduction_4")), 26113, 0,
                "ATSC A/322:2024-04 Table 7.1");
    json_decref(fact);

    fact = fact_json("pilots");
    row = row_where(fact, "guard", "GI12_4864");
    assert_true(json_is_null(json_object_get(row, "fft_16k")));
    assert_string_equal(json_string_value(json_object_get(row, "fft_32k")), "SP3_2 SP6_2");
    json_decref(fact);

    fact = fact_json("boosts");
    row = row_where(fact, "pilots", "SP32_4");
    assert_near(json_number_value(json_object_get(row, "boost_4_db")), 9.7, 1e-9,
                "ATSC A/322:2024-04 Table 8.4");
    json_decref(fact);

    fact = fact_json("planning");
    row = row_where(fact, "band", "UHF");
    assert_near(json_number_value(json_object_get(row, "field_15db_dbuvm")), 41, 0.5,
                "47 CFR 73.622(e)");
    json_decref(fact);
}

static void the_cells_of_all_81_combinations_are_there(void **state)
{
    (void)state;
    json_t *fact = fact_json("cells");
    json_t *rows = json_object_get(fact, "rows");
    assert_int_equal(json_array_size(rows), 81 * 5);
    json_t *row = row_where(fact, "pilots", "SP3_2"); /* the first: 8K, c = 0 */
    assert_near(json_number_value(json_object_get(row, "data_cells")), 5711, 0,
                "ATSC A/322:2024-04 Table 7.3");
    assert_near(json_number_value(json_object_get(row, "boundary_4")), 3467, 0,
                "ATSC A/322:2024-04 Annex F");
    json_decref(fact);
}

/* Shares of Tu = 3584 us, 32K at 8 MHz: EN 302 755 table 65 (published). */
static void a_setting_is_explained_in_numbers_of_a_pair_that_has_it(void **state)
{
    (void)state;
    struct run run = run_line("facts dvbt2.guard");
    assert_int_equal(run.status, 0);
    assert_non_null(strstr(run.out, "1/16: Tg = 224.0 us")); /* 3584 us / 16 */
    run_free(&run);
    run = run_line("facts --set site.pair=dvb --set dvbt2.guard=1/32 dvbt2.guard");
    assert_non_null(strstr(run.out, "1/32: Tg = 112.0 us"));
    run_free(&run);
    run = run_line("facts plp.rate"); /* and not the figure "PLP rate" */
    assert_non_null(strstr(run.out, "code rate (mode.rate)"));
    run_free(&run);
}

/* EN 300 744 table 17, EN 302 755 tables 7, 47 and 58; a name that both pairs have is the pair's.
 */
static void tables_of_the_second_pair_are_its_documents(void **state)
{
    (void)state;
    json_t *rates = fact_json("dvb-t-rates"), *row = row_where(rates, "rate", "7/8");
    assert_near(json_number_value(json_object_get(row, "guard_1_32")), 10.556, 0.0005,
                "EN 300 744 table 17, QPSK 7/8");
    assert_int_equal(json_array_size(json_object_get(rates, "rows")), 15);
    json_decref(rates);
    json_t *pilots = fact_json("dvb-t2-pilots");
    assert_int_equal(json_array_size(json_object_get(pilots, "rows")), 69);
    json_decref(pilots);
    json_t *needs = fact_json("dvb-t-thresholds");
    assert_int_equal(json_array_size(json_object_get(needs, "rows")), 15 + 60);
    json_decref(needs);
    struct run run = run_line("facts pilots --set site.pair=DVB");
    assert_non_null(strstr(run.out, "(dvbt2.pilots)"));
    run_free(&run);
    run = run_line("facts pilots");
    assert_non_null(strstr(run.out, "SP12_2"));
    run_free(&run);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_fact_has_rows_and_a_source),
        cmocka_unit_test(tables_of_the_second_pair_are_its_documents),
        cmocka_unit_test(a_figure_is_explained_in_numbers),
        cmocka_unit_test(an_echo_figure_is_explained_in_numbers),
        cmocka_unit_test(a_setting_is_explained_in_numbers_of_a_pair_that_has_it),
        cmocka_unit_test(facts_alone_list_all),
        cmocka_unit_test(they_show_what_the_documents_print),
        cmocka_unit_test(the_cells_of_all_81_combinations_are_there),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
