/* ITU-R P.1546, the curves of 47 CFR 73.699 and P.526 against check values of two independent
 * computations each: the Recommendation's text carried out apart from this program and its
 * reference implementation; two editions of the regulator's routine; the reference implementation
 * of P.1812, whose section 4.3.2 carries P.526's method. */
#include "support/near.h"

#include <math.h>

#include "base/units.h"
#include "physics/air/fcc.h"
#include "physics/air/p1546.h"

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

static void p1546_meets_its_check_values(void **state)
{
    (void)state;
    assumes("land; the heights and surroundings of each row");
    enum { OPEN = SURROUNDINGS_OPEN, SUBURBAN = SURROUNDINGS_SUBURBAN, URBAN = SURROUNDINGS_URBAN };
    static const struct {
        double mhz, percent, height_m, km, receive_m;
        int around;
        double curve, receive_db;
    } rows[] = {
        {57, 50, 300, 50, 10, OPEN, 51.309, 0.000},
        {69, 50, 300, 80, 10, OPEN, 37.862, 0.000},
        {69, 10, 300, 150, 10, OPEN, 27.225, 0.000},
        {194, 50, 150, 30, 10, SUBURBAN, 53.177, 0.000},
        {194, 50, 305, 60, 10, OPEN, 43.378, 0.000},
        {194, 1, 305, 200, 10, OPEN, 22.365, 0.000},
        {470, 50, 37.5, 10, 10, OPEN, 60.727, 0.000},
        {545, 50, 200, 40, 10, OPEN, 47.778, 0.000},
        {545, 50, 200, 40, 1.5, SUBURBAN, 47.778, -16.583},
        {545, 50, 200, 40, 1.5, OPEN, 47.778, -16.615},
        {545, 50, 200, 40, 1.5, URBAN, 47.778, -22.852},
        {545, 50, 200, 40, 30, URBAN, 47.778, 3.581},
        {545, 10, 200, 100, 10, OPEN, 24.598, 0.000},
        {545, 30, 200, 100, 10, OPEN, 21.591, 0.000},
        {615, 50, 365, 90, 10, OPEN, 27.953, 0.000},
        {600, 50, 5, 10, 10, OPEN, 46.359, 0.000},
        {600, 50, 0, 10, 10, OPEN, 44.324, 0.000},
        {600, 50, -20, 10, 10, OPEN, 40.708, 0.000},
        {600, 50, 1500, 100, 10, OPEN, 47.161, 0.000},
        {600, 50, 300, 3, 10, URBAN, 92.462, -17.090},
        {50, 50, 600, 250, 10, OPEN, 7.672, 0.000},
        {600, 50, 150, 1, 10, OPEN, 102.345, 0.000},
        {600, 50, 600, 2, 10, URBAN, 99.417, -13.599},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct path path = {.center_mhz = rows[i].mhz,
                            .transmit_height_m = rows[i].height_m,
                            .receive_height_m = rows[i].receive_m,
                            .distance_km = rows[i].km,
                            .surroundings = (enum surroundings)rows[i].around,
                            .time_percent = rows[i].percent};
        assert_near(p1546_curve_dbuvm(&path), rows[i].curve, 0.01, "ITU-R P.1546, 23 check values");
        assert_near(p1546_receive_db(&path), rows[i].receive_db, 0.01,
                    "ITU-R P.1546 section 9, receiving height");
    }
}

static void p1546s_pieces_meet_their_values(void **state)
{
    (void)state;
    assumes("land");
    assert_near(p1546_knife_edge_db(0.0), 6.033, 0.001, "ITU-R P.1546, J(0)");
    assert_near(p1546_sunk_db(-10.0, 0), -0.748, 0.001, "ITU-R P.1546 section 4.3, Ch(-10)");
    assert_near(p1546_sunk_db(-10.0, 1), -1.830, 0.001, "ITU-R P.1546 section 4.3, Ch(-10)");
    assert_near(p1546_sunk_db(-10.0, 2), -3.288, 0.001, "ITU-R P.1546 section 4.3, Ch(-10)");
    assert_near(p1546_near_dbuvm(0.3, 50.0, 10.0, 95.0), 110.34, 0.01,
                "ITU-R P.1546 section 15, below 1 km");
    assert_near(p1546_near_dbuvm(0.03, 50.0, 10.0, 95.0), 132.92, 0.01,
                "ITU-R P.1546 section 15, below 40 m");
}

