#include "support/near.h"

#include <complex.h>
#include <math.h>

#include <gsl/gsl_integration.h>

#include "base/units.h"
#include "physics/information/gauss_hermite.h"
#include "physics/information/information.h"
#include "physics/information/required_snr.h"
#include "physics/information/sets.h"
#include "standard/atsc3/constellation.h"
#include "support/effort.h"

/* ---- An independent way: differential entropies integrated over the received signal by GSL. ----
 */

struct plane {
    int bits, count;
    double noise; /* complex noise power */
    double complex points[256];
    double re;
    gsl_integration_workspace *inner;
};

/* From densities p(y|x) p(x) of all points: sum over bits and their values b of
 * 1/2 p(y|b) log2(p(y|b) / p(y)), which integrates to the information. */
static double density_of_information(const double *densities, int bits)
{
    double sum = 0.0;
    for (int bit = 0; bit < bits; bit++) {
        double given[2] = {0.0, 0.0};
        for (int i = 0; i < 1 << bits; i++) {
            given[i >> bit & 1] += 2.0 * densities[i];
        }
        for (int b = 0; b < 2; b++) {
            double ratio = 2.0 * given[b] / (given[0] + given[1]);
            sum += given[b] > 0.0 ? 0.5 * given[b] * log2(ratio) : 0.0;
        }
    }
    return sum;
}

static double along_im(double im, void *context)
{
    const struct plane *plane = context;
    double densities[256];
    for (int i = 0; i < plane->count; i++) {
        double a = plane->re - creal(plane->points[i]), b = im - cimag(plane->points[i]);
        densities[i] = exp(-(a * a + b * b) / plane->noise) / (PI * plane->noise) / plane->count;
    }
    return density_of_information(densities, plane->bits);
}

static double reach(double noise)
{
    return 2.0 + 7.0 * sqrt(noise); /* no level lies beyond 2 */
}

static double along_re(double re, void *context)
{
    struct plane *plane = context;
    plane->re = re;
    gsl_function function = {along_im, plane};
    double result, error, end = reach(plane->noise);
    gsl_integration_qag(&function, -end, end, 1e-8, 1e-7, 1000, GSL_INTEG_GAUSS21, plane->inner,
                        &result, &error);
    return result;
}

static double by_gsl_plane(enum constellation constellation, int rate, double snr_db)
{
    struct plane plane = {.bits = constellation_bits(constellation)};
    plane.count = constellation_fill(constellation, rate, plane.points);
    double power = 0.0;
    for (int i = 0; i < plane.count; i++) {
        power += cabs(plane.points[i]) * cabs(plane.points[i]) / plane.count;
    }
    plane.noise = power / ratio_from_db(snr_db);
    plane.inner = gsl_integration_workspace_alloc(1000);
    gsl_integration_workspace *outer = gsl_integration_workspace_alloc(1000);
    gsl_function function = {along_re, &plane};
    double result, error, end = reach(plane.noise);
    gsl_integration_qag(&function, -end, end, 1e-7, 1e-7, 1000, GSL_INTEG_GAUSS21, outer, &result,
                        &error);
    gsl_integration_workspace_free(outer);
    gsl_integration_workspace_free(plane.inner);
    return result;
}

struct line {
    int bits, count;
    double noise;
    double levels[CONSTELLATION_LEVELS_MAX];
};

static double along_line(double y, void *context)
{
    const struct line *line = context;
    double densities[CONSTELLATION_LEVELS_MAX];
    for (int i = 0; i < line->count; i++) {
        double apart = y - line->levels[i];
        densities[i] = exp(-apart * apart / line->noise) / sqrt(PI * line->noise) / line->count;
    }
    return density_of_information(densities, line->bits);
}

