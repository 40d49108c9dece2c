/* Structure of DVB-T2's codes, constellations and bit interleaver. */
#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "standard/dvbt2/code.h"

static void addresses_add_up(void **state)
{
    (void)state;
    static const struct {
        enum t2_length length;
        enum t2_rate rate;
        long sum;
        int edges; /* of the information, by groups of 360 */
    } rows[] = {{T2_64800, T2_1_2, 5859315, 450}, {T2_64800, T2_3_5, 7620156, 648},
                {T2_64800, T2_2_3, 5206140, 480}, {T2_64800, T2_3_4, 3297510, 540},
                {T2_64800, T2_4_5, 2748348, 576}, {T2_64800, T2_5_6, 2407410, 600},
                {T2_16200, T2_1_4, 433261, 63},   {T2_16200, T2_1_3, 496305, 90},
                {T2_16200, T2_2_5, 546642, 108},  {T2_16200, T2_1_2, 250978, 85},
                {T2_16200, T2_3_5, 402741, 126},  {T2_16200, T2_2_3, 206325, 120},
                {T2_16200, T2_3_4, 159268, 108},  {T2_16200, T2_4_5, 118996, 105},
                {T2_16200, T2_5_6, 112047, 121}};
    int found = 0;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct ldpc_table *table = t2_ldpc_table(rows[i].length, rows[i].rate);
        long sum = 0;
        int edges = 0, groups = 0;
        for (size_t at = 0; at < table->words; groups++) {
            int count = table->addresses[at++];
            for (int k = 0; k < count; k++) {
                assert_true(table->addresses[at] <
                            t2_length_bits(rows[i].length) - table->information_bits);
                sum += table->addresses[at++];
            }
            edges += count;
        }
        assert_int_equal(groups * LDPC_LANES, table->information_bits);
        assert_int_equal(sum, rows[i].sum);
        assert_int_equal(edges, rows[i].edges);
        found++;
    }
    for (int i = 0; i < T2_LENGTH_COUNT * T2_RATE_COUNT; i++) {
        found -= t2_ldpc_table((enum t2_length)(i / T2_RATE_COUNT),
                               (enum t2_rate)(i % T2_RATE_COUNT)) != NULL;
    }
    assert_int_equal(found, 0);
}

static void sizes_are_those_of_the_tables(void **state)
{
    (void)state;
    static const int bch[T2_LENGTH_COUNT][T2_PLP_RATES] = {
        {32208, 38688, 43040, 48408, 51648, 53840}, {7032, 9552, 10632, 11712, 12432, 13152}};
    for (int rate = 0; rate < T2_PLP_RATES; rate++) {
        assert_int_equal(t2_bch_bits(T2_64800, (enum t2_rate)rate), bch[T2_64800][rate]);
        assert_int_equal(t2_bch_bits(T2_16200, (enum t2_rate)rate), bch[T2_16200][rate]);
    }
    assert_int_equal(t2_bch_bits(T2_16200, T2_1_4), 3072);
    assert_int_equal(t2_bch_bits(T2_64800, T2_1_4), 0);
}

static void every_bit_goes_to_a_cell_once(void **state)
{
    (void)state;
    uint16_t *order = malloc(64800 * sizeof *order);
    uint8_t *seen = malloc(64800);
    assert_true(order && seen);
    for (int i = 0; i < T2_LENGTH_COUNT * T2_CONSTELLATION_COUNT * T2_RATE_COUNT; i++) {
        struct t2_code code = {
            .length = (enum t2_length)(i % T2_LENGTH_COUNT),
            .constellation = (enum t2_constellation)(i / T2_LENGTH_COUNT % T2_CONSTELLATION_COUNT),
            .rate = (enum t2_rate)(i / T2_LENGTH_COUNT / T2_CONSTELLATION_COUNT)};
        int length = t2_length_bits(code.length);
        if (t2_ldpc_table(code.length, code.rate) == NULL) {
            continue;
        }
        t2_bit_order(&code, order);
        memset(seen, 0, 64800);
        for (int k = 0; k < length; k++) {
            assert_int_equal(seen[order[k]]++, 0);
        }
    }
    free(order);
    free(seen);
}

/* "Column twist 64QAM 64800, first outputs", before the demultiplexer: bit d of a word stands where
 * its stream says. */
static void columns_are_twisted_as_in_the_example(void **state)
{
    (void)state;
    static const int outputs[] = {0,     5400,  16198, 21598, 26997, 32396,
                                  37796, 43195, 48595, 53993, 59392, 64791};
    static const int streams[] = {11, 7, 3, 10, 6, 2, 9, 5, 1, 8, 4, 0}; /* table 13 */
    uint16_t *order = malloc(64800 * sizeof *order);
    assert_non_null(order);
    t2_bit_order(&(struct t2_code){.constellation = T2_64QAM}, order);
    for (int d = 0; d < 12; d++) {
        assert_int_equal(order[streams[d]], outputs[d]);
    }
    free(order);
}

/* EN 302 755 tables 13(a) to (c) and I.3 the other way round: by which bit of a word each bit of a
 * cell is written, of the modes whose row is their own. Turned round from the same copy of the
 * tables: it notices a cell that changes, not one that the copy has wrong. */
