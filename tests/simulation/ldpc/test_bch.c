#include "support/near.h"

#include <string.h>

#include "base/random.h"
#include "simulation/ldpc/bch.h"
#include "standard/atsc3/code.h"

/* Payload bits of ATSC A/322:2024-04 Tables 6.6 and 6.7, rates 2/15 to 13/15. */
static void build(struct bch *bch, enum code_length length, int rate_15ths)
{
    int bits = code_length_bits(length);
    bch_build(bch, bits, bits / 15 * rate_15ths, BCH_CORRECTABLE);
}

static const int payload[LENGTH_COUNT][RATE_COUNT] = {
    [LENGTH_64800] = {8448, 12768, 17088, 21408, 25728, 30048, 34368, 38688, 43008, 47328, 51648,
                      55968},
    [LENGTH_16200] = {1992, 3072, 4152, 5232, 6312, 7392, 8472, 9552, 10632, 11712, 12792, 13872}};

static void payloads_are_those_of_the_standard(void **state)
{
    (void)state;
    static struct bch bch;
    for (int length = 0; length < LENGTH_COUNT; length++) {
        for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate++) {
            build(&bch, (enum code_length)length, rate);
            assert_int_equal(bch.payload_bits, payload[length][rate - RATE_MIN_15THS]);
            assert_int_equal(bch.payload_bits % 8, 0);
        }
    }
}

/* Long division, bit by bit. */
static int divides(const uint8_t *divisor, int degree, uint8_t *dividend, int bits)
{
    for (int i = 0; i + degree < bits; i++) { /* dividend[0] is the highest power */
        if (dividend[i]) {
            for (int k = 0; k <= degree; k++) {
                dividend[i + k] ^= divisor[degree - k];
            }
        }
    }
    for (int i = 0; i < bits; i++) {
        if (dividend[i]) {
            return 0;
        }
    }
    return 1;
}

static void every_code_word_is_divisible_by_the_generator(void **state)
{
    (void)state;
    static struct bch bch;
    static uint8_t word[64800], rest[64800];
    struct random random = random_seeded(3, 1);
    for (int length = 0; length < LENGTH_COUNT; length++) {
        uint8_t generator[193];
        int degree =
            bch_generator(code_length_bits((enum code_length)length), BCH_CORRECTABLE, generator);
        assert_int_equal(degree, length == LENGTH_64800 ? 192 : 168);
        for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate++) {
            build(&bch, (enum code_length)length, rate);
            for (int i = 0; i < bch.payload_bits; i++) {
                word[i] = random_bits(&random) >> 63;
            }
            bch_encode(&bch, word);
            memcpy(rest, word, sizeof rest);
            assert_true(divides(generator, degree, rest, bch.code_bits));
            memcpy(rest, word, sizeof rest);
            rest[random_bits(&random) % (unsigned)bch.code_bits] ^= 1;
            assert_false(divides(generator, degree, rest, bch.code_bits));
        }
    }
}

/* The generator must hold the minimal polynomials as tabulated (powers, from memory): those of a,
 * a^3 and a^5. */
static void the_generator_has_the_tabulated_factors(void **state)
{
    (void)state;
    static const struct {
        enum code_length length;
        unsigned factor;
        int degree;
    } rows[] = {{LENGTH_64800, 0x1002D, 16}, /* 16 5 3 2 0 */
                {LENGTH_64800, 0x10173, 16}, /* 16 8 6 5 4 1 0 */
                {LENGTH_64800, 0x10FBD, 16}, /* 16 11 10 9 8 7 5 4 3 2 0 */
                {LENGTH_16200, 0x402B, 14},  /* 14 5 3 1 0 */
                {LENGTH_16200, 0x4941, 14},  /* 14 11 8 6 0 */
                {LENGTH_16200, 0x4647, 14}}; /* 14 10 9 6 2 1 0 */
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        uint8_t generator[193], high_first[193], factor[17];
        int degree = bch_generator(code_length_bits(rows[i].length), BCH_CORRECTABLE, generator);
        for (int k = 0; k <= degree; k++) {
            high_first[k] = generator[degree - k];
        }
        for (int k = 0; k <= rows[i].degree; k++) {
            factor[k] = rows[i].factor >> k & 1;
        }
        assert_true(divides(factor, rows[i].degree, high_first, degree + 1));
    }
}

static unsigned times_a(unsigned x, int bits, unsigned primitive)
{
    x <<= 1;
    return x >> bits ? x ^ primitive : x;
}

/* Roots a, a^2, ... a^24 of every word are what makes distance 25 and so 12 corrections: Horner's
 * rule in the field, by repeated multiplication with a. */
static void code_words_vanish_at_24_successive_powers(void **state)
{
    (void)state;
    static struct bch bch;
    static uint8_t word[64800];
    build(&bch, LENGTH_16200, 2);
    struct random random = random_seeded(4, 1);
    for (int i = 0; i < bch.payload_bits; i++) {
        word[i] = random_bits(&random) >> 63;
    }
    bch_encode(&bch, word);
    for (int power = 1; power <= 25; power++) {
        unsigned sum = 0;
        for (int i = 0; i < bch.code_bits; i++) {
            for (int k = 0; k < power; k++) {
                sum = times_a(sum, 14, 0x402B);
            }
            sum ^= word[i];
        }
        assert_int_equal(sum == 0, power <= 24);
    }
}

static void errors_are_counted(void **state)
{
    (void)state;
    static struct bch bch;
    static uint8_t sent[64800], received[64800];
    build(&bch, LENGTH_64800, 13);
    received[0] = received[1000] = received[bch.code_bits - 1] = 1;
    received[bch.code_bits] = 1; /* LDPC parity is not its business */
    assert_int_equal(bch_count_errors(&bch, sent, received), 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(payloads_are_those_of_the_standard),
        cmocka_unit_test(every_code_word_is_divisible_by_the_generator),
        cmocka_unit_test(the_generator_has_the_tabulated_factors),
        cmocka_unit_test(code_words_vanish_at_24_successive_powers),
        cmocka_unit_test(errors_are_counted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
