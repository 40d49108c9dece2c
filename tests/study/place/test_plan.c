#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "study/place/place.h"
#include "study/place/plan.h"
#include "support/scenarios.h"

/* The map: which generation decodes where. */

static struct station tower(const char *name, enum generation generation, int channel,
                            double bearing_deg)
{
    struct station station = station_unset(name);
    station.generation = generation;
    station.rf_channel = channel;
    station.erp_kw = 50.0;
    station.height_m = 150.0;
    station.distance_km = 40.0;
    station.bearing_deg = bearing_deg;
    return station;
}

static struct plan plan_of(const struct scenario *scenario)
{
    struct plan plan;
    struct fault fault = {0};
    assert_int_equal(plan_make(scenario, &plan, &fault), STATUS_OK);
    return plan;
}

/* How far a place lies from a station. */
static double km_from(const struct plan *plan, int row, int column, int station)
{
    return hypot(plan->west_km + (column + 0.5) * plan->step_km - plan->stations[station].east_km,
                 plan->south_km + (row + 0.5) * plan->step_km - plan->stations[station].north_km);
}

static void without_a_station_there_is_no_map(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct plan plan;
    struct fault fault;
    assert_int_equal(plan_make(&scenario, &plan, &fault), STATUS_ILLEGAL);
}

static void a_lone_station_decodes_in_a_circle_as_wide_as_its_reach(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario.stations[0] = tower("One", GENERATION_SECOND, 24, 90.0);
    scenario.station_count = 1;
    struct place_station station;
    assert_int_equal(place_station_make(&scenario, &scenario.stations[0], &station, NULL),
                     STATUS_OK);
    struct plan plan = plan_of(&scenario);
    assert_near(plan.stations[0].east_km, 40.0, 1e-9, "a bearing of 90 degrees is east");
    assert_near(plan.stations[0].north_km, 0.0, 1e-9, "a bearing of 90 degrees is east");
    for (int row = 0; row < PLAN_ROWS; row++) {
        for (int column = 0; column < PLAN_COLUMNS; column++) {
            bool within = km_from(&plan, row, column, 0) <= station.reach_km;
            assert_int_equal(plan.decodes[GENERATION_SECOND][row][column], within);
            assert_false(plan.decodes[GENERATION_FIRST][row][column]);
        }
    }
    double circle_km2 = PI * station.reach_km * station.reach_km;
    assert_near(plan.area_km2[GENERATION_SECOND], circle_km2, 0.02 * circle_km2,
                "a circle, but for the edges of its squares");
}

/* Turning all bearings together turns the map: areas stay as they are. */
static void turning_everything_changes_no_area(void **state)
{
    (void)state;
    double areas[2][GENERATION_COUNT];
    for (int i = 0; i < 2; i++) {
        struct scenario scenario = scenario_default();
        scenario.stations[0] = tower("One", GENERATION_SECOND, 24, 20.0 + 37.0 * i);
        scenario.stations[1] = tower("Two", GENERATION_FIRST, 25, 170.0 + 37.0 * i);
        scenario.station_count = 2;
        struct plan plan = plan_of(&scenario);
        memcpy(areas[i], plan.area_km2, sizeof areas[i]);
    }
    for (int g = 0; g < GENERATION_COUNT; g++) {
        assert_near(areas[1][g], areas[0][g], 0.04 * areas[0][g],
                    "as exact as squares tell a shape that is turned");
    }
}

static void where_two_share_a_channel_neither_serves_the_middle(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario.stations[0] = tower("One", GENERATION_SECOND, 24, 270.0);
    scenario.stations[1] = tower("Two", GENERATION_FIRST, 24, 90.0);
    scenario.station_count = 2;
    struct plan apart = plan_of(&scenario);
    for (int row = 0; row < PLAN_ROWS; row++) {
        for (int column = 0; column < PLAN_COLUMNS; column++) {
            if (fabs(km_from(&apart, row, column, 0) - km_from(&apart, row, column, 1)) < 5.0) {
                assert_false(apart.decodes[GENERATION_FIRST][row][column]);
                assert_false(apart.decodes[GENERATION_SECOND][row][column]);
            }
        }
    }
    /* As a network they serve more than both alone. */
    scenario.stations[1].generation = GENERATION_SECOND;
    text_format(scenario.stations[0].network, NAME_MAX_BYTES, "Net");
    text_format(scenario.stations[1].network, NAME_MAX_BYTES, "Net");
    struct plan together = plan_of(&scenario);
    assert_true(together.area_km2[GENERATION_SECOND] >
                1.2 * (apart.area_km2[GENERATION_FIRST] + apart.area_km2[GENERATION_SECOND]));
}

