#include "support/near.h"

#include <math.h>

#include "base/fourier.h"
#include "base/random.h"
#include "base/units.h"

#define SIZE_MAX_TESTED 128

/* The definition, term by term. */
static void transform_plainly(const float *re, const float *im, int size, double *to_re,
                              double *to_im)
{
    for (int k = 0; k < size; k++) {
        to_re[k] = to_im[k] = 0.0;
        for (int n = 0; n < size; n++) {
            double angle = -2.0 * PI * (double)(k * n % size) / size;
            to_re[k] += re[n] * cos(angle) - im[n] * sin(angle);
            to_im[k] += re[n] * sin(angle) + im[n] * cos(angle);
        }
    }
}

static void every_size_gives_the_sum_of_the_definition(void **state)
{
    (void)state;
    for (int size = 2; size <= SIZE_MAX_TESTED; size *= 2) {
        float re[SIZE_MAX_TESTED], im[SIZE_MAX_TESTED];
        double to_re[SIZE_MAX_TESTED], to_im[SIZE_MAX_TESTED];
        struct random random = random_seeded(11, (uint64_t)size);
        struct fourier fourier;
        assert_int_equal(fourier_make(size, &fourier), STATUS_OK);
        for (int n = 0; n < size; n++) {
            re[n] = (float)random_normal(&random);
            im[n] = (float)random_normal(&random);
        }
        transform_plainly(re, im, size, to_re, to_im);
        fourier_forward(&fourier, re, im);
        for (int k = 0; k < size; k++) {
            assert_near(re[k], to_re[k], 1e-5 * sqrt(size), "definition, single precision");
            assert_near(im[k], to_im[k], 1e-5 * sqrt(size), "definition, single precision");
        }
        fourier_free(&fourier);
    }
}

static void real_numbers_have_the_half_that_is_not_a_mirror_image(void **state)
{
    (void)state;
    for (int size = 4; size <= SIZE_MAX_TESTED; size *= 2) {
        float values[SIZE_MAX_TESTED], none[SIZE_MAX_TESTED] = {0};
        float re[SIZE_MAX_TESTED / 2 + 1], im[SIZE_MAX_TESTED / 2 + 1];
        double to_re[SIZE_MAX_TESTED], to_im[SIZE_MAX_TESTED];
        struct random random = random_seeded(13, (uint64_t)size);
        struct fourier fourier;
        assert_int_equal(fourier_make(size, &fourier), STATUS_OK);
        for (int n = 0; n < size; n++) {
            values[n] = (float)random_normal(&random);
        }
        transform_plainly(values, none, size, to_re, to_im);
        fourier_forward_real(&fourier, values, re, im);
        for (int k = 0; k <= size / 2; k++) {
            assert_near(re[k], to_re[k], 1e-5 * sqrt(size), "definition, single precision");
            assert_near(im[k], to_im[k], 1e-5 * sqrt(size), "definition, single precision");
        }
        fourier_free(&fourier);
    }
}

static void there_and_back_is_the_size_times_as_much(void **state)
{
    (void)state;
    static float re[8192], im[8192], kept[8192];
    struct random random = random_seeded(12, 0);
    struct fourier fourier;
    assert_int_equal(fourier_make(8192, &fourier), STATUS_OK);
    for (int n = 0; n < 8192; n++) {
        re[n] = kept[n] = (float)random_normal(&random);
        im[n] = -kept[n];
    }
    fourier_forward(&fourier, re, im);
    fourier_backward(&fourier, re, im);
    for (int n = 0; n < 8192; n++) {
        assert_near(re[n] / 8192.0, kept[n], 1e-5, "unscaled both ways");
        assert_near(im[n] / 8192.0, -kept[n], 1e-5, "unscaled both ways");
    }
    fourier_free(&fourier);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_size_gives_the_sum_of_the_definition),
        cmocka_unit_test(real_numbers_have_the_half_that_is_not_a_mirror_image),
        cmocka_unit_test(there_and_back_is_the_size_times_as_much),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
