/* Field strength against the Recommendations' formulas, worked by hand, and printed values. */
#include "support/near.h"

#include <math.h>

#include "physics/air/building.h"
#include "physics/air/motion.h"
#include "physics/air/propagation.h"

static void one_kilowatt_at_one_kilometre_gives_106_92_dbuvm(void **state)
{
    (void)state;
    assumes("radiated power against a half-wave dipole");
    assert_near(free_space_field_dbuvm(1.0, 1.0), 106.92, 0, "ITU-R P.525, ERP in kW");
    assert_near(free_space_field_dbuvm(10.0, 100.0), 106.92 + 10.0 - 40.0, 1e-12, "ITU-R P.525");
}

static void the_radio_horizon_is_4_12_root_height(void **state)
{
    (void)state;
    assumes("an earth radius of 4/3 of the true one");
    assert_near(radio_horizon_km(100.0, 0.0), 41.2, 0.05, "common practice, k = 4/3");
    assert_near(radio_horizon_km(300.0, 10.0), 4.12 * (sqrt(300.0) + sqrt(10.0)), 0.1,
                "common practice, k = 4/3");
}

static void the_distance_term_matches_hand_values(void **state)
{
    (void)state;
    assumes("the first term of the residue series");
    const char *source = "ITU-R P.526 F(X), worked by hand";
    assert_near(diffraction_distance_term_db(2.0), -21.19, 0.005, source);
    assert_near(diffraction_distance_term_db(10.0), 11.0 + 10.0 - 176.0, 1e-9, source);
    assert_near(diffraction_distance_term_db(0.5), 3.917, 0.005, source);
    /* The Recommendation's two forms meet at X = 1.6. */
    assert_near(diffraction_distance_term_db(1.6), diffraction_distance_term_db(1.6 - 1e-9), 0.02,
                source);
}

#define LOW_K 1e-9 /* the floor of low antennas is out of the way */

static void the_height_term_matches_hand_values(void **state)
{
    (void)state;
    assumes("the floor of low antennas out of the way");
    const char *source = "ITU-R P.526 G(Y), worked by hand";
    assert_near(diffraction_height_term_db(1.0, LOW_K), 0.828, 0.001, source);
    assert_near(diffraction_height_term_db(0.1, LOW_K), -19.991, 0.001, source);
    assert_near(diffraction_height_term_db(5.0, LOW_K), 23.802, 0.002, source);
    assert_near(diffraction_height_term_db(2.0, LOW_K),
                diffraction_height_term_db(2.0 + 1e-9, LOW_K), 0.05, source);
}

/* 600 MHz, 100 m and 10 m, 60 km: X = 2.188 x 8.4343 x 0.0024010 x 60 = 2.6585, F = -31.54; Y =
 * 9.575e-3 x 71.138 / 20.408 = 0.033376 a metre: G(3.338) = 16.582, G(0.3338) = -9.435; loss 24.4.
 */
static void a_path_beyond_the_horizon_matches_a_hand_computation(void **state)
{
    (void)state;
    assumes("smooth land, an earth radius of 8500 km, horizontal polarisation");
    struct path path = {600.0, 100.0, 10.0, 60.0, .vertical = false};
    assert_near(diffraction_loss_db(&path, 8500.0), 24.4, 0.05, "ITU-R P.526, worked by hand");
    assert_near(smooth_earth_loss_db(&path), 24.4, 0.05, "ITU-R P.526, worked by hand");
}

/* Loss between isotropic antennas from the field of 1 kW ERP: 62.15 dBm e.i.r.p., 77.2 + 20 log f.
 */
static double hata_loss_db(double km, double base_m, enum surroundings surroundings)
{
    struct path path = {900.0, base_m, 1.5, km, .surroundings = surroundings};
    return 62.15 + 77.2 + 20.0 * log10(900.0) - hata_field_dbuvm(&path, 1.0);
}

