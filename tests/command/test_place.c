#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include <jansson.h>

#include "study/place/place.h"
#include "support/run.h"
#include "support/scenarios.h"

/* The names of the JSON form are a contract: these, in this order. */
static const char *const names[] = {"name",
                                    "generation",
                                    "center_mhz",
                                    "method",
                                    "field_dbuvm",
                                    "level_dbm",
                                    "noise_dbm",
                                    "interference_dbm",
                                    "cn_db",
                                    "needed_snr_db",
                                    "margin_db",
                                    "works",
                                    "reach_km",
                                    "needed_noise_db",
                                    "margin_noise_db",
                                    "location_db",
                                    "entry_loss_db",
                                    "discrimination_db",
                                    "interference_db",
                                    "headroom_db",
                                    "needed_field_dbuvm",
                                    "effective_height_m",
                                    "clearance_deg",
                                    "terrain_db",
                                    "network_gain_db",
                                    "network_gain_served_db",
                                    "error_db",
                                    "net_mbps",
                                    "doppler_hz",
                                    "interferers"};
#define NAME_COUNT (sizeof names / sizeof names[0])

static const char profile[] = "[receiver]\n"
                              "antenna_dbd = 6\n"
                              "[station Alpha]\n"
                              "generation = first\n"
                              "rf_channel = 24\n"
                              "erp_kw = 100\n"
                              "height_m = 200\n"
                              "distance_km = 40\n"
                              "[station Beta]\n"
                              "generation = second\n"
                              "rf_channel = 4\n"
                              "erp_kw = 10\n"
                              "height_m = 200\n"
                              "distance_km = 40\n";

static int enter(void **state)
{
    (void)state;
    run_enter_folder();
    run_write_file("two.ini", profile, sizeof profile - 1);
    return 0;
}

static void json_has_the_names_of_the_contract_and_the_studys_figures(void **state)
{
    (void)state;
    json_t *array = run_json("place two.ini --format json");
    assert_int_equal(json_array_size(array), 2);
    json_t *station = json_array_get(array, 0), *value;
    const char *name;
    size_t i = 0;
    json_object_foreach(station, name, value)
    {
        assert_true(i < NAME_COUNT);
        assert_string_equal(name, names[i++]);
    }
    assert_int_equal(i, NAME_COUNT);
    assert_string_equal(json_string_value(json_object_get(station, "name")), "Alpha");
    assert_string_equal(json_string_value(json_object_get(station, "generation")), "first");
    struct scenario scenario = scenario_default();
    scenario.receiver.antenna_dbd = 6.0;
    struct station alpha = station_unset("Alpha");
    alpha.generation = GENERATION_FIRST;
    alpha.rf_channel = 24;
    alpha.erp_kw = 100.0;
    alpha.height_m = 200.0;
    alpha.distance_km = 40.0;
    struct place_station expected;
    assert_int_equal(place_station_make(&scenario, &alpha, &expected, NULL), STATUS_OK);
    const char *source = "place_station_make";
    assert_near(json_number_value(json_object_get(station, "center_mhz")), 533.0, 0, source);
    assert_near(json_number_value(json_object_get(station, "field_dbuvm")),
                expected.link.field_dbuvm, 1e-8, source);
    assert_near(json_number_value(json_object_get(station, "margin_db")),
                expected.verdict.margin_db, 1e-8, source);
    assert_near(json_number_value(json_object_get(station, "reach_km")), expected.reach_km, 1e-8,
                source);
    json_decref(array);
}

/* 30 channels apart Alpha and Beta do not hear each other; on one channel each is the other's
 * noise. */
static void json_lists_who_disturbs(void **state)
{
    (void)state;
    json_t *array = run_json("place two.ini --format json");
    json_t *apart = json_array_get(array, 0);
    assert_int_equal(json_array_size(json_object_get(apart, "interferers")), 0);
    assert_true(json_is_null(json_object_get(apart, "interference_dbm")));
    json_decref(array);
    array = run_json("place two.ini --format json --set station%20Beta.rf_channel=24");
    json_t *alpha = json_array_get(array, 0), *beta = json_array_get(array, 1);
    json_t *list = json_object_get(alpha, "interferers"), *one = json_array_get(list, 0);
    assert_int_equal(json_array_size(list), 1);
    assert_string_equal(json_string_value(json_object_get(one, "name")), "Beta");
    assert_int_equal(json_integer_value(json_object_get(one, "offset")), 0);
    assert_near(json_number_value(json_object_get(one, "dbm")),
                json_number_value(json_object_get(beta, "level_dbm")), 1e-8, "at its own power");
    assert_near(json_number_value(json_object_get(alpha, "interference_dbm")),
                json_number_value(json_object_get(beta, "level_dbm")), 1e-8, "nobody else");
    json_decref(array);
}

