/* Curves of evenly spaced sets: the committed table against the quadrature, and limits of DVB-T2.
 */
#include "support/near.h"

#include <math.h>

#include "physics/information/information.h"
#include "physics/information/uniform.h"
#include "standard/dvbt2/code.h"

static void the_table_is_what_the_quadrature_gives(void **state)
{
    (void)state;
    static const int alphas[] = {1, 2, 4};
    int sets = 0;
    for (int bits = 2; bits <= 8; bits += 2) {
        for (int i = 0; i < 3 * STREAM_COUNT; i++) {
            int alpha = alphas[i / STREAM_COUNT];
            enum uniform_stream stream = (enum uniform_stream)(i % STREAM_COUNT);
            if (uniform_set(bits, alpha, stream) < 0) {
                continue;
            }
            struct information_curve curve = information_curve_uniform(bits, alpha, stream);
            for (double snr_db = -20.3; snr_db < 40.0; snr_db += 7.1) {
                assert_near(information_curve_bits(&curve, snr_db),
                            information_uniform_by_quadrature(bits, alpha, stream, snr_db, 64),
                            1e-4, "quadrature of order 64");
            }
            sets++;
        }
    }
    assert_int_equal(sets, UNIFORM_SETS);
}

static void qpsk_is_the_same_set_in_both_tables(void **state)
{
    (void)state;
    struct information_curve curve = information_curve_uniform(2, 1, STREAM_ALL);
    assert_near(information_curve_bits(&curve, 3.3), information_awgn(QPSK, 5, 3.3), 1e-9,
                "information_table.c");
}

static void streams_of_one_set_add_up_to_it(void **state)
{
    (void)state;
    struct information_curve all = information_curve_uniform(6, 1, STREAM_ALL);
    struct information_curve high = information_curve_uniform(6, 1, STREAM_HIGH);
    struct information_curve low = information_curve_uniform(6, 1, STREAM_LOW);
    for (double snr_db = -10.0; snr_db < 30.0; snr_db += 3.7) {
        assert_near(information_curve_bits(&high, snr_db) + information_curve_bits(&low, snr_db),
                    information_curve_bits(&all, snr_db), 2e-5, "bits of one cell");
    }
}

static void a_wider_gap_between_quadrants_helps_the_high_stream_and_costs_the_low_one(void **state)
{
    (void)state;
    double high = 0.0, low = 1e9;
    static const int alphas[] = {1, 2, 4};
    for (int i = 0; i < 3; i++) {
        struct information_curve h = information_curve_uniform(4, alphas[i], STREAM_HIGH);
        struct information_curve l = information_curve_uniform(4, alphas[i], STREAM_LOW);
        assert_true(information_curve_bits(&h, 5.0) > high);
        assert_true(information_curve_bits(&l, 10.0) < low);
        high = information_curve_bits(&h, 5.0);
        low = information_curve_bits(&l, 10.0);
    }
}

/* White noise and Rayleigh, rates 1/2 to 5/6: another program's integration. */
static const double limits[T2_CONSTELLATION_COUNT][T2_PLP_RATES][2] = {
    [T2_QPSK] =
        {{0.19, 1.83}, {1.47, 3.64}, {2.31, 4.92}, {3.39, 6.71}, {4.08, 7.98}, {4.58, 8.96}},
    [T2_16QAM] =
        {{5.28, 7.12}, {6.89, 9.12}, {7.95, 10.51}, {9.31, 12.42}, {10.16, 13.76}, {10.76, 14.78}},
    [T2_64QAM] = {{9.44, 11.39},
                  {11.41, 13.67},
                  {12.72, 15.22},
                  {14.39, 17.31},
                  {15.43, 18.73},
                  {16.14, 19.81}},
    [T2_256QAM] = {{13.25, 15.27},
                   {15.68, 17.92},
                   {17.25, 19.69},
                   {19.25, 22.01},
                   {20.49, 23.55},
                   {21.34, 24.70}},
};

static void limits_of_t2_are_those_of_another_integration(void **state)
{
    (void)state;
    for (int i = 0; i < T2_CONSTELLATION_COUNT * T2_PLP_RATES; i++) {
        enum t2_constellation constellation = (enum t2_constellation)(i / T2_PLP_RATES);
        enum t2_rate rate = (enum t2_rate)(i % T2_PLP_RATES);
        int bits = t2_constellation_bits(constellation);
        struct information_curve curve = information_curve_uniform(bits, 1, STREAM_ALL);
        double wanted = bits * t2_true_rate(T2_64800, rate);
        const double *limit = limits[constellation][rate];
        assert_near(information_curve_snr_db(&curve, wanted), limit[0], 0.02,
                    "computed for the notes on the second pair: BICM limit, white noise");
        assert_near(information_curve_rayleigh_snr_db(&curve, wanted), limit[1], 0.05,
                    "computed for the notes on the second pair: BICM limit, Rayleigh");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_table_is_what_the_quadrature_gives),
        cmocka_unit_test(qpsk_is_the_same_set_in_both_tables),
        cmocka_unit_test(streams_of_one_set_add_up_to_it),
        cmocka_unit_test(a_wider_gap_between_quadrants_helps_the_high_stream_and_costs_the_low_one),
        cmocka_unit_test(limits_of_t2_are_those_of_another_integration),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
