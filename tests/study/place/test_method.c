/* Which method predicts a field, where each has an answer, and who is of one network. */
#include "support/near.h"

#include <math.h>
#include <string.h>

#include "physics/air/fcc.h"
#include "study/place/method.h"
#include "study/place/network.h"
#include "study/place/place.h"
#include "support/scenarios.h"

static struct path path_to(double distance_km, double time_percent)
{
    return (struct path){.center_mhz = 533.0,
                         .transmit_height_m = 150.0,
                         .receive_height_m = 10.0,
                         .distance_km = distance_km,
                         .time_percent = time_percent,
                         .mast_m = 150.0};
}

/* P.1546 knows no more than half of the time, the regulator's curves no distance beyond their end.
 */
static void auto_takes_the_method_that_knows_the_time_and_the_distance(void **state)
{
    (void)state;
    double end_km = fcc_farthest_km(90.0);
    static const struct {
        double over_end, time_percent;
        enum field_method method;
        const char *note;
    } rows[] = {{0.5, 50.0, METHOD_P1546, "knows surroundings and time"},
                {0.5, 90.0, METHOD_FCC, "P.1546 knows no more than 50 % of the time"},
                {1.5, 90.0, METHOD_P1546, "no method here knows 90 % of it beyond"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct path path = path_to(rows[i].over_end * end_km, rows[i].time_percent);
        struct method_choice choice = method_choose(METHOD_AUTO, &path);
        assert_int_equal(choice.method, rows[i].method);
        assert_non_null(strstr(choice.note, rows[i].note));
        assert_true(isfinite(method_field_dbuvm(choice.method, &path, 10.0)));
    }
    struct path beyond = path_to(1.5 * end_km, 90.0);
    struct method_choice choice = method_choose(METHOD_FCC, &beyond);
    assert_int_equal(choice.method, METHOD_P1546);
    assert_non_null(strstr(choice.note, "The curves of 47 CFR 73.699 end at"));
    assert_true(isnan(method_field_dbuvm(METHOD_FCC, &beyond, 10.0)));
}

static void where_hata_does_not_hold_it_has_no_field(void **state)
{
    (void)state;
    struct path path = path_to(20.0, 50.0);
    assert_true(isfinite(method_field_dbuvm(METHOD_HATA, &path, 10.0)));
    path.transmit_height_m = 5.0;
    assert_true(isnan(method_field_dbuvm(METHOD_HATA, &path, 10.0)));
    path = path_to(0.5 * HATA_MIN_KM, 50.0);
    assert_true(isnan(method_field_dbuvm(METHOD_HATA, &path, 10.0)));
}

static void a_network_is_of_one_name_channel_and_generation(void **state)
{
    (void)state;
    struct station one = station_unset("One"), other = station_unset("Other");
    text_format(one.network, NAME_MAX_BYTES, "Net");
    other = one;
    assert_false(network_joins(&one, &other)); /* itself */
    text_format(other.name, NAME_MAX_BYTES, "Other");
    assert_true(network_joins(&one, &other));
    other.generation = one.generation == GENERATION_FIRST ? GENERATION_SECOND : GENERATION_FIRST;
    assert_false(network_joins(&one, &other));
    other.generation = one.generation;
    other.rf_channel = one.rf_channel + 1;
    assert_false(network_joins(&one, &other));
}

static struct scenario two_stations(void)
{
    struct scenario scenario = scenario_default();
    for (int i = 0; i < 2; i++) {
        scenario.stations[i] = station_unset(i ? "Two" : "One");
        scenario.stations[i].rf_channel = 24;
        scenario.stations[i].erp_kw = 10.0;
        scenario.stations[i].height_m = 150.0;
        scenario.stations[i].distance_km = 30.0;
        text_format(scenario.stations[i].network, NAME_MAX_BYTES, "Net");
    }
    scenario.station_count = 2;
    return scenario;
}

/* As many rays as there can be: all echoes, and the rest of a network of as many stations as a
 * profile has. */
static void a_channel_holds_all_echoes_and_stations(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    for (int i = 0; i < ECHOES_MAX; i++) {
        scenario.echoes[i] = (struct echo){.delay_us = 0.1 * (i + 1), .level_db = -40.0};
        text_format(scenario.echo_names[i], NAME_MAX_BYTES, "echo %d", i);
    }
    scenario.echo_count = ECHOES_MAX;
    for (int i = 2; i < STATIONS_MAX; i++) {
        scenario.stations[i] = scenario.stations[1];
        text_format(scenario.stations[i].name, NAME_MAX_BYTES, "Station %d", i);
    }
    scenario.station_count = STATIONS_MAX;
    struct conditions conditions;
    assert_int_equal(conditions_make(&scenario, GENERATION_SECOND, &conditions, NULL), STATUS_OK);
    assert_int_equal(conditions.channel.count, CHANNEL_RAYS_MAX);
}

static const char *text_of(const char *figure, const struct place_station *station)
{
    static char text[48];
    figure_text(figure_find(&place_figures, figure), station, text, sizeof text);
    return text;
}

/* What networks, terrain and reaches have for figures. */
static void figures_are_unknown_where_nothing_has_them(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    struct place_study study;
    assert_int_equal(place_study_make(&scenario, &study, NULL), STATUS_OK);
    assert_near(figure_number(figure_find(&place_figures, "network_db"), &study.stations[0]),
                10.0 * log10(2.0), 1e-9, "two alike are twice the power");
    scenario.station_count = 1;
    assert_int_equal(place_study_make(&scenario, &study, NULL), STATUS_OK);
    assert_string_equal(text_of("network_db", &study.stations[0]), "-");
    study.stations[0].reach = REACH_NOWHERE;
    study.stations[0].reach_end_km = 0.1;
    assert_string_equal(text_of("reach_km", &study.stations[0]), "below 0.1");
    study.stations[0].needed_snr_db = INFINITY;
    assert_string_equal(text_of("reach_km", &study.stations[0]), "none");
    int of_terrain = 0;
    for (size_t i = 0; i < place_figures.count; i++) {
        of_terrain += place_figure_is_of_terrain(&place_figures.rows[i]);
    }
    assert_int_equal(of_terrain, 3); /* height over the ground, clearance angle, what it adds */
    struct place_station bands[BAND_COUNT];
    struct scenario dvb = scenario_default_of(PAIR_DVB);
    struct station station = scenario.stations[0];
    station.plan = PLAN_REGION_1;
    assert_int_equal(place_bands_make(&dvb, &station, bands, NULL), STATUS_OK);
    assert_string_equal(text_of("works", &bands[BAND_LOW_VHF]), "-"); /* no channel lies there */
    assert_string_equal(text_of("works", &bands[BAND_UHF]), "yes");
}

/* A mode that cannot be has no place, no band and no map. */
static void a_mode_that_cannot_be_is_refused_everywhere(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    struct place_station bands[BAND_COUNT];
    struct place_study study;
    struct fault fault = {0};
    scenario.transmission.plps[0].interleaver = HTI_1; /* more memory than there is */
    assert_int_equal(place_study_make(&scenario, &study, &fault), STATUS_ILLEGAL);
    assert_non_null(strstr(fault.wrong, "needs a memory"));
    scenario.stations[0].generation = GENERATION_SECOND;
    assert_int_equal(place_bands_make(&scenario, &scenario.stations[0], bands, &fault),
                     STATUS_ILLEGAL);
}

/* An antenna whose height over the ground between is known to Hata only where it is high enough. */
static void beyond_what_a_method_knows_margins_are_unknown(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    struct place_study study;
    const double distances_km[] = {30.0, 2.0 * HATA_MAX_KM};
    double margins_db[2];
    scenario.station_count = 1;
    scenario.place.method = METHOD_HATA;
    scenario.echoes[0] = (struct echo){.delay_us = 5.0, .level_db = -10.0};
    scenario.echo_count = 1;
    assert_int_equal(place_study_make(&scenario, &study, NULL), STATUS_OK);
    assert_int_equal(
        place_margins_at_db(&scenario, &study.stations[0], distances_km, 2, margins_db), STATUS_OK);
    assert_near(margins_db[0], study.stations[0].verdict.margin_db, 0.01, "the study's own place");
    assert_true(isnan(margins_db[1]));
}

/* Where wrong decisions begin to teach the taps the margin jumps: the curve is parted there as far
 * as it may be, and all around it stays close. */
static void a_margin_that_falls_steeply_is_followed(void **state)
{
    (void)state;
    enum { DISTANCES = 40 };
    struct scenario scenario = two_stations();
    struct place_study study;
    double distances_km[DISTANCES], margins_db[DISTANCES];
    scenario.station_count = 1;
    scenario.stations[0].generation = GENERATION_FIRST;
    scenario.stations[0].network[0] = '\0';
    scenario_say(&scenario, "first.feedback", "slicer");
    scenario.echoes[0] = (struct echo){.delay_us = -20.0, .level_db = -12.0};
    scenario.echo_count = 1;
    assert_int_equal(place_study_make(&scenario, &study, NULL), STATUS_OK);
    for (int i = 0; i < DISTANCES; i++) {
        distances_km[i] = 0.05 * pow(10000.0, (double)i / (DISTANCES - 1));
    }
    assert_int_equal(
        place_margins_at_db(&scenario, &study.stations[0], distances_km, DISTANCES, margins_db),
        STATUS_OK);
    int apart = 0;
    for (int i = 0; i < DISTANCES; i++) {
        struct verdict there = study.stations[0].verdict;
        there.conditions.snr_db = place_snr_at_db(&scenario, &study.stations[0], distances_km[i]);
        assert_int_equal(verdict_solve(&there, NULL), STATUS_OK);
        apart += fabs(margins_db[i] - there.margin_db) > 0.02;
    }
    assert_in_range(apart, 0, 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(auto_takes_the_method_that_knows_the_time_and_the_distance),
        cmocka_unit_test(where_hata_does_not_hold_it_has_no_field),
        cmocka_unit_test(a_network_is_of_one_name_channel_and_generation),
        cmocka_unit_test(a_channel_holds_all_echoes_and_stations),
        cmocka_unit_test(figures_are_unknown_where_nothing_has_them),
        cmocka_unit_test(a_mode_that_cannot_be_is_refused_everywhere),
        cmocka_unit_test(a_margin_that_falls_steeply_is_followed),
        cmocka_unit_test(beyond_what_a_method_knows_margins_are_unknown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
