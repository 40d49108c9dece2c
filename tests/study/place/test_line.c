#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/units.h"
#include "study/place/line.h"
#include "support/scenarios.h"

static struct scenario two_transmitters(void)
{
    struct scenario scenario = scenario_default();
    static const char *const names[] = {"West", "East"};
    for (int i = 0; i < 2; i++) {
        struct station *station = &scenario.stations[i];
        *station = station_unset(names[i]);
        station->rf_channel = 24;
        station->erp_kw = 10.0;
        station->height_m = 150.0;
        station->distance_km = 30.0;
        text_format(station->network, NAME_MAX_BYTES, "Plain");
    }
    scenario.station_count = 2;
    return scenario;
}

static void without_a_network_there_is_no_line(void **state)
{
    (void)state;
    struct scenario scenario = two_transmitters();
    scenario.stations[1].network[0] = '\0';
    struct network_line line;
    struct fault fault = {0};
    assert_int_equal(network_line_make(&scenario, 0.0, LINE_POINTS, &line, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.allowed, "two stations with the same network");
    struct text words = {0};
    assert_int_equal(network_line_words(&scenario, &words, &fault), STATUS_OK);
    assert_int_equal(words.length, 0);
}

/* 60 km apart: near either end the other is far below and far outside of what 8-VSB's equaliser
 * reaches; OFDM's guard interval of 148 us bears 44.4 km. */
static void margins_lie_between_two_transmitters(void **state)
{
    (void)state;
    struct scenario scenario = two_transmitters();
    struct network_line line;
    assert_int_equal(network_line_make(&scenario, 0.0, LINE_POINTS, &line, NULL), STATUS_OK);
    assert_near(line.length_km, 60.0, 1e-9, "on both sides of the place");
    assert_near(line.margin_db[0].x[0], 0.0, 0, "from the first");
    assert_near(line.margin_db[0].x[LINE_POINTS - 1], 60.0, 1e-9, "to the second");
    assert_near(line.guard_us, 1024 / 6.912, 1e-6, "GI5_1024, ATSC A/322 Table 8.9");
    for (int g = 0; g < GENERATION_COUNT; g++) {
        double worst_db = line.margin_db[g].y[line.worst[g]];
        for (int i = 0; i < LINE_POINTS; i++) {
            assert_true(line.margin_db[g].y[i] >= worst_db);
        }
        assert_between(line.margin_db[g].x[line.worst[g]], 5.0, 55.0, "not at a transmitter");
    }
    assert_true(line.margin_db[GENERATION_SECOND].y[line.worst[GENERATION_SECOND]] >
                line.margin_db[GENERATION_FIRST].y[line.worst[GENERATION_FIRST]]);
    /* 120 us later at East: in the middle its signal lies outside of the equaliser. */
    struct network_line later;
    assert_int_equal(network_line_make(&scenario, 120.0, LINE_POINTS, &later, NULL), STATUS_OK);
    int middle = LINE_POINTS / 2;
    assert_true(later.margin_db[GENERATION_FIRST].y[middle] <
                line.margin_db[GENERATION_FIRST].y[middle] - 10.0);
    struct text words = {0};
    assert_int_equal(network_line_words(&scenario, &words, NULL), STATUS_OK);
    assert_non_null(strstr(text_string(&words), "from West to East"));
    assert_non_null(strstr(text_string(&words), "44.4 km"));
    /* The worst points in words are those that the picture marks. */
    struct network_line drawn;
    assert_int_equal(network_line_make(&scenario, 0.0, LINE_POINTS_DRAWN, &drawn, NULL), STATUS_OK);
    for (int g = 0; g < GENERATION_COUNT; g++) {
        const struct curve *curve = &drawn.margin_db[g];
        char point[64];
        snprintf(point, sizeof point, " at %.1f km (%+.1f dB)", curve->x[drawn.worst[g]],
                 curve->y[drawn.worst[g]]);
        assert_non_null(strstr(text_string(&words), point));
    }
    text_free(&words);
}

static void bearings_lay_the_transmitters_out(void **state)
{
    (void)state;
    struct scenario scenario = two_transmitters();
    scenario.stations[0].bearing_deg = 300.0;
    scenario.stations[1].bearing_deg = 30.0;
    struct network_line line;
    assert_int_equal(network_line_make(&scenario, 0.0, LINE_POINTS, &line, NULL), STATUS_OK);
    assert_near(line.length_km, 30.0 * sqrt(2.0), 1e-9, "at right angles");
    /* At each end it is as good as it gets there: the station stands there. */
    assert_true(line.margin_db[GENERATION_SECOND].y[0] > 60.0);
    assert_true(line.margin_db[GENERATION_SECOND].y[LINE_POINTS - 1] > 60.0);
}

/* A third transmitter of the network is on the line's map where it is known where it stands, and a
 * station that is not of it disturbs. */
static void others_stand_where_they_are_known_to_stand(void **state)
{
    (void)state;
    struct scenario scenario = two_transmitters();
    struct network_line alone, line;
    assert_int_equal(network_line_make(&scenario, 0.0, LINE_POINTS, &alone, NULL), STATUS_OK);
    for (int i = 2; i < 4; i++) {
        scenario.stations[i] = scenario.stations[0];
        text_format(scenario.stations[i].name, NAME_MAX_BYTES, i == 2 ? "North" : "Other");
        scenario.stations[i].distance_km = 5.0;
    }
    scenario.station_count = 3; /* nobody says where the others stand: North is left out */
    assert_int_equal(network_line_make(&scenario, 0.0, LINE_POINTS, &line, NULL), STATUS_OK);
    assert_memory_equal(line.margin_db[0].y, alone.margin_db[0].y,
                        LINE_POINTS * sizeof line.margin_db[0].y[0]);
    scenario.station_count = 4; /* Other is of no network, on the same channel, as far as before */
    scenario.stations[3].network[0] = '\0';
    assert_int_equal(network_line_make(&scenario, 0.0, LINE_POINTS, &line, NULL), STATUS_OK);
    int middle = LINE_POINTS / 2;
    assert_true(line.margin_db[1].y[middle] < alone.margin_db[1].y[middle] - 10.0);
    scenario.station_count = 3;
    for (int i = 0; i < 3; i++) {
        scenario.stations[i].bearing_deg = 270.0 + 90.0 * (i == 2) + 180.0 * (i == 1);
    }
    assert_int_equal(network_line_make(&scenario, 0.0, LINE_POINTS, &line, NULL), STATUS_OK);
    assert_near(line.length_km, 60.0, 1e-9, "from west to east");
    assert_true(memcmp(line.margin_db[0].y, alone.margin_db[0].y,
                       LINE_POINTS * sizeof line.margin_db[0].y[0]) != 0); /* North is heard */
    scenario.stations[0].terrain.count = 2; /* and of the ground between its height is left */
    scenario.stations[0].terrain.km[1] = 60.0F;
    scenario.stations[0].terrain.m[0] = 100.0F;
    assert_int_equal(network_line_make(&scenario, 0.0, LINE_POINTS, &line, NULL), STATUS_OK);
}

static void a_mode_that_cannot_be_has_no_line(void **state)
{
    (void)state;
    struct scenario scenario = two_transmitters();
    struct network_line line;
    struct text words = {0};
    scenario.transmission.plps[0].interleaver = HTI_1; /* more memory than there is */
    assert_int_equal(network_line_make(&scenario, 0.0, LINE_POINTS, &line, NULL), STATUS_ILLEGAL);
    assert_int_equal(network_line_words(&scenario, &words, NULL), STATUS_ILLEGAL);
    assert_int_equal(words.length, 0);
}

/* A picture's line: no fall of some dB is left to a stretch that can be seen. */
static void a_drawn_line_has_its_points_where_it_falls(void **state)
{
    (void)state;
    struct scenario scenario = two_transmitters();
    struct network_line line;
    assert_int_equal(network_line_make(&scenario, 0.0, LINE_POINTS_DRAWN, &line, NULL), STATUS_OK);
    for (int g = 0; g < GENERATION_COUNT; g++) {
        const struct curve *curve = &line.margin_db[g];
        assert_true(curve->count > LINE_POINTS);
        for (size_t i = 1; i < curve->count; i++) {
            if (fabs(curve->y[i] - curve->y[i - 1]) > 6.0) {
                assert_between(curve->x[i] - curve->x[i - 1], 0.0, 0.6, "a hundredth of 60 km");
            }
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_a_network_there_is_no_line),
        cmocka_unit_test(margins_lie_between_two_transmitters),
        cmocka_unit_test(others_stand_where_they_are_known_to_stand),
        cmocka_unit_test(a_mode_that_cannot_be_has_no_line),
        cmocka_unit_test(a_drawn_line_has_its_points_where_it_falls),
        cmocka_unit_test(bearings_lay_the_transmitters_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
