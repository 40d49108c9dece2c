#include "support/near.h"

#include <math.h>
#include <string.h>

#include "physics/air/motion.h"
#include "present/picture/pictures_place.h"
#include "support/scenarios.h"

static struct scenario stations(int count)
{
    struct scenario scenario = scenario_default();
    for (int i = 0; i < count; i++) {
        char name[16];
        text_format(name, sizeof name, "Tower %d", i + 1);
        struct station *station = &scenario.stations[i];
        *station = station_unset(name);
        station->generation = i % 2 ? GENERATION_SECOND : GENERATION_FIRST;
        station->rf_channel = 7 + 3 * i;
        station->erp_kw = 10.0 * (i + 1);
        station->height_m = 150.0;
        station->distance_km = 20.0 + 5.0 * i;
    }
    scenario.station_count = count;
    return scenario;
}

static bool make(const char *kind, const struct scenario *scenario, struct picture *out)
{
    static struct report report;
    assert_int_equal(report_make(scenario, &report, NULL), STATUS_OK);
    struct picture_case shown = {.scenario = scenario, .report = &report};
    return picture_kind_make(picture_kind_find(kind), &shown, out);
}

static void without_stations_there_is_nothing_to_draw(void **state)
{
    (void)state;
    struct scenario scenario = stations(0);
    struct picture picture;
    assert_false(make("field", &scenario, &picture));
    assert_false(make("reach", &scenario, &picture));
}

/* The line of margins passes 0 dB where the study says the margin is gone. */
static void the_margin_is_drawn_to_zero_at_the_reach(void **state)
{
    (void)state;
    struct scenario scenario = stations(1);
    struct place_study study;
    assert_int_equal(place_study_make(&scenario, &study, NULL), STATUS_OK);
    assert_int_equal(study.stations[0].reach, REACH_FOUND);
    struct picture picture;
    assert_true(make("reach", &scenario, &picture));
    const struct series *line = &picture.series[0];
    size_t k = 0;
    while (k + 1 < line->count && line->y[k + 1] > 0.0) {
        k++;
    }
    assert_between(study.stations[0].reach_km, line->x[k], line->x[k + 1], "between two points");
    picture_free(&picture);
}

static void every_station_is_drawn_and_named(void **state)
{
    (void)state;
    for (int count = 1; count <= STATIONS_MAX; count++) {
        struct scenario scenario = stations(count);
        struct picture picture;
        assert_true(make("field", &scenario, &picture));
        for (int i = 0; i < count; i++) {
            bool named = false;
            for (size_t k = 0; k < picture.series_count; k++) {
                named = named || strcmp(picture.series[k].label, scenario.stations[i].name) == 0;
            }
            assert_true(named);
        }
        picture_free(&picture);
    }
}

static void motion_shows_both_limits_and_every_reflector(void **state)
{
    (void)state;
    struct scenario scenario = stations(0);
    struct picture picture;
    assert_true(make("motion", &scenario, &picture));
    assert_int_equal(picture.mark_count, 2);
    assert_near(picture.marks[0].at, scenario.first.tracking_hz, 0, "first generation's limit");
    assert_int_equal(picture.series_count, 1 + reflector_count());
    const struct series *line = &picture.series[0];
    assert_near(line->y[line->count - 1], reflector_doppler_hz(1000.0, 195.0), 1e-9, "2 v f / c");
    picture_free(&picture);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_stations_there_is_nothing_to_draw),
        cmocka_unit_test(the_margin_is_drawn_to_zero_at_the_reach),
        cmocka_unit_test(every_station_is_drawn_and_named),
        cmocka_unit_test(motion_shows_both_limits_and_every_reflector),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
