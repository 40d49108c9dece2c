#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "present/picture/rate.h"

static const struct series *series_named(const struct picture *picture, const char *label)
{
    for (size_t i = 0; i < picture->series_count; i++) {
        if (strcmp(picture->series[i].label, label) == 0) {
            return &picture->series[i];
        }
    }
    return NULL;
}

/* At every point of a line: some mode that needs no more SNR carries this, none carries more. */
static void assert_most(const struct weigh_space *space, const struct weigh_wish *wish,
                        const struct series *line)
{
    assert_non_null(line);
    for (size_t i = 0; i < line->count; i += 13) {
        double most = NAN;
        for (size_t m = 0; m < space->count; m++) {
            if (space->modes[m].snr_db <= line->x[i] + 1e-9 && weigh_keeps(space, wish, m) &&
                !(space->modes[m].net_mbps <= most)) {
                most = space->modes[m].net_mbps;
            }
        }
        assert_true(isnan(most) == isnan(line->y[i]));
        if (!isnan(most)) {
            assert_near(line->y[i], most, 1e-12, "brute force");
        }
    }
}

static void lines_are_the_most_at_each_snr(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct weigh_space space;
    assert_int_equal(weigh_space_make(&scenario, SNR_RECEIVER, &space, NULL), STATUS_OK);
    struct weigh_wish none = weigh_wish_none(), wish = none;
    wish.limits[LIMIT_ECHO] = 200.0;
    wish.limits[LIMIT_SPEED] = 90.0;
    wish.limits[LIMIT_SNR] = 25.0;
    struct weigh_list list;
    struct report report;
    assert_int_equal(weigh_pick(&space, &wish, &list, NULL), STATUS_OK);
    assert_int_equal(report_make(&scenario, &report, NULL), STATUS_OK);
    struct picture_rate shown = {.space = &space,
                                 .wish = &wish,
                                 .list = &list,
                                 .current = &report,
                                 .selected = (long)list.rows[0].mode,
                                 .snr_low_db = NAN,
                                 .snr_high_db = NAN};
    struct picture picture;
    for (int zoom = 0; zoom < 2; zoom++) {
        assert_true(picture_rate_make(&shown, &picture));
        assert_most(&space, &none, series_named(&picture, "all modes"));
        assert_most(&space, &wish, series_named(&picture, "within the limits"));
        assert_int_equal(series_named(&picture, "listed")->count, list.count);
        assert_near(series_named(&picture, "now")->y[0],
                    report_facts(&report, GENERATION_SECOND)->net_mbps, 0.0, "report");
        assert_near(series_named(&picture, "selected")->x[0], space.modes[list.rows[0].mode].snr_db,
                    0.0, "the list");
        assert_int_equal(picture.mark_count, 1);
        if (zoom == 1) {
            assert_near(picture.x.low, 12.0, 0.0, "zoomed");
            assert_near(picture.x.high, 18.0, 0.0, "zoomed");
            assert_true(picture.y.high < 40.0); /* rates follow the part shown */
        }
        picture_free(&picture);
        shown.snr_low_db = 12.0;
        shown.snr_high_db = 18.0;
    }
    weigh_list_free(&list);
    weigh_space_free(&space);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines_are_the_most_at_each_snr),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
