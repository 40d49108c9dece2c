#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "support/run.h"

/* The names of the JSON form are a contract: these, in this order. */
static const char *const names[] = {"kind",      "fft",        "guard",    "pilots", "boost",
                                    "reduction", "spare_mbps", "services", NULL};
static const char *const service_names[] = {
    "name",         "layer",    "share",           "constellation", "rate", "length",
    "injection_db", "net_mbps", "receiver_snr_db", "margin_db",     NULL};

static const char profile[] = "[service phone]\nrate_mbps = 2\nsnr_db = 5\n"
                              "[service roof]\nsnr_db = 20\n";

static int enter(void **state)
{
    (void)state;
    run_enter_folder();
    run_write_file("two.ini", profile, sizeof profile - 1);
    return 0;
}

static void assert_names(json_t *object, const char *const *expected)
{
    const char *name;
    json_t *value;
    json_object_foreach(object, name, value)
    {
        assert_non_null(*expected);
        assert_string_equal(name, *expected++);
    }
    assert_null(*expected);
}

static void json_has_the_names_of_the_contract(void **state)
{
    (void)state;
    json_t *array = run_json("divide two.ini --format json");
    assert_int_equal(json_array_size(array), 4);
    double before = 1e9;
    for (size_t i = 0; i < 4; i++) {
        json_t *division = json_array_get(array, i);
        json_t *services = json_object_get(division, "services");
        assert_names(division, names);
        assert_int_equal(json_array_size(services), 2);
        assert_names(json_array_get(services, 0), service_names);
        assert_string_equal(json_string_value(json_object_get(json_array_get(services, 1), "name")),
                            "roof");
        double spare = json_number_value(json_object_get(division, "spare_mbps"));
        assert_true(spare <= before);
        before = spare;
    }
    json_decref(array);
}

/* One table tells what each way leaves, and what it gains over time. */
static void all_ways_stand_in_one_table(void **state)
{
    (void)state;
    struct run run = run_line("divide two.ini");
    assert_int_equal(run.status, 0);
    assert_int_equal(strncmp(run.out, "Division ", 9), 0);
    const char *time = strstr(run.out, "\ntime "), *layers = strstr(run.out, "\nlayers ");
    assert_non_null(time);
    assert_non_null(layers);
    char spare[2][16], over[2][16];
    assert_int_equal(sscanf(time, " time %*s %*s %*s %15s %15s", spare[0], over[0]), 2);
    assert_int_equal(sscanf(layers, " layers %*s %*s %*s %15s %15s", spare[1], over[1]), 2);
    assert_near(atof(over[0]), 0.0, 0.0, "over itself");
    assert_near(atof(over[1]), atof(spare[1]) - atof(spare[0]), 0.011, "rounded difference");
    run_free(&run);
}

static void services_are_asked_for(void **state)
{
    (void)state;
    struct run run = run_line("divide");
    assert_int_equal(run.status, 2);
    assert_string_equal(run.out, "");
    assert_string_equal(run.err, "guardspan: service: there is no service to divide the channel "
                                 "among ([service NAME] with snr_db)\n");
    run_free(&run);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(json_has_the_names_of_the_contract),
        cmocka_unit_test(all_ways_stand_in_one_table),
        cmocka_unit_test(services_are_asked_for),
    };
    return cmocka_run_group_tests(tests, enter, run_tear_down);
}