static void hata_matches_printed_losses_of_a_cellular_planning_guide(void **state)
{
    (void)state;
    assumes("even ground; 1 kW radiated is 62.15 dBm isotropic");
    const char *source = "3GPP TR 43.030 (GSM 03.30) Annex A, 900 MHz, base 50 m, mobile 1.5 m, "
                         "from memory: 123.3 + 33.7 log d urban, 113.4 suburban";
    assert_near(hata_loss_db(1.0, 50.0, SURROUNDINGS_URBAN), 123.3, 0.1, source);
    assert_near(hata_loss_db(10.0, 50.0, SURROUNDINGS_URBAN), 123.3 + 33.7, 0.15, source);
    assert_near(hata_loss_db(1.0, 50.0, SURROUNDINGS_SUBURBAN), 113.4, 0.1, source);
    const char *open_source = "the same, base 100 m, open country, from memory: 90.7 + 31.8 log d";
    assert_near(hata_loss_db(1.0, 100.0, SURROUNDINGS_OPEN), 90.7, 0.1, open_source);
    assert_near(hata_loss_db(10.0, 100.0, SURROUNDINGS_OPEN), 90.7 + 31.8, 0.15, open_source);
}

/* 600 MHz, 100 m, 1.5 m, 50 km: b = 1 + (0.14 + 0.1122 + 0.1035) x 0.39794^0.8 = 1.17020; slope
 * 31.8; 69.82 - 17.11 + 27.64 + 0.01 - 31.8 x 1.69897^1.17020 = 21.24. */
static void hatas_extension_matches_a_hand_computation(void **state)
{
    (void)state;
    assumes("even ground, urban surroundings");
    struct path path = {600.0, 100.0, 1.5, 50.0, .surroundings = SURROUNDINGS_URBAN};
    assert_near(hata_field_dbuvm(&path, 1.0), 21.24, 0.1, "ITU-R P.1546-3 Annex 7, worked by hand");
}

static void buildings_take_what_p2109_says(void **state)
{
    (void)state;
    assumes("horizontal incidence");
    static const double shares[] = {0.1, 0.5, 0.9, 0.95};
    static const struct {
        enum building_kind kind;
        double mhz, loss_db[4];
    } rows[] = {
        {BUILDING_KIND_TRADITIONAL, 195.0, {5.81, 13.97, 23.04, 25.72}},
        {BUILDING_KIND_TRADITIONAL, 600.0, {5.72, 14.04, 24.32, 27.44}},
        {BUILDING_KIND_TRADITIONAL, 2000.0, {5.78, 14.96, 27.11, 30.74}},
        {BUILDING_KIND_EFFICIENT, 195.0, {21.99, 35.85, 49.73, 53.66}},
        {BUILDING_KIND_EFFICIENT, 600.0, {17.69, 31.89, 46.84, 51.19}},
        {BUILDING_KIND_EFFICIENT, 2000.0, {16.63, 30.54, 47.38, 52.49}},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        for (size_t k = 0; k < sizeof shares / sizeof shares[0]; k++) {
            assert_near(building_entry_loss_db(rows[i].kind, rows[i].mhz, shares[k]),
                        rows[i].loss_db[k], 0.006,
                        "ITU-R P.2109, 10, 50, 90 and 95 % of cases, computed apart");
        }
    }
}

static void location_spread_follows_planning_practice(void **state)
{
    (void)state;
    assumes("locations are log-normal with 5.5 dB");
    static const struct {
        double percent, factor;
    } rows[] = {{50, 0.0}, {70, 0.52}, {90, 1.28}, {95, 1.64}, {99, 2.33}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_near(location_allowance_db(rows[i].percent), 5.5 * rows[i].factor, 0.03,
                    "ITU-R P.1546-3 Table 2, 5.5 dB");
    }
}

static void a_reflectors_doppler_counts_both_parts_of_the_path(void **state)
{
    (void)state;
    assumes("the reflector moves towards both antennas");
    assert_near(reflector_doppler_hz(5.0, 195.0), 2.0 * (5.0 / 3.6) * 195e6 / 299792458.0, 1e-12,
                "2 v f / c");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_kilowatt_at_one_kilometre_gives_106_92_dbuvm),
        cmocka_unit_test(the_radio_horizon_is_4_12_root_height),
        cmocka_unit_test(the_distance_term_matches_hand_values),
        cmocka_unit_test(the_height_term_matches_hand_values),
        cmocka_unit_test(a_path_beyond_the_horizon_matches_a_hand_computation),
        cmocka_unit_test(hata_matches_printed_losses_of_a_cellular_planning_guide),
        cmocka_unit_test(hatas_extension_matches_a_hand_computation),
        cmocka_unit_test(buildings_take_what_p2109_says),
        cmocka_unit_test(location_spread_follows_planning_practice),
        cmocka_unit_test(a_reflectors_doppler_counts_both_parts_of_the_path),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
