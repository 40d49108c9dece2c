#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "simulation/chain/coding.h"
#include "simulation/modem/modem.h"
#include "simulation/modem/noise.h"

#define CELLS 64
#define STRIDE 80 /* more than CELLS: the padding must stay untouched */

static struct modem modem;

/* Random cells around random points at a noise power that fits the constellation. */
static void make_cells(struct random *random, double noise_power, float *re, float *im,
                       float *inverse_noise)
{
    for (int i = 0; i < CELLS; i++) {
        int point = (int)(random_bits(random) % (unsigned)modem.points);
        double gain = -log(1.0 - random_uniform(random)) + 1e-3;
        double sigma = sqrt(noise_power / gain / 2.0);
        re[i] = modem.re[point] + (float)(sigma * random_normal(random));
        im[i] = modem.im[point] + (float)(sigma * random_normal(random));
        inverse_noise[i] = (float)(gain / noise_power);
    }
}

static void check_against_definition(enum demapper_method method, double snr_db)
{
    float re[CELLS], im[CELLS], inverse_noise[CELLS], planes[12 * STRIDE];
    double expected[12];
    struct random random = random_seeded(5, (uint64_t)modem.points);
    make_cells(&random, pow(10.0, -snr_db / 10.0), re, im, inverse_noise);
    for (int i = 0; i < 12 * STRIDE; i++) {
        planes[i] = 99.0f;
    }
    kernels_best()->demap(&modem.demapper, method, (struct received){re, im, inverse_noise, CELLS},
                          (struct bit_planes){planes, STRIDE});
    for (int i = 0; i < CELLS; i++) {
        modem_demap_by_definition(&modem, method, (double)re[i], (double)im[i],
                                  (double)inverse_noise[i], expected);
        /* Exponents are differences of single-precision numbers of this size. The exact method
         * drops what is below exp(-80) of the most likely. */
        double size = ((double)re[i] * (double)re[i] + (double)im[i] * (double)im[i] + 6.0) *
                      (double)inverse_noise[i];
        for (int y = 0; y < modem.bits; y++) {
            double got = (double)planes[y * STRIDE + i];
            if (method == DEMAP_EXACT && modem.points > 4 && fabs(expected[y]) > 74.0) {
                assert_true(got * expected[y] > 0.0 && fabs(got) > 73.9);
            } else {
                double floor = modem.points * exp(fabs(expected[y]) - 80.0);
                assert_near(got, expected[y], 3e-6 + 1e-6 * size + floor, "sum over all points");
            }
        }
    }
    for (int y = 0; y < modem.bits; y++) {
        assert_true(planes[y * STRIDE + CELLS] == 99.0f);
    }
}

static void check_all(enum demapper_method method)
{
    for (int c = QPSK; c < CONSTELLATION_COUNT; c++) {
        for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate += c == QAM4096 ? 11 : 1) {
            modem_build(&modem, (enum constellation)c, rate);
            for (int snr_db = -6; snr_db <= 36; snr_db += c >= QAM256 ? 14 : 7) {
                check_against_definition(method, snr_db);
            }
        }
    }
}

static void exact_demapping_equals_the_sum_over_all_points(void **state)
{
    (void)state;
    check_all(DEMAP_EXACT);
}

static void max_log_demapping_equals_the_best_points(void **state)
{
    (void)state;
    check_all(DEMAP_MAX_LOG);
}

/* A rotated set of DVB-T2 whose parts meet noise of their own. */
static struct received_apart make_apart(enum t2_constellation constellation, double noise_power,
                                        float room[4][CELLS])
{
    struct t2_code code = {.constellation = constellation, .rotation = true};
    struct coding coding = coding_of_t2(&code);
    static double complex points[CONSTELLATION_POINTS_MAX];
    struct random random = random_seeded(8, (uint64_t)constellation);
    assert_int_equal(coding.fill_points(&coding, points), 0);
    modem_make(&modem, coding.cell_bits, points, 0);
    make_cells(&random, noise_power, room[0], room[2], room[1]);
    for (int i = 0; i < CELLS; i++) {
        room[3][i] = i % 5 ? room[1][(i + 1) % CELLS] : 1e-9f; /* some lost altogether */
    }
    return (struct received_apart){room[0], room[1], room[2], room[3], CELLS};
}