static double by_gsl_line(enum constellation constellation, int rate, double snr_db)
{
    struct line line = {.bits = constellation_bits(constellation) / 2};
    line.count = constellation_levels(constellation, rate, line.levels);
    double power = 0.0;
    for (int i = 0; i < line.count; i++) {
        power += 2.0 * line.levels[i] * line.levels[i] / line.count;
    }
    line.noise = power / ratio_from_db(snr_db);
    gsl_integration_workspace *work = gsl_integration_workspace_alloc(4000);
    gsl_function function = {along_line, &line};
    double result, error, end = reach(line.noise);
    gsl_integration_qag(&function, -end, end, 1e-10, 1e-10, 4000, GSL_INTEG_GAUSS31, work, &result,
                        &error);
    gsl_integration_workspace_free(work);
    return 2.0 * result;
}

/* ---- Tests ---- */

static void hermite_rules_integrate_polynomials_exactly(void **state)
{
    (void)state;
    for (int n = 1; n <= GAUSS_HERMITE_ORDER_MAX; n++) {
        double nodes[GAUSS_HERMITE_ORDER_MAX], weights[GAUSS_HERMITE_ORDER_MAX];
        gauss_hermite(n, nodes, weights);
        double expected = 1.0; /* moments: 1, 1/2, 3/4, 15/8, ... */
        for (int power = 0; power <= 2 * n - 1 && power <= 24; power += 2) {
            double sum = 0.0;
            for (int i = 0; i < n; i++) {
                sum += weights[i] * pow(nodes[i], power);
            }
            assert_near(sum / expected, 1.0, 1e-11, "moments of the normal distribution");
            expected *= (power + 1) / 2.0;
        }
    }
}

static void quadrature_agrees_with_gsl_on_one_axis(void **state)
{
    (void)state;
    assumes("points equally likely, each bit decoded by itself");
    static const struct {
        enum constellation constellation;
        int rate;
        double snr_db;
    } cases[] = {{QPSK, 5, -8.0},     {QPSK, 5, 1.0},      {QPSK, 5, 9.0},       {QAM1024, 2, 3.0},
                 {QAM1024, 7, 14.0},  {QAM1024, 13, 27.0}, {QAM4096, 2, 20.0},   {QAM4096, 8, 19.0},
                 {QAM4096, 13, 32.0}, {QAM4096, 13, 45.0}, {QAM1024, 10, -15.0}, {QAM4096, 6, 0.0}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        double expected = by_gsl_line(cases[i].constellation, cases[i].rate, cases[i].snr_db);
        double got =
            information_by_quadrature(cases[i].constellation, cases[i].rate, cases[i].snr_db, 64);
        assert_near(got, expected, 2e-5, "GSL adaptive integration of entropies");
    }
}

static void quadrature_agrees_with_gsl_on_the_plane(void **state)
{
    (void)state;
    assumes("points equally likely, each bit decoded by itself");
    static const struct {
        enum constellation constellation;
        int rate;
        double snr_db;
    } cases[] = {{QAM16, 3, 2.0}, {QAM16, 11, 9.0}, {QAM64, 12, 15.0}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        double expected = by_gsl_plane(cases[i].constellation, cases[i].rate, cases[i].snr_db);
        double got =
            information_by_quadrature(cases[i].constellation, cases[i].rate, cases[i].snr_db, 48);
        assert_near(got, expected, 2e-5, "GSL adaptive integration of entropies");
    }
}

#define FOR_EVERY_SET(constellation, rate)                                    \
    for (int constellation = QPSK; constellation <= QAM4096; constellation++) \
        for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate++)       \
            if (constellation != QPSK || rate == RATE_MIN_15THS)

static void two_orders_agree(void **state)
{
    (void)state;
    assumes("the order of the quadrature alone differs");
    FOR_EVERY_SET(c, rate)
    {
        double snr_db = limit_snr_db((enum constellation)c, rate, FADING_AWGN);
        assert_near(information_by_quadrature((enum constellation)c, rate, snr_db, 24),
                    information_by_quadrature((enum constellation)c, rate, snr_db, 40), 1e-4,
                    "order 24 against order 40");
    }
}

