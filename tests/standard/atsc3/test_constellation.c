#include "support/near.h"

#include <math.h>
#include <string.h>

#include "standard/atsc3/constellation.h"
#include "standard/atsc3/table/constellation.h"

static const char annex_c[] = "ATSC A/322:2024-04 Annex C";

struct set {
    enum constellation constellation;
    int rate_15ths;
};

/* QPSK once, the others at every rate: calls `check` for each, returns their number. */
static int for_each_set(void (*check)(struct set set, const double complex *points, int count))
{
    static double complex points[CONSTELLATION_POINTS_MAX];
    int sets = 0;
    for (int c = QPSK; c < CONSTELLATION_COUNT; c++) {
        for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate++) {
            struct set set = {(enum constellation)c, rate};
            int count = constellation_fill(set.constellation, rate, points);
            assert_int_equal(count, 1 << constellation_bits(set.constellation));
            check(set, points, count);
            sets++;
            if (c == QPSK) {
                break;
            }
        }
    }
    return sets;
}

/* Four published digits leave the mean power of a set within 0.0001 x sqrt(2) of one; the one set
 * beyond that is 0.07 % off in print. */
static void check_power(struct set set, const double complex *points, int count)
{
    double power = 0.0;
    for (int i = 0; i < count; i++) {
        power += creal(points[i]) * creal(points[i]) + cimag(points[i]) * cimag(points[i]);
    }
    int is_exception = set.constellation == QAM16 && set.rate_15ths == 7;
    assert_near(power / count, is_exception ? 0.99928 : 1.0, is_exception ? 1e-5 : 1.5e-4, annex_c);
}

static void all_61_sets_have_unit_power_as_published(void **state)
{
    (void)state;
    assert_int_equal(for_each_set(check_power), 61);
}

static void check_signs(struct set set, const double complex *points, int count)
{
    (void)set;
    int quarter = count / 4;
    for (int i = 0; i < quarter; i++) {
        assert_true(creal(points[i]) > 0.0 && cimag(points[i]) > 0.0);
        assert_true(points[quarter + i] == -conj(points[i]));
        assert_true(points[2 * quarter + i] == conj(points[i]));
        assert_true(points[3 * quarter + i] == -points[i]);
    }
}

static void the_first_two_bits_are_the_signs_of_both_axes(void **state)
{
    (void)state;
    assert_int_equal(for_each_set(check_signs), 61);
}

static int distinct_points(const double complex *points, int count)
{
    int distinct = 0;
    for (int i = 0; i < count; i++) {
        int seen = 0;
        for (int k = 0; k < i && !seen; k++) {
            seen = points[k] == points[i];
        }
        distinct += !seen;
    }
    return distinct;
}

/* In print some low-rate sets have coinciding points (their last bits cannot be told apart in
 * the noise they are meant for): the number of distinct first-quadrant points, counted in the
 * standard's tables by a separate script, must be kept. An axis with n distinct levels gives n^2.
 */
static void check_distinct(struct set set, const double complex *points, int count)
{
    static const int quadrant[CONSTELLATION_COUNT][RATE_COUNT] = {
        [QPSK] = {1},
        [QAM16] = {4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4},
        [QAM64] = {16, 9, 14, 16, 16, 16, 16, 16, 16, 16, 16, 16},
        [QAM256] = {64, 58, 64, 60, 64, 62, 62, 64, 64, 64, 64, 64},
        [QAM1024] = {13 * 13, 13 * 13, 256, 256, 256, 256, 14 * 14, 15 * 15, 256, 256, 256, 256},
        [QAM4096] = {20 * 20, 20 * 20, 29 * 29, 14 * 14, 22 * 22, 27 * 27, 27 * 27, 26 * 26,
                     26 * 26, 27 * 27, 31 * 31, 1024}};
    int expected = quadrant[set.constellation][set.rate_15ths - RATE_MIN_15THS];
    assert_int_equal(distinct_points(points, count / 4), expected);
}

static void points_coincide_only_where_the_standard_says(void **state)
{
    (void)state;
    assert_int_equal(for_each_set(check_distinct), 61);
}

static void check_axes(struct set set, const double complex *points, int count)
{
    double levels[CONSTELLATION_LEVELS_MAX];
    int level_count = constellation_levels(set.constellation, set.rate_15ths, levels);
    int is_product = set.constellation == QPSK || set.constellation >= QAM1024;
    assert_int_equal(level_count, is_product ? 1 << constellation_bits(set.constellation) / 2 : 0);
    for (int i = 0; i < count && is_product; i++) {
        int bits = constellation_bits(set.constellation), real = 0, imaginary = 0;
        for (int y = 0; y < bits; y++) {
            int bit = i >> (bits - 1 - y) & 1;
            if (y % 2) {
                real = real << 1 | bit;
            } else {
                imaginary = imaginary << 1 | bit;
            }
        }
        assert_true(points[i] == CMPLX(levels[real], levels[imaginary]));
    }
}

