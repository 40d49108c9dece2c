/* Information of a core under a layer that the receiver knows. */
#include "support/near.h"

#include <math.h>
#include <stdlib.h>

#include "base/random.h"
#include "base/units.h"
#include "physics/information/information.h"
#include "physics/information/layers.h"
#include "physics/information/superposed.h"
#include "simulation/modem/superposed.h"

static struct modem core, upper;

/* Bits as the demapper's own likelihood ratios tell them: m - mean of log2(1 + exp(-L)). */
static double drawn_bits(const struct superposed *layers, double snr_db, int cells, double *error)
{
    struct random random = random_seeded(5, (uint64_t)(layers->core * 8 + layers->enhanced));
    double alpha = sqrt(ratio_from_db(-layers->injection_db)), sum = 0.0, squares = 0.0;
    modem_build(&core, layers->core, layers->core_15ths);
    modem_build(&upper, layers->enhanced, layers->enhanced_15ths);
    double noise = (core.mean_power + alpha * alpha * upper.mean_power) / ratio_from_db(snr_db);
    for (int i = 0; i < cells; i++) {
        int c = (int)(random_bits(&random) % (unsigned)core.points);
        int e = (int)(random_bits(&random) % (unsigned)upper.points);
        double re = (double)core.re[c] + alpha * (double)upper.re[e];
        double im = (double)core.im[c] + alpha * (double)upper.im[e];
        double llr[12], missed = 0.0, sigma = sqrt(noise / 2.0);
        re += sigma * random_normal(&random);
        im += sigma * random_normal(&random);
        superposed_demap_by_definition(&core, &upper, alpha, re, im, 1.0 / noise, llr);
        for (int y = 0; y < core.bits; y++) {
            missed += log1p(exp(c >> (core.bits - 1 - y) & 1 ? llr[y] : -llr[y])) / log(2.0);
        }
        sum += missed;
        squares += missed * missed;
    }
    double mean = sum / cells;
    *error = sqrt((squares / cells - mean * mean) / cells);
    return core.bits - mean;
}

static void information_is_what_a_demapper_of_both_layers_learns(void **state)
{
    (void)state;
    static const struct superposed rows[] = {{QPSK, QPSK, 6, 6, 2.0},
                                             {QPSK, QAM16, 6, 9, 0.0},
                                             {QPSK, QAM64, 6, 7, 5.0},
                                             {QAM16, QPSK, 7, 6, 8.0},
                                             {QAM16, QAM16, 9, 9, 6.0}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        for (double snr_db = 0.0; snr_db < 20.0; snr_db += 8.0) {
            double error, drawn = drawn_bits(&rows[i], snr_db, 3000, &error);
            assert_near(superposed_core_bits(&rows[i], snr_db), drawn, 4.0 * error,
                        "drawn cells, four standard errors");
        }
    }
}

static void a_layer_far_below_is_as_good_as_none(void **state)
{
    (void)state;
    const struct superposed layers = {QAM16, QAM64, 9, 9, 25.0};
    for (double snr_db = -4.0; snr_db < 8.0; snr_db += 4.0) {
        assert_near(superposed_core_bits(&layers, snr_db), information_awgn(QAM16, 9, snr_db), 0.02,
                    "alone");
        struct information_curve curve = layered_core_curve(information_curve_of(QAM16, 9), 25.0);
        assert_near(superposed_core_bits(&layers, snr_db), information_curve_bits(&curve, snr_db),
                    0.001, "noise of its power");
    }
}

static void the_needed_snr_gives_the_bits(void **state)
{
    (void)state;
    static const struct superposed rows[] = {
        {QPSK, QPSK, 6, 6, 4.0}, {QPSK, QAM4096, 6, 13, 0.0}, {QAM16, QAM64, 9, 9, 5.0}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        for (double bits = 0.3; bits < 1.0; bits += 0.3) {
            double snr_db = superposed_core_snr_db(&rows[i], bits, -10.0);
            assert_near(superposed_core_bits(&rows[i], snr_db), bits, 1e-5, "the other way");
        }
    }
    /* Noise of that power would allow at most the information at an SNR of 0 dB. */
    const struct superposed equal = {QPSK, QAM16, 6, 9, 0.0};
    assert_true(isfinite(superposed_core_snr_db(&equal, 1.5, 0.0)));
    assert_false(isfinite(layered_core_snr_db(2.0, 0.0)));
    assert_false(isfinite(superposed_core_snr_db(&equal, 2.5, 0.0)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(information_is_what_a_demapper_of_both_layers_learns),
        cmocka_unit_test(a_layer_far_below_is_as_good_as_none),
        cmocka_unit_test(the_needed_snr_gives_the_bits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
