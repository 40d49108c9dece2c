/* Interference, antennas and sums of log-normal powers against published values and a simulation.
 */
#include "support/near.h"

#include <math.h>
#include <stdlib.h>

#include "base/random.h"
#include "base/units.h"
#include "physics/air/antenna.h"
#include "physics/air/interference.h"
#include "physics/air/log_normal.h"

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

/* 47 CFR 73.623(c)(2) has D/U = 15 + 10 log10(1 / (1 - 10^(-x/10))), x = S/N - 15.19: the addition
 * of noise to a signal that needs 15.19 dB, told in whole dB. */
static void ratios_on_the_same_channel_are_those_of_the_regulation(void **state)
{
    (void)state;
    assumes("interference is noise; a threshold of 15.19 dB, told as 15");
    static const struct {
        double snr_db, ratio_db;
    } rows[] = {{16, 22.69}, {17, 19.67}, {18, 18.22}, {20, 16.74}, {23, 15.79}, {28, 15.23}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        assert_near(interference_co_channel_db(15.19, rows[i].snr_db) - 15.19 + 15.0,
                    rows[i].ratio_db, 0.006, "47 CFR 73.623(c)(2), S/N 16 to 28 dB");
    }
    assert_true(isinf(interference_co_channel_db(15.19, 15.0)));
}

/* The ratio is where signal over noise and interference is just enough. */
static void the_ratio_is_that_of_added_noise(void **state)
{
    (void)state;
    assumes("interference is noise of its power");
    for (double needed = -5.0; needed < 30.0; needed += 1.7) {
        for (double snr = needed + 0.1; snr < needed + 40.0; snr += 2.3) {
            double interference = -interference_co_channel_db(needed, snr);
            double left = -db_from_ratio(ratio_from_db(-snr) + ratio_from_db(interference));
            assert_near(left, needed, 1e-9, "addition of powers");
        }
    }
}

static void neighbours_bear_what_the_regulation_and_a74_ask(void **state)
{
    (void)state;
    assumes("a receiver that just meets A/74, at the levels of its tables");
    assert_near(interference_ratio_db(PLAN_US, -1, -68.0), -28.0, 0,
                "47 CFR 73.623(c)(2), lower neighbour");
    assert_near(interference_ratio_db(PLAN_US, 1, -60.0), -26.0, 0,
                "47 CFR 73.623(c)(2), upper neighbour");
    static const struct {
        int offset;
        double weak, moderate, strong;
    } rows[] = {{2, -44, -40, -20}, {3, -48, -40, -20},  {4, -52, -40, -20},  {5, -56, -42, -20},
                {6, -57, -45, -20}, {13, -57, -45, -20}, {14, -50, -45, -20}, {15, -50, -45, -20}};
    const char *source = "ATSC A/74:2010 Table 5.3, from memory";
    for (size_t i = 0; i < COUNT(rows); i++) {
        for (int side = -1; side <= 1; side += 2) {
            assert_near(interference_ratio_db(PLAN_US, side * rows[i].offset, -68.0), rows[i].weak,
                        0, source);
            assert_near(interference_ratio_db(PLAN_US, side * rows[i].offset, -53.0),
                        rows[i].moderate, 0, source);
            assert_near(interference_ratio_db(PLAN_US, side * rows[i].offset, -28.0),
                        rows[i].strong, 0, source);
        }
    }
    assert_near(interference_ratio_db(PLAN_US, 1, -28.0), -20.0, 0,
                "ATSC A/74:2010 Table 5.2, from memory");
    assert_true(isinf(interference_ratio_db(PLAN_US, 16, -50.0)));
}

/* The noise of A/74's receivers, which were asked with 8-VSB, and the ratio of GE06 tell the same
 * within 1 dB: the larger one is taken. */
static void neighbours_in_region_1_are_those_of_ge06(void **state)
{
    (void)state;
    assumes("the larger of GE06's ratio and the noise of A/74's receivers");
    for (int side = -1; side <= 1; side += 2) {
        double ratio_db = interference_ratio_db(PLAN_REGION_1, side, -60.0);
        assert_near(ratio_db, -30.0, 1.0, "GE06, both neighbours (from memory)");
        assert_true(ratio_db >= -30.0);
    }
    assert_near(interference_ratio_db(PLAN_REGION_1, 0, -60.0), 19.0, 0,
                "ITU-R BT.1368, 64QAM 2/3 (from memory)");
}

