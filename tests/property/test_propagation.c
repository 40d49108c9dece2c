/* What must hold for every path: fields fall with distance, methods join without a jump. */
#include "support/near.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

#include "base/normal.h"
#include "base/random.h"
#include "physics/air/building.h"
#include "physics/air/fcc.h"
#include "physics/air/motion.h"
#include "physics/air/p1546.h"
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
                visit((struct path){frequencies_mhz[f], transmit_m[t], receive_m[r], 0.01,
                                    .time_percent = 50.0});
            }
        }
    }
}

static double smooth_field(const struct path *path)
{
    return free_space_field_dbuvm(1.0, path_slant_km(path)) - smooth_earth_loss_db(path);
}

static void fall_with_distance(struct path path)
{
    double previous = INFINITY;
    for (; path.distance_km < 1000.0; path.distance_km *= 1.03) {
        double field = smooth_field(&path);
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

/* Over open land the curves fall all the way; nowhere do they exceed free space over the ray's way
 * (which P.1546 rounds). */
static void curves_fall(struct path path)
{
    for (path.time_percent = 1.0; path.time_percent <= 50.0; path.time_percent += 24.5) {
        double previous = INFINITY;
        for (path.distance_km = 0.01; path.distance_km < 1000.0; path.distance_km *= 1.1) {
            double field = p1546_field_dbuvm(&path, 1.0);
            assert_true(field < previous);
            assert_true(field <= free_space_field_dbuvm(1.0, path_slant_km(&path)));
            previous = field;
        }
    }
}

static void p1546_falls_with_distance_below_free_space(void **state)
{
    (void)state;
    each_ladder(curves_fall);
}

/* Among houses a tall tower is seen over them from nearby, so the field need not fall; it never
 * exceeds free space. Far out, where the ray comes in flat, denser surroundings leave less. */
static void shade(struct path path)
{
    path.time_percent = 50.0;
    for (path.distance_km = 0.01; path.distance_km < 1000.0; path.distance_km *= 1.2) {
        double previous = INFINITY;
        for (int around = SURROUNDINGS_SUBURBAN; around < SURROUNDINGS_COUNT; around++) {
            path.surroundings = (enum surroundings)around;
            double field = p1546_field_dbuvm(&path, 1.0);
            assert_true(field <= free_space_field_dbuvm(1.0, path_slant_km(&path)));
            assert_true(path.distance_km < 100.0 || field <= previous + 1e-9);
            previous = field;
        }
    }
}

static void denser_surroundings_leave_less_of_p1546s_field(void **state)
{
    (void)state;
    each_ladder(shade);
}

/* Below 100 MHz and 10 m, and above 1200 m, the curves are carried on beyond what was measured. */
static void rarer(struct path path)
{
    if (path.center_mhz < 100.0 || path.transmit_height_m < 10.0 ||
        path.transmit_height_m > 1200.0) {
        return;
    }
    for (path.distance_km = 1.0; path.distance_km < 1000.0; path.distance_km *= 1.3) {
        double previous = INFINITY;
        for (path.time_percent = 1.0; path.time_percent <= 50.0; path.time_percent += 7.0) {
            double field = p1546_field_dbuvm(&path, 1.0);
            assert_true(field <= previous + 1e-9);
            previous = field;
        }
    }
}

static void what_is_exceeded_more_often_is_weaker(void **state)
{
    (void)state;
    each_ladder(rarer);
}

/* But where the charts of F(50,10) begin, at 16.1 km; below 15 km time makes no difference. */
static void the_fccs_curves_fall_with_distance_and_time(void **state)
{
    (void)state;
    static const double percents[] = {10.0, 30.0, 50.0, 70.0, 90.0};
    for (int band = 0; band < BAND_COUNT; band++) {
        for (double height = 20.0; height < 2000.0; height *= 1.3) {
            double previous[COUNT(percents)] = {INFINITY, INFINITY, INFINITY, INFINITY, INFINITY};
            for (double km = 0.1; km < 300.0; km *= 1.03) {
                for (size_t t = 0; t < COUNT(percents); t++) {
                    double field = fcc_curve_dbuvm((enum band)band, height, km, percents[t]);
                    if (km < 15.0 || km > 20.0) {
                        assert_true(field < previous[t] + 1e-9);
                        assert_true(t == 0 || field <= fcc_curve_dbuvm((enum band)band, height, km,
                                                                       percents[t - 1]));
                    }
                    previous[t] = field;
                }
            }
            assert_true(isnan(fcc_curve_dbuvm((enum band)band, height, 301.0, 90.0)));
            assert_false(isnan(fcc_curve_dbuvm((enum band)band, height, 301.0, 10.0)));
        }
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
                            pow(10.0, 4.0 * random_uniform(&random) - 1.0), .vertical = false};
        struct path back = {path.center_mhz, path.receive_height_m, path.transmit_height_m,
                            path.distance_km, .vertical = false};
        path.vertical = back.vertical = i % 2 != 0;
        assert_near(smooth_earth_loss_db(&path), smooth_earth_loss_db(&back), 1e-6, "reciprocity");
    }
}

static double hata_in(struct path path, enum surroundings surroundings)
{
    path.surroundings = surroundings;
    return hata_field_dbuvm(&path, 1.0);
}

static void hata_falls_with_distance_and_joins_its_extension(void **state)
{
    (void)state;
    for (double mhz = 150.0; mhz <= 1000.0; mhz += 50.0) {
        for (double base = 30.0; base <= 200.0; base += 34.0) {
            struct path path = {mhz, base, 1.5, 20.0, .vertical = false},
                        far = {mhz, base, 1.5, 20.0 * (1.0 + 1e-6), .vertical = false};
            assert_near(hata_in(path, SURROUNDINGS_URBAN), hata_in(far, SURROUNDINGS_URBAN), 0.01,
                        "no jump at 20 km");
            double previous = INFINITY;
            for (path.distance_km = 1.0; path.distance_km <= 100.0; path.distance_km *= 1.02) {
                assert_int_equal(hata_check(&path, NULL), STATUS_OK);
                double field = hata_in(path, SURROUNDINGS_URBAN);
                assert_true(field < previous);
                assert_true(field < hata_in(path, SURROUNDINGS_SUBURBAN));
                assert_true(hata_in(path, SURROUNDINGS_SUBURBAN) <
                            hata_in(path, SURROUNDINGS_OPEN));
                previous = field;
            }
        }
    }
}

static void hata_refuses_what_lies_outside_its_ranges(void **state)
{
    (void)state;
    const struct path good = {600.0, 100.0, 1.5, 10.0, .vertical = false};
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
    struct path path = {600.0, 100.0, 1.5, 10.0, .vertical = false};
    assert_near(free_space_field_dbuvm(2.0, 7.0) - free_space_field_dbuvm(1.0, 7.0), 3.0103, 1e-4,
                "10 log10 2");
    assert_near(hata_field_dbuvm(&path, 2.0) - hata_field_dbuvm(&path, 1.0), 3.0103, 1e-4,
                "10 log10 2");
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
        cmocka_unit_test(p1546_falls_with_distance_below_free_space),
        cmocka_unit_test(denser_surroundings_leave_less_of_p1546s_field),
        cmocka_unit_test(what_is_exceeded_more_often_is_weaker),
        cmocka_unit_test(the_fccs_curves_fall_with_distance_and_time),
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
