#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/random.h"
#include "base/status.h"
#include "base/text.h"
#include "base/units.h"

static void every_status_has_a_message(void **state)
{
    (void)state;
    for (int i = 0; i < STATUS_COUNT; i++) {
        assert_non_null(status_message((enum status)i));
        assert_true(strlen(status_message((enum status)i)) > 3);
    }
    assert_string_equal(status_message((enum status)STATUS_COUNT), "unknown status");
}

static void a_fault_keeps_place_and_allowed(void **state)
{
    (void)state;
    struct fault fault;
    assert_int_equal(fault_set(&fault, STATUS_ILLEGAL, "mode.guard", "a b", "%d", 7),
                     STATUS_ILLEGAL);
    assert_string_equal(fault.place, "mode.guard");
    assert_string_equal(fault.allowed, "a b");
    assert_string_equal(fault.wrong, "7");
    assert_int_equal(fault_set(NULL, STATUS_MALFORMED, "x", NULL, "y"), STATUS_MALFORMED);
}

static void numbers_are_read_strictly(void **state)
{
    (void)state;
    const char *bad[] = {"", " ", "x", "1x", "0x10", "nan", "inf", "1e999", "--1", "1 2", "1,5"};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        double value = 5.0;
        assert_false(number_read_double(bad[i], &value));
        assert_true(value == 5.0);
    }
    double value;
    assert_true(number_read_double(" -1.5e2 ", &value));
    assert_true(value == -150.0);
    int whole;
    assert_true(number_read_int("-12", &whole));
    assert_int_equal(whole, -12);
    assert_false(number_read_int("1.5", &whole));
    assert_false(number_read_int("99999999999999999999", &whole));
}

static void written_numbers_read_back(void **state)
{
    (void)state;
    struct random random = random_seeded(1, 0);
    for (int i = 0; i < 2000; i++) {
        double value = (random_uniform(&random) - 0.5) * pow(10.0, i % 20 - 10), back;
        char buffer[32];
        number_write_double(buffer, sizeof buffer, value);
        assert_true(number_read_double(buffer, &back));
        assert_true(back == value);
    }
}

static void text_grows_and_counts_columns(void **state)
{
    (void)state;
    struct text text = {0};
    for (int i = 0; i < 500; i++) {
        text_printf(&text, "%03d ", i);
    }
    assert_int_equal(text.length, 2000);
    assert_memory_equal(text_string(&text) + 1996, "499 ", 5);
    text_clear(&text);
    text_append_repeated(&text, '=', 3);
    assert_string_equal(text_string(&text), "===");
    text_free(&text);
    assert_int_equal(text_columns("\xC2\xB1 1"), 3);
}

/* The instrument comes first: five standard errors of the sample statistics of 10^6 draws. */
static void normal_numbers_have_their_moments(void **state)
{
    (void)state;
    struct random random = random_seeded(20240101, 3);
    const int count = 1000000;
    double sum = 0, square = 0, fourth = 0, lag = 0, previous = 0;
    for (int i = 0; i < count; i++) {
        double x = random_normal(&random);
        sum += x;
        square += x * x;
        fourth += x * x * x * x;
        lag += x * previous;
        previous = x;
    }
    double error = 1.0 / sqrt(count);
    assert_near(sum / count, 0.0, 5 * error, "standard normal mean");
    assert_near(square / count, 1.0, 5 * sqrt(2.0) * error, "standard normal variance");
    assert_near(fourth / count, 3.0, 5 * sqrt(96.0) * error, "standard normal fourth moment");
    assert_near(lag / count, 0.0, 5 * error, "independence");
}

static void streams_differ_and_copies_agree(void **state)
{
    (void)state;
    struct random a = random_seeded(7, 0), b = random_seeded(7, 1), copy = a;
    assert_true(random_bits(&a) != random_bits(&b));
    struct random again = random_seeded(7, 0);
    assert_true(random_bits(&copy) == random_bits(&again));
}

static void a_microsecond_is_299_792_metres(void **state)
{
    (void)state;
    assert_near(km_from_us(1.0), 0.299792458, 1e-15, "definition of the metre");
    assert_near(us_from_km(km_from_us(123.4)), 123.4, 1e-12, "round trip");
    assert_near(doppler_from_kmh(kmh_from_doppler(55.0, 195e6), 195e6), 55.0, 1e-12, "round trip");
}

static void what_rounds_to_zero_is_shown_without_a_sign(void **state)
{
    (void)state;
    char shown[16];
    text_format(shown, sizeof shown, "%+.1f", as_shown(-0.049, 1));
    assert_string_equal(shown, "+0.0");
    text_format(shown, sizeof shown, "%+.1f", as_shown(-0.051, 1));
    assert_string_equal(shown, "-0.1");
    text_format(shown, sizeof shown, "%+.0f", as_shown(-0.3, 0));
    assert_string_equal(shown, "+0");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_status_has_a_message),
        cmocka_unit_test(a_fault_keeps_place_and_allowed),
        cmocka_unit_test(numbers_are_read_strictly),
        cmocka_unit_test(written_numbers_read_back),
        cmocka_unit_test(text_grows_and_counts_columns),
        cmocka_unit_test(normal_numbers_have_their_moments),
        cmocka_unit_test(streams_differ_and_copies_agree),
        cmocka_unit_test(a_microsecond_is_299_792_metres),
        cmocka_unit_test(what_rounds_to_zero_is_shown_without_a_sign),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