/* At the ratio noise of the interference leaves 15.19 dB; on the same channel it is its power. */
static void interference_as_noise_leaves_the_threshold_at_the_ratio(void **state)
{
    (void)state;
    assumes("a threshold of 15.19 dB");
    for (int offset = -15; offset <= 15; offset++) {
        for (double desired = -90.0; desired < 0.0; desired += 7.0) {
            double undesired = desired - interference_ratio_db(PLAN_US, offset, desired);
            assert_near(desired - interference_as_noise_dbm(PLAN_US, offset, undesired, desired),
                        15.19, 1e-9, "47 CFR 73.623(c)(2)");
        }
        /* A stronger signal is never the worse for it. */
        double before = interference_as_noise_dbm(PLAN_US, offset, -30.0, -90.0) + 90.0;
        for (double desired = -89.0; desired < 0.0; desired += 1.0) {
            double after = interference_as_noise_dbm(PLAN_US, offset, -30.0, desired) - desired;
            assert_true(after <= before + 1e-9);
            before = after;
        }
    }
    assert_near(interference_as_noise_dbm(PLAN_US, 0, -71.5, -60.0), -71.5, 1e-12,
                "at its own power");
    assert_near(interference_third_order_dbm(-20.0, -20.0, 10.0), -80.0, 1e-12, "common practice");
}

static void antennas_hear_less_from_aside(void **state)
{
    (void)state;
    assumes("the antenna points to the wanted station");
    static const struct {
        enum band band;
        double beam, far, far_db;
    } rows[] = {{BAND_LOW_VHF, 50, 70, 6}, {BAND_HIGH_VHF, 27, 60, 12}, {BAND_UHF, 20, 60, 16}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        const char *source = "ITU-R BT.419-3, from memory";
        assert_near(antenna_discrimination_db(rows[i].band, rows[i].beam, NAN), 0.0, 1e-12, source);
        assert_near(antenna_discrimination_db(rows[i].band, -rows[i].far, NAN), rows[i].far_db,
                    1e-12, source);
        assert_near(antenna_discrimination_db(rows[i].band, 180.0, NAN), rows[i].far_db, 0, source);
        assert_near(antenna_discrimination_db(rows[i].band, 360.0 - rows[i].far, NAN),
                    rows[i].far_db, 1e-9, source);
        double middle = 0.5 * (rows[i].beam + rows[i].far);
        assert_near(antenna_discrimination_db(rows[i].band, middle, NAN), 0.5 * rows[i].far_db,
                    1e-9, source);
    }
    const char *source = "FCC OET Bulletin 69, cos^4, from memory";
    assert_near(antenna_discrimination_db(BAND_UHF, 40.0, 14.0),
                -80.0 * log10(cos(40.0 * PI / 180.0)), 1e-9, source);
    assert_near(antenna_discrimination_db(BAND_UHF, 180.0, 14.0), 14.0, 0, source);
    assert_near(antenna_discrimination_db(BAND_UHF, 0.0, 14.0), 0.0, 1e-12, source);
}

/* ---- Sums of log-normal powers. ---- */

static const struct {
    size_t count;
    struct log_normal parts[5];
    struct log_normal k_1, k_07, k_05;
    double low_1, low_07, low_05;
    struct log_normal simulated;
    double low_simulated;
} sums[] = {
    {2,
     {{60, 5.5}, {60, 5.5}},
     {64.118, 4.542},
     {64.601, 4.054},
     {64.995, 3.607},
     56.65,
     57.93,
     59.06,
     {64.37, 4.21},
     57.54},
    {2,
     {{60, 5.5}, {54, 5.5}},
     {61.616, 4.966},
     {62.153, 4.473},
     {62.602, 4.013},
     53.45,
     54.80,
     56.00,
     {62.02, 4.45},
     54.89},
    {3,
     {{60, 5.5}, {60, 5.5}, {60, 5.5}},
     {66.423, 3.988},
     {66.830, 3.517},
     {67.151, 3.095},
     59.86,
     61.04,
     62.06,
     {66.68, 3.60},
     60.92},
    {5,
     {{60, 5.5}, {60, 5.5}, {60, 5.5}, {60, 5.5}, {60, 5.5}},
     {69.203, 3.321},
     {69.512, 2.888},
     {69.746, 2.512},
     63.74,
     64.76,
     65.61,
     {69.41, 2.95},
     64.72},
    {2,
     {{60, 8.3}, {60, 8.3}},
     {64.460, 7.503},
     {65.188, 7.069},
     {65.858, 6.645},
     52.12,
     53.56,
     54.93,
     {65.61, 6.53},
     55.09},
    {5,
     {{60, 8.3}, {60, 8.3}, {60, 8.3}, {60, 8.3}, {60, 8.3}},
     {70.270, 6.356},
     {70.938, 5.882},
     {71.534, 5.424},
     59.82,
     61.26,
     62.61,
     {71.83, 4.82},
     64.31},
};