static void text_says_figures_differences_assumptions_and_cautions(void **state)
{
    (void)state;
    struct run run = run_line("place two.ini");
    assert_int_equal(run.status, 0);
    static const char *const needles[] = {"Alpha",
                                          "Beta",
                                          "Field outdoors",
                                          "Needed SNR",
                                          "Reach",
                                          "Margin, noise alone",
                                          "Margin, with echoes and motion",
                                          "What differs",
                                          "channel 3, 10",
                                          "low VHF",
                                          "foliage",
                                          "aircraft",
                                          "no terrain",
                                          "A planning aid",
                                          "power lines"};
    for (size_t i = 0; i < sizeof needles / sizeof needles[0]; i++) {
        assert_non_null(strstr(run.out, needles[i]));
    }
    assert_null(strstr(run.out, "nan"));
    run_free(&run);
}

/* The answer stands first, and that a measured SNR is not what is told here. */
static void who_comes_in_is_said_first(void **state)
{
    (void)state;
    for (int measured = 0; measured < 2; measured++) {
        struct run run =
            run_line(measured ? "place two.ini --set receiver.snr_db=21" : "place two.ini");
        char *table = strstr(run.out, "\nQuantity");
        assert_int_equal(run.status, 0);
        assert_non_null(table);
        *table = '\0';
        for (char *at = run.out; *at != '\0'; at++) {
            *at = *at == '\n' ? ' ' : *at; /* wherever its lines are wrapped */
        }
        assert_memory_equal(run.out, "Alpha (", 7);
        assert_non_null(strstr(run.out, " dB to spare. Beta ("));
        assert_non_null(strstr(run.out, "Levels are predicted"));
        assert_int_equal(strstr(run.out, "counts in report and echo") != NULL, measured);
        run_free(&run);
    }
}

static void csv_has_a_line_for_each_station_and_markdown_a_table(void **state)
{
    (void)state;
    struct run run = run_line("place two.ini --format csv");
    assert_int_equal(run.status, 0);
    int lines = 0;
    for (const char *c = run.out; *c != '\0'; c++) {
        lines += *c == '\n';
    }
    assert_int_equal(lines, 3);
    assert_memory_equal(run.out, "name,generation,center_mhz,method,", 34);
    run_free(&run);
    run = run_line("place two.ini --format markdown");
    assert_int_equal(run.status, 0);
    assert_non_null(strstr(run.out, "| Quantity | Alpha | Beta | Unit |"));
    run_free(&run);
}

static void a_profile_without_stations_is_refused(void **state)
{
    (void)state;
    struct run run = run_line("place");
    assert_int_equal(run.status, 2);
    assert_string_equal(run.out, "");
    assert_non_null(strstr(run.err, "[station NAME]"));
    run_free(&run);
}

static void doubling_the_power_adds_3_01_db_on_the_command_line_too(void **state)
{
    (void)state;
    double margins[2];
    static const char *const lines[] = {
        "place two.ini --format json",
        "place two.ini --format json --set station%20Alpha.erp_kw=200"};
    for (int i = 0; i < 2; i++) {
        json_t *array = run_json(lines[i]);
        margins[i] = json_number_value(json_object_get(json_array_get(array, 0), "margin_db"));
        json_decref(array);
    }
    assert_near(margins[1] - margins[0], 3.0103, 1e-4, "10 log10 2");
}

static void what_okumura_hata_does_not_know_is_said(void **state)
{
    (void)state;
    struct run run = run_line("place two.ini --set place.method=hata --format markdown");
    assert_int_equal(run.status, 0);
    assert_non_null(strstr(run.out, "Okumura-Hata does not hold"));
    run_free(&run);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(json_has_the_names_of_the_contract_and_the_studys_figures),
        cmocka_unit_test(json_lists_who_disturbs),
        cmocka_unit_test(text_says_figures_differences_assumptions_and_cautions),
        cmocka_unit_test(who_comes_in_is_said_first),
        cmocka_unit_test(csv_has_a_line_for_each_station_and_markdown_a_table),
        cmocka_unit_test(a_profile_without_stations_is_refused),
        cmocka_unit_test(doubling_the_power_adds_3_01_db_on_the_command_line_too),
        cmocka_unit_test(what_okumura_hata_does_not_know_is_said),
    };
    return cmocka_run_group_tests(tests, enter, run_tear_down);
}
