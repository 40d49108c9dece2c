#include "support/near.h"

#include <math.h>
#include <string.h>

#include "present/pictures.h"

/* What the pictures of a scenario hold, before anything draws them. */

static struct scenario sample_scenario(void)
{
    struct scenario scenario = scenario_default();
    scenario.receiver.snr_db = 22.0;
    scenario.echo_count = 2;
    scenario.echoes[0] = (struct echo){7.5, -9.0, 30.0, 0.0};
    scenario.echoes[1] = (struct echo){60.0, -16.0, 100.0, 0.0};
    scenario.station_count = 1;
    scenario.stations[0] = (struct station){.name = "Tower",
                                            .generation = GENERATION_SECOND,
                                            .rf_channel = 10,
                                            .erp_kw = 20.0,
                                            .height_m = 150.0,
                                            .distance_km = 30.0};
    return scenario;
}

static void every_kind_has_a_title_axes_and_values(void **state)
{
    (void)state;
    struct scenario scenario = sample_scenario();
    struct report report;
    assert_int_equal(report_make(&scenario, &report, NULL), STATUS_OK);
    const struct picture_case shown = {.scenario = &scenario, .report = &report};
    for (size_t i = 0; i < picture_kind_count(); i++) {
        const struct picture_kind *kind = picture_kind_row(i);
        assert_ptr_equal(picture_kind_find(kind->name), kind);
        assert_true(strlen(kind->title) > 3 && strlen(kind->help) > 8);
        struct picture picture;
        assert_true(picture_kind_make(kind, &shown, &picture));
        assert_true(picture.title[0] && picture.note[0]);
        assert_true(picture.x.label[0] && picture.y.label[0]);
        assert_true(picture.x.low < picture.x.high && picture.y.low < picture.y.high);
        size_t inside = 0;
        for (size_t s = 0; s < picture.series_count; s++) {
            for (size_t k = 0; k < picture.series[s].count; k++) {
                double x = picture_axis_place(&picture.x, picture.series[s].x[k]);
                double y = picture_axis_place(&picture.y, picture.series[s].y[k]);
                inside += x >= 0.0 && x <= 1.0 && y >= 0.0 && y <= 1.0;
            }
        }
        assert_true(inside > 0);
        picture_free(&picture);
    }
    assert_null(picture_kind_find("cubes"));
}

static const struct series *find_series(const struct picture *picture, const char *label)
{
    for (size_t i = 0; i < picture->series_count; i++) {
        if (strstr(picture->series[i].label, label)) {
            return &picture->series[i];
        }
    }
    return NULL;
}

static void delays_show_the_echoes_where_they_are(void **state)
{
    (void)state;
    struct scenario scenario = sample_scenario();
    struct report report;
    struct picture picture;
    assert_int_equal(report_make(&scenario, &report, NULL), STATUS_OK);
    const struct picture_case shown = {.scenario = &scenario, .report = &report};
    assert_true(picture_kind_make(picture_kind_find("delays"), &shown, &picture));
    const struct series *echoes = find_series(&picture, "echo");
    assert_non_null(echoes);
    assert_int_equal(echoes->count, 2);
    for (int i = 0; i < 2; i++) {
        assert_near(echoes->x[i], scenario.echoes[i].delay_us, 0.0, "the scenario");
        assert_near(echoes->y[i], scenario.echoes[i].level_db, 0.0, "the scenario");
    }
    picture_free(&picture);
}

static void the_frontier_rises_and_no_mode_stands_above_it(void **state)
{
    (void)state;
    struct scenario scenario = sample_scenario();
    struct report report;
    struct picture picture;
    assert_int_equal(report_make(&scenario, &report, NULL), STATUS_OK);
    const struct picture_case shown = {.scenario = &scenario, .report = &report};
    assert_true(picture_kind_make(picture_kind_find("best"), &shown, &picture));
    const struct series *best = find_series(&picture, "any mode");
    const struct series *bearing = find_series(&picture, "echoes up to 148.1 us");
    assert_true(best != NULL && bearing != NULL);
    double at_mode = NAN;
    for (size_t i = 0; i < best->count; i++) {
        assert_true(i == 0 || isnan(best->y[i - 1]) || best->y[i] >= best->y[i - 1]);
        assert_true(isnan(bearing->y[i]) || bearing->y[i] <= best->y[i]);
        if (isnan(at_mode) && best->x[i] >= report.second.receiver_snr_db) {
            at_mode = bearing->y[i];
        }
    }
    assert_true(at_mode >= report.second.net_mbps - 1e-9);
    /* The largest mode at 6 MHz carries about 57 Mbit/s (its PLP; published capacity). */
    assert_between(best->y[best->count - 1], 55.0, 59.0, "published capacity, 40 dB is enough");
    picture_free(&picture);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_has_a_title_axes_and_values),
        cmocka_unit_test(delays_show_the_echoes_where_they_are),
        cmocka_unit_test(the_frontier_rises_and_no_mode_stands_above_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