static void check_sum(size_t i, double k, struct log_normal expected, double low_db)
{
    assumes("parts fade each on its own");
    struct log_normal sum = log_normal_sum(sums[i].parts, sums[i].count, k);
    const char *source = "k-LNM (EBU Technical Review 295), computed apart";
    assert_near(sum.mean_db, expected.mean_db, 0.001, source);
    assert_near(sum.deviation_db, expected.deviation_db, 0.001, source);
    assert_near(log_normal_exceeded_db(&sum, 0.95), low_db, 0.006, source);
}

static void sums_of_log_normal_powers_meet_their_table(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(sums); i++) {
        check_sum(i, 1.0, sums[i].k_1, sums[i].low_1);
        check_sum(i, 0.7, sums[i].k_07, sums[i].low_07);
        check_sum(i, 0.5, sums[i].k_05, sums[i].low_05);
    }
}

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return x < y ? -1 : x > y;
}

/* The whole distribution drawn: the table's simulated column again, and k-LNM's 95 % point with the
 * planners' k near it at 5.5 dB. */
static void sums_of_log_normal_powers_are_as_drawn(void **state)
{
    (void)state;
    assumes("parts fade each on its own; a seed of our own");
    enum { DRAWS = 200000 };
    double *drawn = malloc(DRAWS * sizeof *drawn);
    assert_non_null(drawn);
    struct random random = random_seeded(1982, 0);
    for (size_t i = 0; i < COUNT(sums); i++) {
        double mean = 0.0, square = 0.0;
        for (int n = 0; n < DRAWS; n++) {
            double power = 0.0;
            for (size_t k = 0; k < sums[i].count; k++) {
                power += ratio_from_db(sums[i].parts[k].mean_db +
                                       sums[i].parts[k].deviation_db * random_normal(&random));
            }
            drawn[n] = db_from_ratio(power);
            mean += drawn[n] / DRAWS;
            square += drawn[n] * drawn[n] / DRAWS;
        }
        qsort(drawn, DRAWS, sizeof *drawn, ascending);
        double deviation = sqrt(square - mean * mean), low = drawn[DRAWS / 20];
        const char *source = "400 000 draws, computed apart";
        /* Of the mean 4 deviations, of the 5 % point some 0.05 dB. */
        assert_near(mean, sums[i].simulated.mean_db, 0.06, source);
        assert_near(deviation, sums[i].simulated.deviation_db, 0.05, source);
        assert_near(low, sums[i].low_simulated, 0.12, source);
        if (sums[i].parts[0].deviation_db == 5.5) {
            struct log_normal sum = log_normal_sum(sums[i].parts, sums[i].count, LOG_NORMAL_K);
            assert_near(log_normal_exceeded_db(&sum, 0.95), low, 0.5, "drawn, k = 0.7");
        }
    }
    free(drawn);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ratios_on_the_same_channel_are_those_of_the_regulation),
        cmocka_unit_test(the_ratio_is_that_of_added_noise),
        cmocka_unit_test(neighbours_bear_what_the_regulation_and_a74_ask),
        cmocka_unit_test(neighbours_in_region_1_are_those_of_ge06),
        cmocka_unit_test(interference_as_noise_leaves_the_threshold_at_the_ratio),
        cmocka_unit_test(antennas_hear_less_from_aside),
        cmocka_unit_test(sums_of_log_normal_powers_meet_their_table),
        cmocka_unit_test(sums_of_log_normal_powers_are_as_drawn),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