/* Between the samples, from well below the set's limit to well above; a sample looks at the first
 * and the last of the sets and each fifth between. */
static void the_table_reproduces_the_quadrature(void **state)
{
    (void)state;
    size_t set = 0, step = effort(5, 1, 1);
    double worst = 0.0;
    FOR_EVERY_SET(c, rate)
    {
        if (set++ % step != 0) {
            continue;
        }
        double limit_db = limit_snr_db((enum constellation)c, rate, FADING_AWGN);
        for (int i = -2; i <= 2; i++) {
            double snr_db = floor(limit_db) + 0.25 + 4.125 * i;
            double exact = information_by_quadrature((enum constellation)c, rate, snr_db, 48);
            worst =
                fmax(worst, fabs(information_awgn((enum constellation)c, rate, snr_db) - exact));
        }
    }
    print_message("table: largest difference from quadrature %.2g bit\n", worst);
    assert_between(worst, 0.0, 1e-4, "the header's promise");
}

/* Every sample against its neighbours: from four of them a cubic foretells it to 74 millionths of a
 * bit at worst; at the weak end it grows with the SNR. */
static void no_sample_of_the_table_stands_out(void **state)
{
    (void)state;
    for (int set = 0; set < INFORMATION_SETS; set++) {
        const uint32_t *y = information_microbits + information_starts[set];
        int count = information_starts[set + 1] - information_starts[set];
        for (int i = 0; i < 3; i++) {
            assert_near((double)y[i + 1] / y[i], ratio_from_db(INFORMATION_STEP_DB), 2e-3,
                        "in proportion to the SNR");
        }
        for (int i = 2; i < count - 2; i++) {
            double around = (double)y[i - 1] + y[i + 1], beyond = (double)y[i - 2] + y[i + 2];
            assert_near(y[i], (4.0 * around - beyond) / 6.0, 100.0, "cubic through its neighbours");
        }
        assert_between(y[count - 2], y[count - 3], y[count - 1], "rising to the end");
    }
}

static void information_grows_from_nothing_to_all_bits(void **state)
{
    (void)state;
    FOR_EVERY_SET(c, rate)
    {
        double before = 0.0;
        for (double snr_db = -60.0; snr_db <= 70.0; snr_db += 0.37) {
            double bits = information_awgn((enum constellation)c, rate, snr_db);
            assert_true(bits >= before - 1e-6); /* samples are rounded to a millionth */
            before = bits;
        }
        assert_true(before <= constellation_bits((enum constellation)c));
        assert_near(information_awgn((enum constellation)c, rate, -200.0), 0.0, 1e-12, "no signal");
        if (rate == RATE_MAX_15THS) {
            assert_near(before, constellation_bits((enum constellation)c), 2e-6, "no noise");
        }
    }
    assert_near(information_awgn(QPSK, 2, -INFINITY), 0.0, 0.0, "no signal");
    assert_near(information_awgn(QPSK, 2, INFINITY), 2.0, 2e-6, "no noise");
}

static void weak_signals_carry_their_power_over_ln_2(void **state)
{
    (void)state;
    for (double snr_db = -50.0; snr_db <= -30.0; snr_db += 4.0) {
        double snr = ratio_from_db(snr_db), first_order = snr / log(2.0);
        assert_near(information_by_quadrature(QPSK, 2, snr_db, 32) / first_order, 1.0 - snr / 2.0,
                    2.0 * snr * snr + 1e-8, "ln(1 + snr) to second order; rounding");
        /* Below -28 dB the table goes on in proportion: half that SNR, and rounding, in error. */
        assert_near(information_awgn(QPSK, 2, snr_db) / first_order, 1.0, 1.1e-3,
                    "ln(1 + snr) to first order");
    }
}

