#include "support/near.h"

#include <string.h>

#include "standard/atsc3/bit_interleaver.h"
#include "standard/atsc3/table/bit_interleaver.h"

/* Calls `check` for each of the pairs of code and constellation; returns their number. */
static int for_each_pair(void (*check)(enum code_length length, enum constellation constellation,
                                       int rate_15ths))
{
    int pairs = 0;
    for (int length = 0; length < LENGTH_COUNT; length++) {
        for (int c = 0; c < CONSTELLATION_COUNT; c++) {
            for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate++) {
                if (constellation_is_allowed((enum code_length)length, (enum constellation)c)) {
                    check((enum code_length)length, (enum constellation)c, rate);
                    pairs++;
                }
            }
        }
    }
    return pairs;
}

static void check_groups(enum code_length length, enum constellation constellation, int rate_15ths)
{
    struct bit_interleaver interleaver = bit_interleaver_of(length, constellation, rate_15ths);
    uint8_t seen[180] = {0};
    assert_int_equal(interleaver.groups, length == LENGTH_64800 ? 180 : 45);
    for (int j = 0; j < interleaver.groups; j++) {
        assert_true(interleaver.source[j] < interleaver.groups);
        assert_int_equal(seen[interleaver.source[j]]++, 0);
    }
}

static void all_120_group_orders_are_permutations(void **state)
{
    (void)state;
    assert_int_equal(for_each_pair(check_groups), 120);
}

static void check_order(enum code_length length, enum constellation constellation, int rate_15ths)
{
    static uint16_t order[CODE_BITS_MAX];
    static uint8_t seen[CODE_BITS_MAX], word[CODE_BITS_MAX], back[CODE_BITS_MAX];
    struct bit_interleaver interleaver = bit_interleaver_of(length, constellation, rate_15ths);
    int bits = code_length_bits(length);
    bit_interleaver_fill(&interleaver, order);
    memset(seen, 0, sizeof seen);
    for (int i = 0; i < bits; i++) {
        assert_true(order[i] < bits);
        assert_int_equal(seen[order[i]]++, 0);
        word[i] = (uint8_t)(i * 7 + i / 251);
    }
    for (int i = 0; i < bits; i++) { /* send word[order[i]], put it back to order[i] */
        back[order[i]] = word[order[i]];
    }
    assert_memory_equal(word, back, (size_t)bits);
}

static void every_bit_is_sent_once_and_comes_back(void **state)
{
    (void)state;
    assert_int_equal(for_each_pair(check_order), 120);
}

/* The slow twin: write into a matrix as the standard says, read it by rows. */
static void check_by_matrix(enum code_length length, enum constellation constellation,
                            int rate_15ths)
{
    static uint16_t order[CODE_BITS_MAX], permuted[CODE_BITS_MAX], matrix[CODE_BITS_MAX];
    struct bit_interleaver interleaver = bit_interleaver_of(length, constellation, rate_15ths);
    bit_interleaver_fill(&interleaver, order);
    int bits = code_length_bits(length), columns = interleaver.columns;
    for (int i = 0; i < bits; i++) {
        permuted[i] = (uint16_t)(interleaver.source[i / 360] * 360 + i % 360);
    }
    int read = 0, sent = 0;
    int rounds = interleaver.block == BLOCK_A ? 1 : interleaver.groups / columns;
    int rows = interleaver.block == BLOCK_A ? interleaver.part_1_rows : 360;
    for (int part = 0; part < rounds + 1; part++) {
        if (part == rounds) { /* part 2 */
            rows = (bits - read) / columns;
            if (interleaver.block == BLOCK_B) {
                for (; read < bits; read++) {
                    assert_int_equal(order[sent++], permuted[read]);
                }
                break;
            }
        }
        for (int column = 0; column < columns; column++) {
            for (int row = 0; row < rows; row++) {
                matrix[row * columns + column] = permuted[read++];
            }
        }
        for (int i = 0; i < rows * columns; i++) {
            assert_int_equal(order[sent++], matrix[i]);
        }
    }
    assert_int_equal(sent, bits);
}

static void the_order_is_that_of_a_matrix_written_by_columns(void **state)
{
    (void)state;
    assert_int_equal(for_each_pair(check_by_matrix), 120);
}