static void product_sets_are_products_of_their_levels(void **state)
{
    (void)state;
    assert_int_equal(for_each_set(check_axes), 61);
}

static void check_map(const uint8_t *map, int count)
{
    uint64_t seen = 0;
    for (int i = 0; i < count; i++) {
        assert_true(map[i] < count);
        seen |= UINT64_C(1) << map[i];
        /* Gray: neighbours on the axis differ in one bit. */
        for (int k = 0; k < i; k++) {
            if (map[i] - map[k] == 1 || map[k] - map[i] == 1) {
                assert_int_equal((i ^ k) & ((i ^ k) - 1), 0);
            }
        }
    }
    assert_true(seen == (UINT64_C(1) << count) - 1);
}

static void the_level_maps_are_gray_permutations(void **state)
{
    (void)state;
    check_map(constellation_map_1024, 16);
    check_map(constellation_map_4096, 32);
}

static void single_points_stand_as_printed(void **state)
{
    (void)state;
    static double complex points[CONSTELLATION_POINTS_MAX];
    static const struct {
        enum constellation constellation;
        int rate_15ths, index;
        double re, im;
    } rows[] = {
        {QPSK, 2, 1, -0.70710678, 0.70710678}, /* y1 = 1 negates the real part */
        {QPSK, 13, 2, 0.70710678, -0.70710678},
        {QAM16, 10, 0x6, -0.2213, 0.4416},
        {QAM64, 13, 0x3F, -0.4215, -0.4279},
        {QAM256, 5, 0x20, 0.3183, 1.5992},
        {QAM1024, 13, 0x3FF, -0.3645, -0.3645}, /* bits 11111: map[15] = level 5 */
        {QAM4096, 13, 0x000, 1.3644, 1.3644},
        {QAM4096, 2, 0x555, -0.3003, 1.4660}, /* odd bits 1, real 111111: map[31] = level 10 */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        constellation_fill(rows[i].constellation, rows[i].rate_15ths, points);
        assert_near(creal(points[rows[i].index]), rows[i].re, 1e-8, annex_c);
        assert_near(cimag(points[rows[i].index]), rows[i].im, 1e-8, annex_c);
    }
}

/* Every row of the tables is read: the points of two rates are never the same set. */
static void every_rate_has_its_own_set(void **state)
{
    (void)state;
    static double complex one[CONSTELLATION_POINTS_MAX], other[CONSTELLATION_POINTS_MAX];
    for (int c = QAM16; c < CONSTELLATION_COUNT; c++) {
        for (int a = RATE_MIN_15THS; a <= RATE_MAX_15THS; a++) {
            int count = constellation_fill((enum constellation)c, a, one);
            for (int b = RATE_MIN_15THS; b < a; b++) {
                constellation_fill((enum constellation)c, b, other);
                assert_true(memcmp(one, other, sizeof one[0] * (size_t)count) != 0);
            }
        }
    }
}

static uint64_t weighted_sum(const uint16_t *numbers, size_t count, uint64_t *place)
{
    uint64_t sum = 0;
    for (size_t i = 0; i < count; i++) {
        sum += (*place)++ * numbers[i];
    }
    return sum;
}

/* A sum over every number, weighted by its place, taken from the standard's tables by a separate
 * script: it changes with any point, level or entry of a map. */
static void the_tables_have_their_checksum(void **state)
{
    (void)state;
    const struct {
        const uint16_t *numbers;
        size_t count;
    } tables[] = {{&constellation_quadrant_16[0][0][0], RATE_COUNT * 4 * 2},
                  {&constellation_quadrant_64[0][0][0], RATE_COUNT * 16 * 2},
                  {&constellation_quadrant_256[0][0][0], RATE_COUNT * 64 * 2},
                  {&constellation_levels_1024[0][0], RATE_COUNT * 16},
                  {&constellation_levels_4096[0][0], RATE_COUNT * 32}};
    uint64_t place = 1, sum = 0;
    for (size_t t = 0; t < sizeof tables / sizeof tables[0]; t++) {
        sum += weighted_sum(tables[t].numbers, tables[t].count, &place);
    }
    for (size_t i = 0; i < 16; i++) {
        sum += place++ * constellation_map_1024[i];
    }
    for (size_t i = 0; i < 32; i++) {
        sum += place++ * constellation_map_4096[i];
    }
    assert_int_equal(place - 1, 2640);
    assert_true(sum == UINT64_C(19651741133));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_61_sets_have_unit_power_as_published),
        cmocka_unit_test(the_first_two_bits_are_the_signs_of_both_axes),
        cmocka_unit_test(points_coincide_only_where_the_standard_says),
        cmocka_unit_test(product_sets_are_products_of_their_levels),
        cmocka_unit_test(the_level_maps_are_gray_permutations),
        cmocka_unit_test(single_points_stand_as_printed),
        cmocka_unit_test(every_rate_has_its_own_set),
        cmocka_unit_test(the_tables_have_their_checksum),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