static void parts_that_come_apart_are_demapped_by_the_sum_over_all_points(void **state)
{
    (void)state;
    float room[4][CELLS], planes[8 * STRIDE];
    double expected[8];
    for (int i = 0; i < T2_CONSTELLATION_COUNT * 2 * 3; i++) {
        enum demapper_method method = i % 2 ? DEMAP_MAX_LOG : DEMAP_EXACT;
        double noise_power = pow(10.0, -(i / 2 % 3));
        struct received_apart cells = make_apart((enum t2_constellation)(i / 6), noise_power, room);
        kernels_best()->demap_apart(modem_points(&modem), method, cells,
                                    (struct bit_planes){planes, STRIDE});
        for (int k = 0; k < CELLS; k++) {
            const double parts[2] = {(double)room[0][k], (double)room[2][k]};
            const double inverse[2] = {(double)room[1][k], (double)room[3][k]};
            modem_demap_apart_by_definition(&modem, method, parts, inverse, expected);
            double size =
                (parts[0] * parts[0] + 3.0) * inverse[0] + (parts[1] * parts[1] + 3.0) * inverse[1];
            for (int y = 0; y < modem.bits; y++) {
                double got = (double)planes[y * STRIDE + k];
                if (method == DEMAP_EXACT && fabs(expected[y]) > 74.0) {
                    assert_true(got * expected[y] > 0.0 && fabs(got) > 73.9);
                } else {
                    double floor = modem.points * exp(fabs(expected[y]) - 80.0);
                    assert_near(got, expected[y], 3e-6 + 1e-6 * size + floor,
                                "sum over all points");
                }
            }
        }
    }
}

static void every_processor_family_gives_the_same_bits(void **state)
{
    (void)state;
    float re[CELLS], im[CELLS], inverse_noise[CELLS], plain[12 * STRIDE], fast[12 * STRIDE];
    static float normal[2][4096], exponential[2][4096];
    memset(plain, 0, sizeof plain);
    memset(fast, 0, sizeof fast);
    for (int kind = SIMD_PLAIN + 1; kind < SIMD_KIND_COUNT; kind++) {
        const struct kernels *sets[2] = {kernels_of(SIMD_PLAIN), kernels_of((enum simd_kind)kind)};
        if (!sets[1]) {
            continue;
        }
        for (int c = QPSK; c < CONSTELLATION_COUNT; c++) {
            struct random random = random_seeded(6, (uint64_t)c);
            modem_build(&modem, (enum constellation)c, 8);
            make_cells(&random, 0.05, re, im, inverse_noise);
            for (int method = DEMAP_EXACT; method <= DEMAP_MAX_LOG; method++) {
                struct received cells = {re, im, inverse_noise, CELLS};
                sets[0]->demap(&modem.demapper, (enum demapper_method)method, cells,
                               (struct bit_planes){plain, STRIDE});
                sets[1]->demap(&modem.demapper, (enum demapper_method)method, cells,
                               (struct bit_planes){fast, STRIDE});
                assert_memory_equal(plain, fast, sizeof plain);
            }
        }
        for (int c = 0; c < T2_CONSTELLATION_COUNT * 2; c++) {
            enum demapper_method method = c % 2 ? DEMAP_MAX_LOG : DEMAP_EXACT;
            float room[4][CELLS];
            struct received_apart cells = make_apart((enum t2_constellation)(c / 2), 0.05, room);
            for (int k = 0; k < 2; k++) {
                sets[k]->demap_apart(modem_points(&modem), method, cells,
                                     (struct bit_planes){k ? fast : plain, STRIDE});
            }
            assert_memory_equal(plain, fast, sizeof plain);
        }
        for (int k = 0; k < 2; k++) {
            struct random random = random_seeded(7, 0);
            struct noise noise = noise_seeded(&random);
            sets[k]->normal(&noise, normal[k], 4096);
            sets[k]->exponential(&noise, exponential[k], 4096);
            sets[k]->add_noise(normal[k], exponential[k], exponential[k], 0.3f, 4096);
        }
        assert_memory_equal(normal[0], normal[1], sizeof normal[0]);
        assert_memory_equal(exponential[0], exponential[1], sizeof exponential[0]);
    }
}

static void mapping_follows_the_bits_of_a_cell(void **state)
{
    (void)state;
    for (int c = QPSK; c < CONSTELLATION_COUNT; c++) {
        static uint8_t planes[12 * CONSTELLATION_POINTS_MAX];
        static float re[CONSTELLATION_POINTS_MAX], im[CONSTELLATION_POINTS_MAX];
        static double complex points[CONSTELLATION_POINTS_MAX];
        modem_build(&modem, (enum constellation)c, 11);
        constellation_fill((enum constellation)c, 11, points);
        for (int i = 0; i < modem.points; i++) {
            for (int y = 0; y < modem.bits; y++) {
                planes[y * CONSTELLATION_POINTS_MAX + i] = i >> (modem.bits - 1 - y) & 1;
            }
        }
        modem_map(&modem, planes, CONSTELLATION_POINTS_MAX, modem.points, re, im);
        for (int i = 0; i < modem.points; i++) {
            assert_near((double)re[i], creal(points[i]), 1e-7, "constellation_fill");
            assert_near((double)im[i], cimag(points[i]), 1e-7, "constellation_fill");
        }
    }
}

