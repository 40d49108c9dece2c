#include "support/longway.h"
#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "study/place/place.h"
#include "support/scenarios.h"

/* The reach, against a walk along the distance in small steps. */

#define STEP 1.004

static struct station tower(double height_m, double erp_kw)
{
    struct station station = station_unset("Tower");
    station.rf_channel = 30;
    station.erp_kw = erp_kw;
    station.height_m = height_m;
    station.distance_km = 20.0;
    return station;
}

/* The farthest step that decodes; 0: none. How often it changes between decoding and not. */
static double walk(const struct scenario *scenario, const struct place_station *station,
                   int *changes)
{
    double farthest = 0.0;
    bool before = false;
    *changes = 0;
    for (double km = DISTANCE_MIN_KM; km <= DISTANCE_MAX_KM; km *= STEP) {
        bool decodes = place_snr_at_db(scenario, station, km) >= station->needed_snr_db;
        farthest = decodes ? km : farthest;
        *changes += decodes != before;
        before = decodes;
    }
    return farthest;
}

/* The power in kW at which the margin would be so much at a distance. */
static double power_for(const struct scenario *scenario, struct station sender, double km,
                        double margin_db)
{
    struct place_station station;
    sender.erp_kw = 1.0;
    assert_int_equal(place_station_make(scenario, &sender, &station, NULL), STATUS_OK);
    double db = margin_db - margin_at_db(scenario, &station, km);
    return pow(10.0, 0.1 * db);
}

/* Powers around the one that just suffices at a distance; at how many of them it decodes, fails and
 * decodes again on the way out. */
static int assert_reaches(const struct scenario *scenario, double height_m, double km)
{
    int uneven = 0;
    for (int i = -8; i <= 8; i++) {
        struct station sender = tower(height_m, 1.0);
        struct place_station station;
        int changes;
        sender.erp_kw = power_for(scenario, sender, km, 0.15 * i);
        assert_int_equal(place_station_make(scenario, &sender, &station, NULL), STATUS_OK);
        double farthest = walk(scenario, &station, &changes);
        assert_int_equal(station.reach, REACH_FOUND);
        assert_between(station.reach_km, farthest / STEP, farthest * STEP,
                       "a walk in steps of 0.4 %");
        assert_near(margin_at_db(scenario, &station, station.reach_km), 0.0, 1e-5,
                    "the margin is gone at the reach");
        uneven += changes > 2;
        assert_true(changes > 2 || !station.reach_has_gaps);
    }
    return uneven;
}

/* Close to a tower of 3000 m the houses around a low antenna hide less and less of it, so that the
 * field falls, rises and falls again: by the Recommendation's own rule of R'. */
static void the_field_near_a_tall_tower_rises_with_the_distance(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario.place.receive_height_m = 1.5;
    scenario.place.surroundings = SURROUNDINGS_DENSE;
    static const enum field_method methods[] = {METHOD_P1546, METHOD_FCC};
    for (size_t m = 0; m < 2; m++) {
        scenario.place.method = methods[m];
        struct station sender = tower(3000.0, 1.0);
        struct place_station station;
        assert_int_equal(place_station_make(&scenario, &sender, &station, NULL), STATUS_OK);
        double rise_db = 0.0, lowest = INFINITY;
        for (double km = 0.5; km < 3.0; km *= 1.02) {
            double field = place_field_at_dbuvm(&scenario, &station, km);
            lowest = fmin(lowest, field);
            rise_db = fmax(rise_db, field - lowest);
        }
        assert_true(rise_db > 0.8);
    }
}

static void the_farthest_distance_is_found_where_the_field_rises_near_in(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario.place.receive_height_m = 1.5;
    scenario.place.surroundings = SURROUNDINGS_DENSE;
    static const enum field_method methods[] = {METHOD_P1546, METHOD_FCC};
    for (size_t m = 0; m < 2; m++) {
        scenario.place.method = methods[m];
        assert_true(assert_reaches(&scenario, 3000.0, 1.55) > 0);
    }
}

static void every_method_finds_its_reach(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    static const enum field_method methods[] = {METHOD_P1546, METHOD_FCC, METHOD_SMOOTH_EARTH};
    for (size_t m = 0; m < 3; m++) {
        scenario.place.method = methods[m];
        assert_int_equal(assert_reaches(&scenario, 150.0, 30.0), 0);
    }
}

/* Behind a ridge nothing decodes, beyond it all does again. */
static void behind_a_ridge_there_is_a_gap_within_the_reach(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct station sender = tower(60.0, 1.0);
    sender.distance_km = 10.0;
    sender.terrain.count = 5;
    static const float km[] = {0.0F, 9.0F, 9.5F, 10.0F, 60.0F};
    static const float m[] = {200.0F, 200.0F, 700.0F, 50.0F, 50.0F};
    memcpy(sender.terrain.km, km, sizeof km);
    memcpy(sender.terrain.m, m, sizeof m);
    sender.erp_kw = power_for(&scenario, sender, 40.0, 1.0);
    struct place_station station;
    int changes;
    assert_int_equal(place_station_make(&scenario, &sender, &station, NULL), STATUS_OK);
    double farthest = walk(&scenario, &station, &changes);
    assert_true(changes > 2);
    assert_true(station.reach_has_gaps);
    assert_between(station.reach_km, farthest / STEP, farthest * STEP, "a walk in steps of 0.4 %");
    struct text words = {0};
    place_words_station(&station, &words);
    assert_non_null(strstr(text_string(&words), "with gaps nearer by"));
    text_free(&words);
    scenario.place.method = METHOD_FREE_SPACE; /* which takes nothing of the ridge */
    assert_int_equal(place_station_make(&scenario, &sender, &station, NULL), STATUS_OK);
    assert_true(isfinite(station.link.effective_height_m) && isnan(station.link.clearance_deg));
    assert_false(station.reach_has_gaps);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_field_near_a_tall_tower_rises_with_the_distance),
        cmocka_unit_test(the_farthest_distance_is_found_where_the_field_rises_near_in),
        cmocka_unit_test(every_method_finds_its_reach),
        cmocka_unit_test(behind_a_ridge_there_is_a_gap_within_the_reach),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
