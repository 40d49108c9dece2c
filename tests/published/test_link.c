/* Check values of the link: OET Bulletin 69, BPR-10, 47 CFR 73.622, ITU-R P.372. */
#include "support/near.h"

#include <math.h>

#include "physics/air/noise.h"

static void thermal_noise_in_6_mhz_is_106_2_below_a_milliwatt(void **state)
{
    (void)state;
    assumes("290 K");
    assert_near(noise_thermal_dbm(6.0), -106.2, 0.05, "OET Bulletin 69, thermal noise");
}

static void a_cn_of_15_db_asks_for_28_36_41_dbuvm(void **state)
{
    (void)state;
    assumes("the bulletin's roof antenna, line and noise figure; published in whole dB");
    static const double expected[BAND_COUNT] = {28.0, 36.0, 41.0};
    for (int band = 0; band < BAND_COUNT; band++) {
        double mhz = planning_factors(PLAN_US, (enum band)band)->mean_mhz;
        /* Published in whole dB: within half a unit. */
        assert_near(planning_field_dbuvm(PLAN_US, 15.0, mhz, 6.0), expected[band], 0.5,
                    "47 CFR 73.622, OET Bulletin 69 Table 1");
    }
}

static void level_from_field_gives_the_dipole_factors(void **state)
{
    (void)state;
    assumes("a matched half-wave dipole at each band's mean frequency");
    for (int band = 0; band < BAND_COUNT; band++) {
        const struct planning_factors *factors = planning_factors(PLAN_US, (enum band)band);
        assert_near(level_from_field_dbm(0.0, factors->mean_mhz, 0.0, 0.0), factors->dipole_db, 0.1,
                    "OET Bulletin 69 Table 3, dipole factor");
    }
}

static void uhf_fields_are_corrected_for_the_frequency(void **state)
{
    (void)state;
    assumes("the bulletin's correction holds in UHF alone");
    assert_near(planning_field_dbuvm(PLAN_US, 15.0, 473.0, 6.0), 40.6 - 20.0 * log10(615.0 / 473.0),
                1e-9, "OET Bulletin 69, Ka = 20 log10(615 / f)");
    assert_near(planning_field_dbuvm(PLAN_US, 15.0, 195.0, 6.0), 35.6, 1e-9,
                "OET Bulletin 69, no Ka in VHF");
}

/* GE06's reference planning configuration 1 (from memory): C/N 21 dB, noise figure 7 dB, fixed
 * reception; its 56 and 50 dBuV/m hold 9 dB for 95 % of the locations. Here the noise figure is
 * 6 dB. */
static void region_1_plans_with_the_fields_of_ge06(void **state)
{
    (void)state;
    assumes("fixed reception at C/N 21 dB; 9 dB for 95 % of locations, and 1 dB for the noise "
            "figure, taken off");
    assert_near(planning_field_dbuvm(PLAN_REGION_1, 21.0, 650.0, 8.0) + 1.0, 56.0 - 9.0, 0.5,
                "GE06, RPC 1, 650 MHz (from memory)");
    assert_near(planning_field_dbuvm(PLAN_REGION_1, 21.0, 200.0, 7.0) + 1.0, 50.0 - 9.0, 1.0,
                "GE06, RPC 1, 200 MHz (from memory)");
    for (int band = BAND_HIGH_VHF; band < BAND_COUNT; band++) {
        const struct planning_factors *factors = planning_factors(PLAN_REGION_1, (enum band)band);
        assert_near(level_from_field_dbm(0.0, factors->mean_mhz, 0.0, 0.0), factors->dipole_db, 0.1,
                    "closed form, dipole factor");
    }
}

static void man_made_noise_is_that_of_p372(void **state)
{
    (void)state;
    assumes("a short vertical antenna: the Recommendation's median");
    static const struct {
        double mhz, city_db, residential_db, rural_db;
    } rows[] = {{57.0, 28.16, 23.86, 18.56},
                {69.0, 25.86, 21.56, 16.26},
                {195.0, 13.37, 9.07, 3.77},
                {213.0, 12.30, 8.00, 2.70},
                {250.0, 10.38, 6.08, 0.78}};
    const char *source = "ITU-R P.372 Part 6, computed apart";
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double mhz = rows[i].mhz;
        assert_near(noise_man_made_db(MAN_MADE_CITY, mhz), rows[i].city_db, 0.006, source);
        assert_near(noise_man_made_db(MAN_MADE_RESIDENTIAL, mhz), rows[i].residential_db, 0.006,
                    source);
        assert_near(noise_man_made_db(MAN_MADE_RURAL, mhz), rows[i].rural_db, 0.006, source);
    }
    assert_true(noise_man_made_db(MAN_MADE_NONE, 100.0) == -INFINITY);
    assert_near(noise_man_made_db(MAN_MADE_CITY, 615.0), 10.0, 0.05,
                "ITU-R P.372-8, business areas above 200 MHz");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(thermal_noise_in_6_mhz_is_106_2_below_a_milliwatt),
        cmocka_unit_test(a_cn_of_15_db_asks_for_28_36_41_dbuvm),
        cmocka_unit_test(level_from_field_gives_the_dipole_factors),
        cmocka_unit_test(uhf_fields_are_corrected_for_the_frequency),
        cmocka_unit_test(region_1_plans_with_the_fields_of_ge06),
        cmocka_unit_test(man_made_noise_is_that_of_p372),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
