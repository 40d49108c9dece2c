#include "support/near.h"

#include <math.h>
#include <string.h>

#include "scenario/scenario.h"
#include "support/scenarios.h"

/* What profile keys cannot let through but a program can put into a scenario. */

static void the_defaults_are_sound(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
    assert_int_equal(scenario.transmission.subframes[0].waveform.bandwidth_mhz,
                     scenario.site.bandwidth_mhz);
    assert_true(isnan(scenario.receiver.snr_db));
    assert_true(isnan(scenario.receiver.level_dbm));
    assert_int_equal(scenario.echo_count, 0);
}

static void assert_refused(const struct scenario *scenario, const char *place)
{
    struct fault fault = {0};
    assert_true(scenario_check(scenario, &fault) != STATUS_OK);
    assert_string_equal(fault.place, place);
    assert_true(fault.wrong[0] != '\0');
}

static void what_does_not_hang_together_is_refused(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario.site.bandwidth_mhz = 8; /* without the mode's */
    assert_refused(&scenario, "site.bandwidth_mhz");
    scenario = scenario_default();
    scenario.site.rf_channel = 99;
    assert_refused(&scenario, "site.rf_channel");
    scenario = scenario_default();
    scenario_set_center(&scenario, NAN);
    assert_refused(&scenario, "site.center_mhz");
    scenario = scenario_default();
    scenario.receiver.noise_figure_db = NAN;
    assert_refused(&scenario, "receiver.noise_figure_db");
    scenario = scenario_default();
    scenario.first.threshold_db = INFINITY;
    assert_refused(&scenario, "first.threshold_db");
    scenario = scenario_default();
    scenario.place.location_percent = 100.0;
    assert_refused(&scenario, "place.location_percent");
}

/* The first one's fault is told, though the second is sound. */
static void the_first_subframe_that_is_illegal_is_told(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    assert_int_equal(scenario_set(&scenario, "subframe a.fft", "8K", NULL), STATUS_OK);
    assert_int_equal(scenario_set(&scenario, "subframe b.fft", "16K", NULL), STATUS_OK);
    assert_int_equal(scenario_set(&scenario, "plp p.subframe", "b", NULL), STATUS_OK);
    scenario.transmission.subframes[0].waveform.guard = GI11_4096;
    scenario.transmission.subframes[1].waveform.guard = GI1_192;
    assert_refused(&scenario, "subframe a.guard");
}

static void a_station_and_an_echo_say_what_they_lack(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario.station_count = 1;
    scenario.stations[0] = station_unset("Pier");
    assert_refused(&scenario, "station Pier.rf_channel");
    scenario.stations[0].rf_channel = 99;
    assert_refused(&scenario, "station Pier.rf_channel");
    scenario.stations[0].rf_channel = 14;
    assert_refused(&scenario, "station Pier.erp_kw");
    scenario.stations[0].erp_kw = 1.0;
    assert_refused(&scenario, "station Pier.height_m");
    scenario.stations[0].height_m = 30.0;
    assert_refused(&scenario, "station Pier.distance_km");
    scenario.stations[0].distance_km = 3.0;
    assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
    scenario.echo_count = 1;
    strcpy(scenario.echo_names[0], "hill");
    scenario.echoes[0] = echo_unset();
    assert_refused(&scenario, "echo hill.delay_us");
    scenario.echoes[0].delay_us = 3.0;
    assert_refused(&scenario, "echo hill.level_db");
    scenario.echoes[0].level_db = -3.0;
    assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
}

static void names_outside_their_lists_are_marked(void **state)
{
    (void)state;
    assert_string_equal(generation_name(GENERATION_COUNT), "?");
    assert_string_equal(building_name(BUILDING_COUNT), "?");
    assert_string_equal(field_method_name(METHOD_COUNT), "?");
    assert_string_equal(man_made_noise_name(MAN_MADE_COUNT), "?");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_defaults_are_sound),
        cmocka_unit_test(what_does_not_hang_together_is_refused),
        cmocka_unit_test(the_first_subframe_that_is_illegal_is_told),
        cmocka_unit_test(a_station_and_an_echo_say_what_they_lack),
        cmocka_unit_test(names_outside_their_lists_are_marked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