static void terrain_meets_its_check_values(void **state)
{
    (void)state;
    assumes("land; angles as the rows tell them");
    assert_near(terrain_clearance_db(1.0, 600.0), -4.10, 0.01,
                "ITU-R P.1546 section 11, clearance angle");
    assert_near(terrain_clearance_db(5.0, 600.0), -17.73, 0.01,
                "ITU-R P.1546 section 11, clearance angle");
    assert_near(terrain_clearance_db(0.55, 2600.0), 0.055, 0.001,
                "ITU-R P.1546, the Study Group's flat case");
    assert_near(p1546_troposcatter_dbuvm(600.0, 100.0, 50.0, 0.0, 0.0), 13.19, 0.01,
                "ITU-R P.1546 section 13, troposcatter");
    assert_near(p1546_troposcatter_dbuvm(600.0, 100.0, 10.0, 0.0, 0.0), 21.05, 0.01,
                "ITU-R P.1546 section 13, troposcatter");
    assert_near(p1546_troposcatter_dbuvm(2600.0, 100.0, 50.0, -0.0286, -0.0036), 9.685, 0.001,
                "ITU-R P.1546, the Study Group's flat case");
}

/* The Study Group's flat case over a profile of two points: 2600 MHz, both antennas low. */
static void a_flat_profile_meets_the_study_groups_case(void **state)
{
    (void)state;
    assumes("flat land, both antennas low");
    static const struct terrain flat = {.count = 2, .km = {0.0F, 100.0F}};
    struct path path = {2600.0,           7.0,          1.0, 100.0, .time_percent = 50.0,
                        .terrain = &flat, .mast_m = 7.0};
    assert_near(p1546_curve_dbuvm(&path), 0.438, 0.01, "ITU-R P.1546, the Study Group's flat case");
    assert_near(p1546_receive_db(&path), -24.373, 0.01,
                "ITU-R P.1546, the Study Group's flat case");
    assert_near(
        p1546_field_dbuvm(&path, 1.0), -14.688, 0.03,
        "ITU-R P.1546, the Study Group's flat case; its own angles differ by 0.002 degrees");
}

/* The slope path: as much less as the way is longer. */
static void near_a_tall_tower_the_way_is_longer_than_the_ground(void **state)
{
    (void)state;
    assumes("the field falls with the slant way as in free space");
    struct path path = {600.0, 600.0, 10.0, 2.0, .time_percent = 50.0};
    assert_near(p1546_field_dbuvm(&path, 1.0),
                p1546_curve_dbuvm(&path) - 20.0 * log10(hypot(2.0, 0.59) / 2.0), 1e-9,
                "ITU-R P.1546 section 14");
    assert_near(p1546_field_dbuvm(&path, 100.0) - p1546_field_dbuvm(&path, 1.0), 20.0, 1e-9,
                "10 log10 of the power");
}

static const enum band LOW = BAND_LOW_VHF, HIGH = BAND_HIGH_VHF, UHF = BAND_UHF;

static void the_fccs_curves_meet_its_routine(void **state)
{
    (void)state;
    assumes("the regulator's routine is the curves: it reads them off by its own rules");
    const struct {
        enum band band;
        double height_m, km, at_50, at_10, at_90;
    } rows[] = {
        {LOW, 300, 50, 50.044, 52.872, 47.215},   {LOW, 305, 120, 21.454, 30.280, 12.628},
        {HIGH, 300, 50, 53.161, 55.645, 50.677},  {HIGH, 100, 25, 57.766, 58.693, 56.838},
        {HIGH, 300, 20, 71.268, 71.868, 70.667},  {UHF, 300, 50, 46.662, 49.697, 43.626},
        {UHF, 100, 25, 54.994, 55.787, 54.202},   {UHF, 300, 100, 20.251, 31.026, 9.475},
        {UHF, 30.48, 10, 60.031, 60.031, 60.031}, {UHF, 1000, 150, 19.389, 31.744, 7.034},
    };
    const char *source = "47 CFR 73.699 as the regulator's routine reads it";
    for (size_t i = 0; i < COUNT(rows); i++) {
        double height = rows[i].height_m, km = rows[i].km;
        assert_near(fcc_curve_dbuvm(rows[i].band, height, km, 50.0), rows[i].at_50, 0.05, source);
        assert_near(fcc_curve_dbuvm(rows[i].band, height, km, 10.0), rows[i].at_10, 0.05, source);
        assert_near(fcc_curve_dbuvm(rows[i].band, height, km, 90.0), rows[i].at_90, 0.05, source);
    }
}

