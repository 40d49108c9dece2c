/* The instruments first: noise that is wrong would shift every threshold. Tolerances are five
 * standard deviations of the statistic for the number of samples drawn. */
#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "simulation/modem/noise.h"

#define SAMPLES (1 << 20)

static float *samples;

static int make_samples(void **state)
{
    *state = samples = malloc(sizeof *samples * SAMPLES);
    return samples ? 0 : -1;
}

static int free_samples(void **state)
{
    free(*state);
    return 0;
}

static struct noise seeded(uint64_t seed)
{
    struct random random = random_seeded(seed, 0);
    return noise_seeded(&random);
}

static double mean_of(double (*function)(double), int lag)
{
    double sum = 0.0;
    for (int i = 0; i + lag < SAMPLES; i++) {
        sum += lag ? (double)samples[i] * (double)samples[i + lag] : function((double)samples[i]);
    }
    return sum / (SAMPLES - lag);
}

static double power_1(double x)
{
    return x;
}

static double power_2(double x)
{
    return x * x;
}

static double power_3(double x)
{
    return x * x * x;
}

static double power_4(double x)
{
    return x * x * x * x;
}

static void normal_noise_has_the_moments_of_a_normal_distribution(void **state)
{
    (void)state;
    assumes("samples do not hang on each other: five deviations of their mean");
    struct noise noise = seeded(11);
    kernels_best()->normal(&noise, samples, SAMPLES);
    double five = 5.0 / sqrt((double)SAMPLES); /* variances of x^n: 1, 2, 15, 96 */
    assert_near(mean_of(power_1, 0), 0.0, five, "mean");
    assert_near(mean_of(power_2, 0), 1.0, five * sqrt(2.0), "variance");
    assert_near(mean_of(power_3, 0), 0.0, five * sqrt(15.0), "third moment");
    assert_near(mean_of(power_4, 0), 3.0, five * sqrt(96.0), "fourth moment");
}

static void normal_noise_is_uncorrelated(void **state)
{
    (void)state;
    struct noise noise = seeded(12);
    kernels_best()->normal(&noise, samples, SAMPLES);
    static const int lags[] = {1, 2, 8, 15, 16, 17, 32, 64, 360};
    for (size_t i = 0; i < sizeof lags / sizeof lags[0]; i++) {
        assert_near(mean_of(NULL, lags[i]), 0.0, 5.0 / sqrt((double)(SAMPLES - lags[i])), "lag");
    }
}

static void normal_noise_has_the_tails_of_a_normal_distribution(void **state)
{
    (void)state;
    assumes("samples do not hang on each other: five deviations of their mean");
    struct noise noise = seeded(13);
    kernels_best()->normal(&noise, samples, SAMPLES);
    for (double edge = 0.5; edge < 4.3; edge += 0.5) {
        double expected = 0.5 * erfc(edge / sqrt(2.0)), above = 0.0, below = 0.0;
        for (int i = 0; i < SAMPLES; i++) {
            above += (double)samples[i] > edge;
            below += (double)samples[i] < -edge;
        }
        double tolerance = 5.0 * sqrt(expected * (1.0 - expected) / SAMPLES);
        assert_near(above / SAMPLES, expected, tolerance, "erfc(x / sqrt 2) / 2");
        assert_near(below / SAMPLES, expected, tolerance, "erfc(x / sqrt 2) / 2");
    }
}

static void pairs_of_normal_numbers_have_no_direction(void **state)
{
    (void)state;
    struct noise noise = seeded(14);
    kernels_best()->normal(&noise, samples, SAMPLES);
    /* Counts by sixteenths of a turn of the pair that Box and Muller make. */
    double counts[16] = {0};
    int pairs = 0;
    for (int i = 0; i < SAMPLES; i += 2 * KERNEL_LANES) {
        for (int l = 0; l < KERNEL_LANES; l++, pairs++) {
            double angle = atan2((double)samples[i + KERNEL_LANES + l], (double)samples[i + l]);
            counts[(int)floor((angle + 3.14159265358979) * 8.0 / 3.14159265358979) & 15]++;
        }
    }
    double chi2 = 0.0, expected = pairs / 16.0;
    for (int i = 0; i < 16; i++) {
        chi2 += (counts[i] - expected) * (counts[i] - expected) / expected;
    }
    assert_between(chi2, 2.0, 45.0, "chi-square of 15 degrees, 1e-4 to 1 - 1e-4");
}

static void rayleigh_power_is_exponential(void **state)
{
    (void)state;
    assumes("samples do not hang on each other: five deviations of their mean");
    struct noise noise = seeded(15);
    kernels_best()->exponential(&noise, samples, SAMPLES);
    double five = 5.0 / sqrt((double)SAMPLES);
    assert_near(mean_of(power_1, 0), 1.0, five, "mean");
    assert_near(mean_of(power_2, 0), 2.0, five * sqrt(20.0), "second moment");
    double below = 0.0, above = 0.0;
    for (int i = 0; i < SAMPLES; i++) {
        assert_true(samples[i] >= 0.0f);
        below += samples[i] < 0.01f;
        above += samples[i] > 5.0f;
    }
    assert_near(below / SAMPLES, 1.0 - exp(-0.01), five * sqrt(0.01), "1 - exp(-x)");
    assert_near(above / SAMPLES, exp(-5.0), five * sqrt(exp(-5.0)), "exp(-x)");
    double product = 0.0;
    for (int i = 0; i + 1 < SAMPLES; i++) {
        product += ((double)samples[i] - 1.0) * ((double)samples[i + 1] - 1.0);
    }
    assert_near(product / SAMPLES, 0.0, five, "autocovariance");
}

static void noise_is_divided_by_the_amplitude_of_the_gain(void **state)
{
    (void)state;
    float axis[KERNEL_LANES], noise[KERNEL_LANES], gain[KERNEL_LANES];
    for (int l = 0; l < KERNEL_LANES; l++) {
        axis[l] = 1.0f;
        noise[l] = (float)l;
        gain[l] = 0.25f;
    }
    kernels_best()->add_noise(axis, noise, gain, 0.5f, KERNEL_LANES);
    for (int l = 0; l < KERNEL_LANES; l++) {
        assert_near((double)axis[l], 1.0 + l, 1e-6, "1 + l x 0.5 / 0.5");
    }
}

static void other_seeds_and_streams_give_other_noise(void **state)
{
    (void)state;
    float one[64], other[64], again[64];
    struct noise noise = seeded(1), copy = noise;
    kernels_best()->normal(&noise, one, 64);
    kernels_best()->normal(&copy, again, 64);
    assert_memory_equal(one, again, sizeof one);
    noise = seeded(2);
    kernels_best()->normal(&noise, other, 64);
    for (int i = 0; i < 64; i++) {
        assert_true(one[i] != other[i]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(normal_noise_has_the_moments_of_a_normal_distribution),
        cmocka_unit_test(normal_noise_is_uncorrelated),
        cmocka_unit_test(normal_noise_has_the_tails_of_a_normal_distribution),
        cmocka_unit_test(pairs_of_normal_numbers_have_no_direction),
        cmocka_unit_test(rayleigh_power_is_exponential),
        cmocka_unit_test(noise_is_divided_by_the_amplitude_of_the_gain),
        cmocka_unit_test(other_seeds_and_streams_give_other_noise),
    };
    return cmocka_run_group_tests(tests, make_samples, free_samples);
}