static void the_inverse_inverts(void **state)
{
    (void)state;
    FOR_EVERY_SET(c, rate)
    {
        enum constellation constellation = (enum constellation)c;
        for (double share = 0.0005; share < 0.99; share += 0.0213) {
            double bits = share * information_awgn(constellation, rate, 60.0);
            double snr_db = information_inverse_db(constellation, rate, bits);
            assert_near(information_awgn(constellation, rate, snr_db), bits, 1e-9, "round trip");
        }
        assert_true(information_inverse_db(constellation, rate, 0.0) == -INFINITY);
        assert_true(information_inverse_db(constellation, rate, -1.0) == -INFINITY);
        assert_true(information_inverse_db(constellation, rate,
                                           constellation_bits(constellation)) == INFINITY);
    }
    assert_true(isnan(information_inverse_db(QPSK, 2, NAN)));
}

static double faded(double power, void *context)
{
    double mean = *(double *)context;
    return exp(-power) * information_by_quadrature(QAM16, 9, db_from_ratio(mean * power), 48);
}

static void the_rayleigh_mean_agrees_with_gsl(void **state)
{
    (void)state;
    assumes("powers are exponential, the channel is known");
    gsl_integration_workspace *work = gsl_integration_workspace_alloc(1000);
    for (double mean_db = -10.0; mean_db <= 30.0; mean_db += 8.0) {
        double mean = ratio_from_db(mean_db), result, error;
        gsl_function function = {faded, &mean};
        gsl_integration_qagiu(&function, 0.0, 1e-6, 1e-6, 1000, work, &result, &error);
        assert_near(information_rayleigh(QAM16, 9, mean_db), result, 5e-5, "GSL integration");
    }
    gsl_integration_workspace_free(work);
}

static void fading_costs_information_at_the_limit(void **state)
{
    (void)state;
    FOR_EVERY_SET(c, rate)
    {
        double limit_db = limit_snr_db((enum constellation)c, rate, FADING_AWGN);
        assert_true(information_rayleigh((enum constellation)c, rate, limit_db) <
                    information_awgn((enum constellation)c, rate, limit_db));
    }
}

static void committed_limits_follow_from_the_information(void **state)
{
    (void)state;
    for (int c = QPSK; c <= QAM4096; c++) {
        for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate++) {
            enum constellation constellation = (enum constellation)c;
            double bits = rate / 15.0 * constellation_bits(constellation);
            double awgn_db = limit_snr_db(constellation, rate, FADING_AWGN);
            double rayleigh_db = limit_snr_db(constellation, rate, FADING_RAYLEIGH);
            assert_near(information_by_quadrature(constellation, rate, awgn_db, 40), bits, 1e-4,
                        "quadrature at the committed limit");
            assert_near(information_rayleigh(constellation, rate, rayleigh_db), bits, 1e-4,
                        "Rayleigh mean at the committed limit");
            assert_near(information_inverse_db(constellation, rate, bits), awgn_db, 1e-4,
                        "inverse of the table");
            assert_near(information_inverse_rayleigh_db(constellation, rate, bits), rayleigh_db,
                        1e-4, "inverse of the table");
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hermite_rules_integrate_polynomials_exactly),
        cmocka_unit_test(quadrature_agrees_with_gsl_on_one_axis),
        cmocka_unit_test(quadrature_agrees_with_gsl_on_the_plane),
        cmocka_unit_test(two_orders_agree),
        cmocka_unit_test(the_table_reproduces_the_quadrature),
        cmocka_unit_test(no_sample_of_the_table_stands_out),
        cmocka_unit_test(information_grows_from_nothing_to_all_bits),
        cmocka_unit_test(weak_signals_carry_their_power_over_ln_2),
        cmocka_unit_test(the_inverse_inverts),
        cmocka_unit_test(the_rayleigh_mean_agrees_with_gsl),
        cmocka_unit_test(fading_costs_information_at_the_limit),
        cmocka_unit_test(committed_limits_follow_from_the_information),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
