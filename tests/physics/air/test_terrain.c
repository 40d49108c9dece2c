#include "support/near.h"

#include <math.h>

#include "base/units.h"
#include "physics/air/p1546.h"
#include "physics/air/terrain.h"

/* What the ground between a station and a place does. */

static const struct terrain flat = {.count = 2, .km = {0.0F, 40.0F}, .m = {100.0F, 100.0F}};
/* A slope of 10 m a km from the station down. */
static const struct terrain slope = {
    .count = 3, .km = {0.0F, 7.0F, 40.0F}, .m = {500.0F, 430.0F, 100.0F}};
/* One edge 2 km before a place at 30 km. */
static const struct terrain ridge = {.count = 5,
                                     .km = {0.0F, 27.5F, 28.0F, 28.5F, 40.0F},
                                     .m = {100.0F, 100.0F, 240.0F, 100.0F, 100.0F}};

static void heights_lie_on_straight_lines_between_the_points(void **state)
{
    (void)state;
    for (double km = 0.0; km <= 40.0; km += 0.7) {
        assert_near(terrain_height_m(&slope, km), 500.0 - 10.0 * km, 1e-9, "a straight slope");
    }
    assert_near(terrain_height_m(&slope, 55.0), 100.0, 0, "beyond the end as high as there");
    assert_near(terrain_mean_m(&slope, 3.0, 15.0), 500.0 - 10.0 * 9.0, 1e-9,
                "the mean of a line is its middle");
    assert_near(terrain_mean_m(&ridge, 27.0, 29.0), 100.0 + 140.0 * 0.5 / 2.0, 1e-9,
                "the area of a triangle");
}

static void the_effective_height_is_over_the_mean_ground_before_the_mast(void **state)
{
    (void)state;
    assert_near(terrain_effective_m(&flat, 150.0, 30.0), 150.0, 1e-9, "even ground");
    assert_near(terrain_effective_m(&slope, 50.0, 30.0), 50.0 + 90.0, 1e-9,
                "ITU-R P.1546 section 3: 3 to 15 km");
    assert_near(terrain_effective_m(&slope, 50.0, 15.0), terrain_effective_m(&slope, 50.0, 200.0),
                1e-9, "the same from 15 km on");
    assert_near(terrain_effective_m(&slope, 50.0, 10.0), 50.0 + 60.0, 1e-9,
                "ITU-R P.1546 section 3: 0.2 d to d");
}

static void the_clearance_angle_is_that_of_the_ridge_over_the_line_to_the_mast(void **state)
{
    (void)state;
    double ridge_deg = atan((240.0 - 110.0) / 2000.0) * 180.0 / PI;
    double mast_deg = atan((300.0 - 110.0) / 30000.0) * 180.0 / PI;
    assert_near(terrain_elevation_from_place_deg(&ridge, 10.0, 30.0), ridge_deg, 1e-5, "one edge");
    assert_near(terrain_clearance_deg(&ridge, 200.0, 10.0, 30.0), ridge_deg - mast_deg, 1e-5,
                "one edge, over the line");
    assert_near(terrain_clearance_deg(&flat, 200.0, 10.0, 30.0), 0.55, 0, "no less than 0.55");
    assert_true(isnan(terrain_clearance_deg(&ridge, 200.0, 10.0, 40.1))); /* not known so far */
    assert_near(terrain_clearance_db(NAN, 600.0), 0.0, 0, "no correction where it is not known");
}

static struct path behind(const struct terrain *terrain, double km)
{
    return (struct path){.center_mhz = 600.0,
                         .transmit_height_m = terrain_effective_m(terrain, 200.0, km),
                         .receive_height_m = 10.0,
                         .distance_km = km,
                         .time_percent = 50.0,
                         .terrain = terrain,
                         .mast_m = 200.0};
}

static void a_ridge_takes_from_the_field_and_even_ground_hardly_anything(void **state)
{
    (void)state;
    struct path over_flat = behind(&flat, 30.0), over_ridge = behind(&ridge, 30.0);
    struct path unknown = over_flat;
    unknown.terrain = NULL;
    double even = p1546_field_dbuvm(&over_flat, 1.0);
    assert_near(even, p1546_field_dbuvm(&unknown, 1.0), 0.06,
                "0.55 degrees are nearly what the curves were drawn for");
    double deg = terrain_clearance_deg(&ridge, 200.0, 10.0, 30.0);
    assert_near(p1546_field_dbuvm(&over_ridge, 1.0) - even,
                terrain_clearance_db(deg, 600.0) - terrain_clearance_db(0.55, 600.0), 0.01,
                "the difference of the corrections; the ridge lies beyond 15 km");
    for (double km = 50.0; km < 900.0; km *= 1.5) { /* where scatter would rule, too */
        struct path beyond = behind(&ridge, km), far = beyond;
        far.terrain = NULL;
        assert_near(p1546_field_dbuvm(&beyond, 1.0), p1546_field_dbuvm(&far, 1.0), 1e-5,
                    "nothing is known beyond the end but the height");
    }
}

/* Whatever the ground: the field exceeds no free space, and falls no lower than the scatter. */
static void no_ground_lifts_the_field_over_free_space(void **state)
{
    (void)state;
    const struct terrain *const grounds[] = {&flat, &slope, &ridge};
    for (size_t i = 0; i < 3; i++) {
        for (double km = 0.05; km < 60.0; km *= 1.2) {
            struct path path = behind(grounds[i], km);
            double rise_m =
                terrain_height_m(grounds[i], 0.0) + 200.0 - terrain_height_m(grounds[i], km) - 10.0;
            assert_true(p1546_field_dbuvm(&path, 1.0) <=
                        106.9 - 20.0 * log10(hypot(km, 1e-3 * rise_m)) + 1e-9);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(heights_lie_on_straight_lines_between_the_points),
        cmocka_unit_test(the_effective_height_is_over_the_mean_ground_before_the_mast),
        cmocka_unit_test(the_clearance_angle_is_that_of_the_ridge_over_the_line_to_the_mast),
        cmocka_unit_test(a_ridge_takes_from_the_field_and_even_ground_hardly_anything),
        cmocka_unit_test(no_ground_lifts_the_field_over_free_space),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