static void parts_have_the_sizes_of_the_standard(void **state)
{
    (void)state;
    static const struct {
        enum code_length length;
        enum constellation constellation;
        int rows, part_2_bits;
    } rows[] = {{LENGTH_64800, QPSK, 32400, 0},    {LENGTH_64800, QAM16, 16200, 0},
                {LENGTH_64800, QAM64, 10800, 0},   {LENGTH_64800, QAM256, 7920, 1440},
                {LENGTH_64800, QAM1024, 6480, 0},  {LENGTH_64800, QAM4096, 5400, 0},
                {LENGTH_16200, QPSK, 7920, 360},   {LENGTH_16200, QAM16, 3960, 360},
                {LENGTH_16200, QAM64, 2520, 1080}, {LENGTH_16200, QAM256, 1800, 1800}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct bit_interleaver interleaver =
            bit_interleaver_of(rows[i].length, rows[i].constellation, 8);
        assert_int_equal(interleaver.part_1_rows, rows[i].rows);
        assert_int_equal(interleaver.part_2_bits, rows[i].part_2_bits);
    }
}

static int type_b_pairs;

static void count_type_b(enum code_length length, enum constellation constellation, int rate_15ths)
{
    type_b_pairs += bit_interleaver_of(length, constellation, rate_15ths).block == BLOCK_B;
}

static void types_stand_as_in_the_standard(void **state)
{
    (void)state;
    type_b_pairs = 0;
    for_each_pair(count_type_b);
    assert_int_equal(type_b_pairs, 33);
    assert_int_equal(bit_interleaver_of(LENGTH_64800, QAM256, 9).block, BLOCK_A);
    assert_int_equal(bit_interleaver_of(LENGTH_64800, QAM256, 10).block, BLOCK_B);
    assert_int_equal(bit_interleaver_of(LENGTH_64800, QAM4096, 7).block, BLOCK_B);
    assert_int_equal(bit_interleaver_of(LENGTH_16200, QAM64, 11).block, BLOCK_A);
    assert_int_equal(bit_interleaver_of(LENGTH_16200, QAM256, 11).block, BLOCK_B);
}

/* Worked by hand from Annex B and Tables 6.8-6.11. */
static void single_bits_come_from_where_a_pencil_says(void **state)
{
    (void)state;
    static const struct {
        enum code_length length;
        enum constellation constellation;
        int rate_15ths, sent, code_bit;
    } rows[] = {
        {LENGTH_16200, QPSK, 2, 0, 0},
        {LENGTH_16200, QPSK, 2, 1, 360},         /* type A: bit 7920, group 22 is group 1 */
        {LENGTH_16200, QPSK, 2, 15840, 15840},   /* part 2: group 44 stays */
        {LENGTH_16200, QPSK, 2, 15841, 16020},   /* its second column */
        {LENGTH_16200, QPSK, 6, 1, 4 * 360},     /* type B: groups 7 and 4 come first */
        {LENGTH_16200, QPSK, 6, 2, 7 * 360 + 1}, /* next cell */
        {LENGTH_16200, QPSK, 6, 720, 0},         /* next round: groups 0 and 5 */
        {LENGTH_64800, QAM4096, 13, 0, 87 * 360},
        {LENGTH_64800, QAM4096, 13, 1, 20 * 360}, /* type A: bit 5400, group 15 */
        {LENGTH_64800, QAM4096, 13, 64799, 15 * 360 + 359},
    };
    static uint16_t order[CODE_BITS_MAX];
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct bit_interleaver interleaver =
            bit_interleaver_of(rows[i].length, rows[i].constellation, rows[i].rate_15ths);
        bit_interleaver_fill(&interleaver, order);
        assert_int_equal(order[rows[i].sent], rows[i].code_bit);
    }
}

/* A sum over every entry, weighted by its place, taken from the standard's tables by a separate
 * script: a swapped pair of groups anywhere changes it. */
static void the_tables_have_their_checksum(void **state)
{
    (void)state;
    uint64_t sum = 0, place = 1;
    for (int rate = 0; rate < RATE_COUNT; rate++) {
        for (int c = 0; c < 6; c++) {
            for (int j = 0; j < 180; j++) {
                sum += place++ * (c < 3 ? interleaver_groups_64800_low[c][rate][j]
                                        : interleaver_groups_64800_high[c - 3][rate][j]);
            }
        }
        for (int c = 0; c < 4; c++) {
            for (int j = 0; j < 45; j++) {
                sum += place++ * interleaver_groups_16200[c][rate][j];
            }
        }
    }
    assert_true(sum == UINT64_C(9056471521));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_120_group_orders_are_permutations),
        cmocka_unit_test(every_bit_is_sent_once_and_comes_back),
        cmocka_unit_test(the_order_is_that_of_a_matrix_written_by_columns),
        cmocka_unit_test(parts_have_the_sizes_of_the_standard),
        cmocka_unit_test(types_stand_as_in_the_standard),
        cmocka_unit_test(single_bits_come_from_where_a_pencil_says),
        cmocka_unit_test(the_tables_have_their_checksum),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