/* The routine's own way: steps of 0.5 km, the first crossing, linear between. */
static double contour_km(enum band band, double erp_kw, double height_m, double dbuvm,
                         double time_percent)
{
    double before = INFINITY, km = 0.0, here = INFINITY;
    while (here >= dbuvm) {
        before = here;
        km += 0.5;
        here = fcc_curve_dbuvm(band, height_m, km, time_percent) + db_from_ratio(erp_kw);
    }
    return km - 0.5 + 0.5 * (before - dbuvm) / (before - here);
}

static void the_fccs_contours_meet_its_routine(void **state)
{
    (void)state;
    assumes("steps of 0.5 km, the first crossing, linear between, as the routine has it");
    const struct {
        enum band band;
        double erp_kw, height_m, dbuvm, percent, km;
    } rows[] = {
        {LOW, 1, 100, 28, 90, 65.83},     {LOW, 10, 305, 28, 90, 107.53},
        {LOW, 100, 305, 28, 90, 132.20},  {HIGH, 10, 150, 36, 90, 82.05},
        {HIGH, 160, 305, 36, 90, 116.62}, {UHF, 1, 100, 41, 90, 40.98},
        {UHF, 15, 100, 41, 90, 53.87},    {UHF, 50, 150, 41, 90, 63.53},
        {UHF, 200, 305, 41, 90, 83.65},   {UHF, 1000, 305, 41, 90, 97.41},
        {UHF, 1000, 365, 41, 90, 103.14}, {UHF, 1000, 500, 41, 90, 114.52},
        {LOW, 100, 305, 47, 50, 103.97},  {HIGH, 316, 305, 56, 50, 95.67},
        {UHF, 5000, 305, 64, 50, 83.30},  {LOW, 100, 305, 13, 10, 337.99},
        {HIGH, 160, 305, 21, 10, 296.19}, {UHF, 1000, 365, 26, 10, 309.78},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        assert_near(contour_km(rows[i].band, rows[i].erp_kw, rows[i].height_m, rows[i].dbuvm,
                               rows[i].percent),
                    rows[i].km, 0.1, "47 CFR 73.699 as the regulator's routine reads it");
    }
}

static void the_smooth_earth_meets_a_reference_in_both_polarisations(void **state)
{
    (void)state;
    assumes("smooth land, an earth radius of 8500 km");
    static const struct {
        double mhz, transmit_m, receive_m, km, horizontal_db, vertical_db;
    } rows[] = {
        {57, 300, 10, 100, 35.185, 35.204},  {69, 300, 10, 50, 17.963, 17.991},
        {69, 300, 10, 120, 41.129, 41.136},  {69, 30, 1.5, 40, 54.277, 47.447},
        {69, 10, 1, 20, 58.496, 48.148},     {194, 150, 10, 30, 9.838, 9.848},
        {194, 300, 10, 80, 21.397, 21.406},  {194, 305, 10, 150, 55.747, 55.735},
        {545, 200, 10, 40, 3.146, 3.147},    {545, 200, 10, 60, 12.926, 12.929},
        {545, 200, 10, 100, 39.782, 39.779}, {615, 365, 10, 90, 17.355, 17.358},
        {615, 30, 1.5, 20, 27.924, 27.931},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct path path = {rows[i].mhz, rows[i].transmit_m, rows[i].receive_m, rows[i].km,
                            .vertical = false};
        assert_near(smooth_earth_loss_db(&path), rows[i].horizontal_db, 0.01,
                    "ITU-R P.526, reference implementation of P.1812");
        path.vertical = true;
        assert_near(smooth_earth_loss_db(&path), rows[i].vertical_db, 0.01,
                    "ITU-R P.526, reference implementation of P.1812");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(p1546_meets_its_check_values),
        cmocka_unit_test(p1546s_pieces_meet_their_values),
        cmocka_unit_test(terrain_meets_its_check_values),
        cmocka_unit_test(a_flat_profile_meets_the_study_groups_case),
        cmocka_unit_test(near_a_tall_tower_the_way_is_longer_than_the_ground),
        cmocka_unit_test(the_fccs_curves_meet_its_routine),
        cmocka_unit_test(the_fccs_contours_meet_its_routine),
        cmocka_unit_test(the_smooth_earth_meets_a_reference_in_both_polarisations),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