static void words_are_dealt_out_as_the_tables_say(void **state)
{
    (void)state;
    static const struct {
        struct t2_code code;
        int words[16];
    } rows[] = {
        {{T2_64800, T2_3_5, T2_16QAM, false}, {0, 2, 3, 6, 4, 1, 7, 5}},
        {{T2_64800, T2_1_2, T2_16QAM, false}, {7, 1, 3, 5, 2, 4, 6, 0}},
        {{T2_64800, T2_3_5, T2_64QAM, false}, {4, 6, 0, 5, 8, 10, 2, 1, 7, 3, 11, 9}},
        {{T2_64800, T2_3_5, T2_256QAM, false},
         {4, 6, 0, 2, 3, 14, 12, 10, 7, 5, 8, 1, 15, 9, 11, 13}},
        {{T2_64800, T2_2_3, T2_256QAM, false},
         {3, 15, 1, 7, 4, 11, 5, 0, 12, 2, 9, 14, 13, 6, 8, 10}},
        {{T2_64800, T2_1_2, T2_256QAM, false},
         {15, 1, 13, 3, 10, 7, 9, 11, 4, 6, 8, 5, 12, 2, 14, 0}},
        {{T2_16200, T2_1_2, T2_256QAM, false}, {7, 2, 4, 1, 6, 3, 5, 0}},
        {{T2_16200, T2_1_3, T2_16QAM, false}, {1, 6, 5, 2, 3, 4, 0, 7}},
        {{T2_16200, T2_1_3, T2_64QAM, false}, {2, 5, 1, 6, 0, 3, 4, 7, 8, 9, 10, 11}},
        {{T2_16200, T2_1_3, T2_256QAM, false}, {1, 2, 3, 5, 0, 4, 6, 7}},
        {{T2_16200, T2_2_5, T2_16QAM, false}, {3, 5, 6, 4, 2, 1, 7, 0}},
        {{T2_16200, T2_2_5, T2_64QAM, false}, {1, 2, 4, 5, 0, 6, 3, 8, 7, 10, 9, 11}},
        {{T2_16200, T2_2_5, T2_256QAM, false}, {1, 3, 4, 5, 0, 2, 6, 7}},
    };
    uint16_t *order = malloc(64800 * sizeof *order);
    assert_non_null(order);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct t2_code *code = &rows[i].code;
        bool one_cell = code->constellation == T2_256QAM && code->length == T2_16200;
        int columns = (one_cell ? 1 : 2) * t2_constellation_bits(code->constellation);
        t2_bit_order(code, order);
        for (int k = 0; k < columns; k++) { /* a bit of the first word comes from its column */
            assert_int_equal(order[k] / (t2_length_bits(code->length) / columns), rows[i].words[k]);
        }
    }
    free(order);
}

/* The columns of tables 9 and 10 start later and later: the first output of each row of streams
 * tells where. */
static void columns_start_later_and_later(void **state)
{
    (void)state;
    uint16_t *order = malloc(64800 * sizeof *order);
    assert_non_null(order);
    for (int i = 0; i < 3 * T2_LENGTH_COUNT; i++) {
        struct t2_code code = {.length = (enum t2_length)(i % T2_LENGTH_COUNT),
                               .constellation =
                                   (enum t2_constellation)(T2_16QAM + i / T2_LENGTH_COUNT)};
        bool one_cell = code.constellation == T2_256QAM && code.length == T2_16200;
        int columns = (one_cell ? 1 : 2) * t2_constellation_bits(code.constellation);
        int rows = t2_length_bits(code.length) / columns, starts[16];
        t2_bit_order(&code, order);
        for (int k = 0; k < columns; k++) {
            starts[order[k] / rows] = (rows - order[k] % rows) % rows;
        }
        assert_int_equal(starts[0], 0);
        for (int column = 1; column < columns; column++) {
            assert_true(starts[column] >= starts[column - 1] && starts[column] <= 32);
        }
    }
    free(order);
}

static void constellations_are_rotated_as_the_document_says(void **state)
{
    (void)state;
    static const double degrees[T2_CONSTELLATION_COUNT] = {29.0, 16.8, 8.6, 0.0};
    for (int i = 0; i < T2_CONSTELLATION_COUNT; i++) {
        double expected = degrees[i] > 0.0 ? degrees[i] : atan(1.0 / 16.0) * 180.0 / PI;
        assert_near(t2_rotation_degrees((enum t2_constellation)i), expected, 1e-12,
                    "EN 302 755 table 12, from memory");
    }
}

static void neighbouring_levels_differ_in_one_bit(void **state)
{
    (void)state;
    double levels[T2_LEVELS_MAX];
    for (int constellation = 0; constellation < T2_CONSTELLATION_COUNT; constellation++) {
        int count = t2_levels((enum t2_constellation)constellation, levels);
        double power = 0.0, step = 0.0;
        for (int i = 0; i < count; i++) {
            power += 2.0 * levels[i] * levels[i] / count;
            int nearest = -1;
            for (int k = 0; k < count; k++) {
                if (levels[k] > levels[i] && (nearest < 0 || levels[k] < levels[nearest])) {
                    nearest = k;
                }
            }
            if (nearest >= 0) {
                int differs = i ^ nearest;
                assert_true(differs != 0 && (differs & (differs - 1)) == 0);
                step = step > 0.0 ? step : levels[nearest] - levels[i];
                assert_near(levels[nearest] - levels[i], step, 1e-12, "uniform");
            }
        }
        assert_near(power, 1.0, 1e-12, "unit mean power of a cell");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(addresses_add_up),
        cmocka_unit_test(sizes_are_those_of_the_tables),
        cmocka_unit_test(every_bit_goes_to_a_cell_once),
        cmocka_unit_test(columns_are_twisted_as_in_the_example),
        cmocka_unit_test(words_are_dealt_out_as_the_tables_say),
        cmocka_unit_test(columns_start_later_and_later),
        cmocka_unit_test(constellations_are_rotated_as_the_document_says),
        cmocka_unit_test(neighbouring_levels_differ_in_one_bit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