/* Hard decisions on `cells` QPSK or uniform-like 16QAM cells; the share of wrong bits. */
static double bit_error_rate(double snr_db, int cells, int fading, double *errors_by_plane)
{
    size_t size = sizeof(float) * (size_t)cells;
    float *re = malloc(size), *im = malloc(size), *gain = malloc(size), *planes = malloc(12 * size),
          *noise = malloc(size);
    uint8_t *sent = malloc(12 * (size_t)cells);
    struct random random = random_seeded(8, (uint64_t)(snr_db * 100.0 + 1000.0));
    struct noise source = noise_seeded(&random);
    const struct kernels *kernels = kernels_best();
    double sigma2 = modem.mean_power * pow(10.0, -snr_db / 10.0);
    long errors = 0;
    assert_true(re && im && gain && planes && noise && sent);
    for (int i = 0; i < modem.bits * cells; i++) {
        sent[i] = random_bits(&random) >> 63;
    }
    modem_map(&modem, sent, cells, cells, re, im);
    for (int i = 0; i < cells; i++) {
        gain[i] = 1.0f;
    }
    if (fading) {
        kernels->exponential(&source, gain, cells);
    }
    kernels->normal(&source, noise, cells);
    kernels->add_noise(re, noise, gain, (float)sqrt(sigma2 / 2.0), cells);
    kernels->normal(&source, noise, cells);
    kernels->add_noise(im, noise, gain, (float)sqrt(sigma2 / 2.0), cells);
    for (int i = 0; i < cells; i++) {
        gain[i] /= (float)sigma2;
    }
    kernels->demap(&modem.demapper, DEMAP_MAX_LOG, (struct received){re, im, gain, cells},
                   (struct bit_planes){planes, cells});
    for (int y = 0; y < modem.bits; y++) {
        long wrong = 0;
        for (int i = 0; i < cells; i++) {
            wrong += (planes[y * cells + i] < 0.0f) != sent[y * cells + i];
        }
        errors_by_plane[y] = (double)wrong / cells;
        errors += wrong;
    }
    free(re), free(im), free(gain), free(planes), free(noise), free(sent);
    return (double)errors / ((double)cells * modem.bits);
}

static double tail(double x)
{
    return 0.5 * erfc(x / sqrt(2.0));
}

#define MANY (1 << 18)

static double five_sigma(double rate, double bits)
{
    return 5.0 * sqrt(rate * (1.0 - rate) / bits);
}

static void uncoded_qpsk_meets_the_closed_form(void **state)
{
    (void)state;
    assumes("white noise");
    double planes[12];
    modem_build(&modem, QPSK, 2);
    for (double snr_db = 0.0; snr_db <= 10.0; snr_db += 2.0) {
        double expected = tail(sqrt(pow(10.0, snr_db / 10.0)));
        assert_near(bit_error_rate(snr_db, MANY, 0, planes), expected,
                    five_sigma(expected, 2.0 * MANY), "Q(sqrt(SNR))");
    }
}

/* Rayleigh: (1 - sqrt(g / (1 + g))) / 2 with g the mean SNR of one of the two bits. */
static void uncoded_qpsk_in_rayleigh_fading_meets_the_closed_form(void **state)
{
    (void)state;
    assumes("cells fade each on its own, the channel is known");
    double planes[12];
    modem_build(&modem, QPSK, 2);
    for (double snr_db = 0.0; snr_db <= 30.0; snr_db += 6.0) {
        double g = pow(10.0, snr_db / 10.0) / 2.0;
        double expected = 0.5 * (1.0 - sqrt(g / (1.0 + g)));
        assert_near(bit_error_rate(snr_db, MANY, 1, planes), expected,
                    five_sigma(expected, 2.0 * MANY), "(1 - sqrt(g / (1 + g))) / 2");
    }
}

/* A/322's 16QAM at 12/15 is nearly the uniform square: levels 0.2949 and 0.9555, Gray-mapped, so a
 * sign is wrong beyond 0, a magnitude beyond the middle between the levels or its mirror image. */
static void uncoded_16qam_meets_the_closed_form(void **state)
{
    (void)state;
    assumes("white noise; levels 0.2949 and 0.9555");
    double planes[12];
    modem_build(&modem, QAM16, 12);
    for (double snr_db = 6.0; snr_db <= 18.0; snr_db += 3.0) {
        double s = sqrt(2.0 * pow(10.0, snr_db / 10.0) / modem.mean_power);
        double low = 0.2949 * s, high = 0.9555 * s, middle = (low + high) / 2.0;
        double sign = (tail(low) + tail(high)) / 2.0;
        double magnitude =
            (tail(high - middle) - tail(high + middle) + tail(middle - low) + tail(middle + low)) /
            2.0;
        bit_error_rate(snr_db, MANY, 0, planes);
        for (int y = 0; y < 4; y++) {
            double expected = y < 2 ? sign : magnitude;
            assert_near(planes[y], expected, five_sigma(expected, MANY), "Gaussian tails");
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(exact_demapping_equals_the_sum_over_all_points),
        cmocka_unit_test(max_log_demapping_equals_the_best_points),
        cmocka_unit_test(parts_that_come_apart_are_demapped_by_the_sum_over_all_points),
        cmocka_unit_test(every_processor_family_gives_the_same_bits),
        cmocka_unit_test(mapping_follows_the_bits_of_a_cell),
        cmocka_unit_test(uncoded_qpsk_meets_the_closed_form),
        cmocka_unit_test(uncoded_qpsk_in_rayleigh_fading_meets_the_closed_form),
        cmocka_unit_test(uncoded_16qam_meets_the_closed_form),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
