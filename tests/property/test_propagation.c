/* What must hold for every path: fields fall with distance, methods join without a jump. */
#include "support/near.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

#include "base/random.h"
#include "physics/air/building.h"
#include "physics/air/motion.h"
#include "physics/air/propagation.h"

static const double frequencies_mhz[] = {30, 57, 85, 195, 330, 473, 605, 1000};
static const double transmit_m[] = {1, 3, 10, 30, 100, 300, 1000, 3000};
static const double receive_m[] = {1, 1.5, 4, 10, 50, 500};
#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

static void each_ladder(void (*visit)(struct path path))
{
    for (size_t f = 0; f < COUNT(frequencies_mhz); f++) {
        for (size_t t = 0; t < COUNT(transmit_m); t++) {
            for (size_t r = 0; r < COUNT(receive_m); r++) {
                visit((struct path){frequencies_mhz[f], transmit_m[t], receive_m[r], 0.01});
            }
        }
    }
}

static double open_field(const struct path *path, enum propagation *ruling)
{
    return free_space_field_dbuvm(1.0, path->distance_km) - open_earth_loss_db(path, ruling);
}

static void fall_with_distance(struct path path)
{
    enum propagation ruling;
    double previous = INFINITY;
    for (; path.distance_km < 1000.0; path.distance_km *= 1.03) {
        double field = open_field(&path, &ruling);
        assert_true(field < previous);
        assert_true(field <= free_space_field_dbuvm(1.0, path.distance_km));
        previous = field;
    }
}

static void fields_fall_with_distance_and_never_exceed_free_space(void **state)
{
    (void)state;
    each_ladder(fall_with_distance);
}

/* Where the ruling method changes the change is bisected to 1e-9 of the distance: what remains on
 * its two sides is the jump. */
static void join_smoothly(struct path path)
{
    enum propagation before, after, middle;
    open_field(&path, &before);
    while (path.distance_km < 1000.0) {
        struct path near = path, far = path;
        far.distance_km *= 1.05;
        open_field(&far, &after);
        if (after != before) {
            while (far.distance_km / near.distance_km > 1.0 + 1e-9) {
                struct path half = near;
                half.distance_km = sqrt(near.distance_km * far.distance_km);
                open_field(&half, &middle);
                if (middle == before) {
                    near = half;
                } else {
                    far = half;
                }
            }
            assert_near(open_field(&far, &middle), open_field(&near, &before), 0.05,
                        "no jump between methods");
        }
        path.distance_km *= 1.05;
        open_field(&path, &before);
    }
}

static void methods_join_without_a_jump(void **state)
{
    (void)state;
    each_ladder(join_smoothly);
}

/* Over the last Fresnel zone two independent methods describe the same thing. */
static void plane_and_round_earth_agree_where_both_hold(void **state)
{
    (void)state;
    struct path path = {57.0, 100.0, 1.5, 1.0};
    for (; path.distance_km < 5.0; path.distance_km *= 1.1) {
        assert_near(plane_earth_loss_db(&path), smooth_earth_loss_db(&path), 1.0,
                    "flat and spherical ground, far inside the horizon");
    }
}

static void interchanging_the_ends_changes_nothing(void **state)
{
    (void)state;
    struct random random = random_seeded(526, 0);
    for (int i = 0; i < 20000; i++) {
        struct path path = {30.0 + 970.0 * random_uniform(&random),
                            pow(10.0, 3.0 * random_uniform(&random)),
                            pow(10.0, 2.0 * random_uniform(&random)),
                            pow(10.0, 4.0 * random_uniform(&random) - 1.0)};
        struct path back = {path.center_mhz, path.receive_height_m, path.transmit_height_m,
                            path.distance_km};
        enum propagation there, here;
        assert_near(open_earth_loss_db(&path, &there), open_earth_loss_db(&back, &here), 1e-6,
                    "reciprocity");
        assert_int_equal(there, here);
    }
}

