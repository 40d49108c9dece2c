#include "support/near.h"

#include <math.h>

#include "base/random.h"
#include "simulation/simd/plain.h"

static float random_float(struct random *random)
{
    return (float)ldexp(2 * random_uniform(random) - 1, (int)(random_bits(random) % 20) - 10);
}

/* The C library's fmaf is the witness: ISO C has it rounded once. */
static void check_fused(const float *a, const float *b, const float *c)
{
    float got[VEC_LANES];
    vec_store(got, vec_fused(vec_load(a), vec_load(b), vec_load(c)));
    for (int i = 0; i < VEC_LANES; i++) {
        assert_true(got[i] == fmaf(a[i], b[i], c[i]));
    }
}

static void fused_products_are_rounded_once(void **state)
{
    (void)state;
    struct random random = random_seeded(1, 1);
    for (int trial = 0; trial < 100000; trial++) {
        float a[VEC_LANES], b[VEC_LANES], c[VEC_LANES];
        for (int i = 0; i < VEC_LANES; i++) {
            a[i] = random_float(&random);
            b[i] = random_float(&random);
            c[i] = random_float(&random);
        }
        check_fused(a, b, c);
    }
}

/* (1 + 2^-12)^2 = 1 + 2^-11 + 2^-24 lies halfway between two floats; what is added or taken off is
 * lost in a double's sum and still decides. */
static void ties_of_the_double_sum_go_to_the_right_side(void **state)
{
    (void)state;
    const float a[VEC_LANES] = {1 + 0x1p-12f, 1 + 0x1p-12f, 1 + 0x3p-12f, -1 - 0x1p-12f};
    const float c[VEC_LANES] = {0x1p-70f, -0x1p-70f, 0, 0x1p-70f};
    const float b[VEC_LANES] = {1 + 0x1p-12f, 1 + 0x1p-12f, 1 + 0x1p-12f, 1 + 0x1p-12f};
    check_fused(a, b, c);
    float up[VEC_LANES], down[VEC_LANES], none[VEC_LANES] = {0};
    vec product = vec_load(a), same = vec_load(b);
    vec_store(up, vec_fused(product, same, vec_splat(0x1p-70f)));
    vec_store(down, vec_fused(product, same, vec_splat(-0x1p-70f)));
    assert_true(up[0] == 1 + 0x1p-11f + 0x1p-23f);
    assert_true(down[0] == 1 + 0x1p-11f);
    /* One tie among lanes that have none. */
    for (int tie = 0; tie < VEC_LANES; tie++) {
        float one[VEC_LANES] = {3, 5, 7, 9};
        one[tie] = a[0];
        check_fused(one, b, c);
        check_fused(one, one, none);
    }
}

static void words_treat_signs_and_order_as_told(void **state)
{
    (void)state;
    const float a[VEC_LANES] = {-0.0f, 0.0f, -3, 5}, b[VEC_LANES] = {0.0f, -0.0f, 2, -7};
    const uint32_t picks[VEC_LANES] = {VEC_PICK(3), VEC_PICK(0), VEC_PICK(1), VEC_PICK(2)};
    float got[VEC_LANES];
    assert_int_equal(vec_signs(vec_load(a)), 1 | 4);
    vec_store(got, vec_larger(vec_load(a), vec_load(b)));
    assert_true(!signbit(got[0]) && signbit(got[1]) && got[2] == 2 && got[3] == 5);
    vec_store(got, vec_size_within(vec_load(b), vec_splat(4)));
    assert_true(!signbit(got[1]) && got[2] == 2 && got[3] == 4);
    vec_store(got, vec_picked(vec_load(a), picks));
    assert_true(got[0] == 5 && signbit(got[1]) && got[3] == -3);
    vec_store(got, vec_splat(-0.0f));
    assert_true(signbit(got[0]) && signbit(got[3]));
    vec_store(got, bits_above(vec_splat(4), 0x3F800000));
    assert_true(got[0] == 0x1p24f); /* two octaves of 2^23 */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fused_products_are_rounded_once),
        cmocka_unit_test(ties_of_the_double_sum_go_to_the_right_side),
        cmocka_unit_test(words_treat_signs_and_order_as_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