static void bearings_that_are_not_said_are_assumed_by_distance(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario.stations[0] = tower("One", GENERATION_SECOND, 24, NAN);
    scenario.stations[1] = tower("Same tower", GENERATION_FIRST, 30, NAN);
    scenario.stations[2] = tower("Elsewhere", GENERATION_FIRST, 8, NAN);
    scenario.stations[2].distance_km = 20.0;
    scenario.stations[3] = tower("Same tower too", GENERATION_FIRST, 33, NAN);
    scenario.station_count = 4;
    struct plan plan = plan_of(&scenario);
    assert_true(plan.bearings_assumed);
    assert_near(plan.stations[0].east_km, -40.0, 1e-9, "the first one west");
    assert_near(plan.stations[1].east_km, -40.0, 1e-9, "the same distance, the same tower");
    assert_near(plan.stations[2].east_km, 20.0, 1e-9, "the next one east");
    assert_near(plan.stations[3].east_km, -40.0, 1e-9, "the same distance, the same tower");
}

/* Echoes that no SNR suffices for leave the first generation nowhere, and terrain is left out. */
static void who_decodes_nowhere_has_no_area(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario.stations[0] = tower("One", GENERATION_FIRST, 24, 90.0);
    scenario.station_count = 1;
    scenario.echoes[0] = (struct echo){.delay_us = 100.0, .level_db = 0.0};
    scenario.echo_count = 1;
    struct plan plan = plan_of(&scenario);
    assert_near(plan.area_km2[GENERATION_FIRST], 0.0, 0.0, "an echo of 0 dB beyond the equaliser");
    assert_false(plan.terrain_left_out);
    scenario.echo_count = 0;
    scenario.stations[0].terrain.count = 2;
    scenario.stations[0].terrain.km[1] = 60.0F;
    plan = plan_of(&scenario);
    assert_true(plan.terrain_left_out && plan.area_km2[GENERATION_FIRST] > 0.0);
}

/* Of a network behind a station that is none of it only the strongest is asked. */
static void a_network_is_served_whatever_stands_before_it(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario.stations[0] = tower("Other", GENERATION_FIRST, 8, 0.0);
    scenario.stations[1] = tower("One", GENERATION_SECOND, 24, 270.0);
    scenario.stations[2] = tower("Two", GENERATION_SECOND, 24, 90.0);
    scenario.station_count = 3;
    text_format(scenario.stations[1].network, NAME_MAX_BYTES, "Net");
    text_format(scenario.stations[2].network, NAME_MAX_BYTES, "Net");
    struct plan plan = plan_of(&scenario);
    assert_true(plan.area_km2[GENERATION_FIRST] > 0.0);
    assert_true(plan.area_km2[GENERATION_SECOND] > 0.0);
    struct fault fault = {0};
    scenario.transmission.plps[0].interleaver = HTI_1; /* more memory than there is */
    assert_int_equal(plan_make(&scenario, &plan, &fault), STATUS_ILLEGAL);
    assert_non_null(strstr(fault.wrong, "needs a memory"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_a_station_there_is_no_map),
        cmocka_unit_test(a_lone_station_decodes_in_a_circle_as_wide_as_its_reach),
        cmocka_unit_test(turning_everything_changes_no_area),
        cmocka_unit_test(where_two_share_a_channel_neither_serves_the_middle),
        cmocka_unit_test(who_decodes_nowhere_has_no_area),
        cmocka_unit_test(a_network_is_served_whatever_stands_before_it),
        cmocka_unit_test(bearings_that_are_not_said_are_assumed_by_distance),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