static void hata_falls_with_distance_and_joins_its_extension(void **state)
{
    (void)state;
    for (double mhz = 150.0; mhz <= 1000.0; mhz += 50.0) {
        for (double base = 30.0; base <= 200.0; base += 34.0) {
            struct path path = {mhz, base, 1.5, 20.0}, far = {mhz, base, 1.5, 20.0 * (1.0 + 1e-6)};
            assert_near(hata_field_dbuvm(&path, 1.0, SURROUNDINGS_URBAN),
                        hata_field_dbuvm(&far, 1.0, SURROUNDINGS_URBAN), 0.01, "no jump at 20 km");
            double previous = INFINITY;
            for (path.distance_km = 1.0; path.distance_km <= 100.0; path.distance_km *= 1.02) {
                assert_int_equal(hata_check(&path, NULL), STATUS_OK);
                double field = hata_field_dbuvm(&path, 1.0, SURROUNDINGS_URBAN);
                assert_true(field < previous);
                assert_true(field < hata_field_dbuvm(&path, 1.0, SURROUNDINGS_SUBURBAN));
                assert_true(hata_field_dbuvm(&path, 1.0, SURROUNDINGS_SUBURBAN) <
                            hata_field_dbuvm(&path, 1.0, SURROUNDINGS_OPEN));
                previous = field;
            }
        }
    }
}

static void hata_refuses_what_lies_outside_its_ranges(void **state)
{
    (void)state;
    const struct path good = {600.0, 100.0, 1.5, 10.0};
    struct path bad[] = {good, good, good, good, good, good, good, good};
    bad[0].center_mhz = 149.9;
    bad[1].center_mhz = 1500.1;
    bad[2].transmit_height_m = 29.9;
    bad[3].transmit_height_m = 200.1;
    bad[4].receive_height_m = 0.9;
    bad[5].receive_height_m = 10.1;
    bad[6].distance_km = 0.99;
    bad[7].distance_km = 100.1;
    static const char *const places[] = {"frequency", "transmitter height", "receiving height",
                                         "distance"};
    assert_int_equal(hata_check(&good, NULL), STATUS_OK);
    for (size_t i = 0; i < COUNT(bad); i++) {
        struct fault fault;
        assert_int_equal(hata_check(&bad[i], &fault), STATUS_OUT_OF_RANGE);
        assert_string_equal(fault.place, places[i / 2]);
        assert_true(fault.allowed[0] != '\0');
    }
}

static void doubling_the_power_adds_3_01_db(void **state)
{
    (void)state;
    struct path path = {600.0, 100.0, 1.5, 10.0};
    assert_near(free_space_field_dbuvm(2.0, 7.0) - free_space_field_dbuvm(1.0, 7.0), 3.0103, 1e-4,
                "10 log10 2");
    assert_near(hata_field_dbuvm(&path, 2.0, SURROUNDINGS_OPEN) -
                    hata_field_dbuvm(&path, 1.0, SURROUNDINGS_OPEN),
                3.0103, 1e-4, "10 log10 2");
}

static void the_normal_quantile_is_that_of_a_numerics_library(void **state)
{
    (void)state;
    for (double p = 1e-6; p < 1.0 - 1e-6; p += 0.000977) {
        assert_near(normal_quantile(p), gsl_cdf_ugaussian_Pinv(p), 1e-9, "GNU Scientific Library");
    }
    assert_near(normal_quantile(1e-9), gsl_cdf_ugaussian_Pinv(1e-9), 1e-9, "GSL");
}

static void serving_more_locations_takes_more_field(void **state)
{
    (void)state;
    double previous = -1.0;
    for (double percent = 50.0; percent <= 99.9; percent += 0.1) {
        assert_true(location_allowance_db(percent) > previous);
        previous = location_allowance_db(percent);
    }
}

static void faster_reflectors_shift_more_and_speeds_come_back(void **state)
{
    (void)state;
    assert_true(reflector_count() >= 5);
    for (size_t i = 0; i < reflector_count(); i++) {
        const struct reflector_row *row = reflector_row(i);
        double hz = reflector_doppler_hz(row->speed_kmh, 600.0);
        assert_near(reflector_speed_kmh(hz, 600.0), row->speed_kmh, 1e-9, "round trip");
        assert_true(reflector_doppler_hz(row->speed_kmh, 70.0) < hz);
        assert_true(row->assumes[0] != '\0');
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fields_fall_with_distance_and_never_exceed_free_space),
        cmocka_unit_test(methods_join_without_a_jump),
        cmocka_unit_test(plane_and_round_earth_agree_where_both_hold),
        cmocka_unit_test(interchanging_the_ends_changes_nothing),
        cmocka_unit_test(hata_falls_with_distance_and_joins_its_extension),
        cmocka_unit_test(hata_refuses_what_lies_outside_its_ranges),
        cmocka_unit_test(doubling_the_power_adds_3_01_db),
        cmocka_unit_test(the_normal_quantile_is_that_of_a_numerics_library),
        cmocka_unit_test(serving_more_locations_takes_more_field),
        cmocka_unit_test(faster_reflectors_shift_more_and_speeds_come_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
