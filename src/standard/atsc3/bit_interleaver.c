/* Where each bit of a cell comes from. Both kinds of block interleaver fill a matrix whose columns
 * are the bits of a cell and whose rows are cells; they differ in what a column holds. Type A cuts
 * the word into long columns: part 1 has whole groups, as many in each column as go in, part 2
 * shares the rest evenly. Type B deals out whole groups, so that 360 cells in a row take from the
 * same groups. Example: 16200 QPSK 2/15 (type A, 7920 rows): the second bit of cell 0 is bit 7920
 * of the permuted word, group 22, which is group 1 of the code word: code bit 360. */
#include "standard/atsc3/bit_interleaver.h"

#include <assert.h>

#include "standard/atsc3/table/bit_interleaver.h"

/* ATSC A/322:2024-04 Tables 6.8-6.11: the code rates (as bits, by fifteenths) with type B. */
#define RATE(fifteenths) (1u << (fifteenths))
static const uint16_t type_b_rates[LENGTH_COUNT][CONSTELLATION_COUNT] = {
    [LENGTH_64800] =
        {
            [QPSK] = 0,
            [QAM16] = RATE(5) | RATE(8) | RATE(9),
            [QAM64] = RATE(7) | RATE(9) | RATE(10) | RATE(13),
            [QAM256] = RATE(5) | RATE(6) | RATE(7) | RATE(8) | RATE(10) | RATE(11) | RATE(13),
            [QAM1024] = RATE(5) | RATE(7) | RATE(9) | RATE(10) | RATE(11),
            [QAM4096] = RATE(7),
        },
    [LENGTH_16200] =
        {
            [QPSK] = RATE(6) | RATE(7) | RATE(9),
            [QAM16] = RATE(6) | RATE(7) | RATE(9) | RATE(11) | RATE(13),
            [QAM64] = RATE(6) | RATE(7) | RATE(9),
            [QAM256] = RATE(6) | RATE(11),
        },
};
#undef RATE

static const uint8_t *groups_of(enum code_length length, enum constellation constellation, int row)
{
    if (length == LENGTH_16200) {
        return interleaver_groups_16200[constellation][row];
    }
    return constellation < QAM256 ? interleaver_groups_64800_low[constellation][row]
                                  : interleaver_groups_64800_high[constellation - QAM256][row];
}

struct bit_interleaver bit_interleaver_of(enum code_length length, enum constellation constellation,
                                          int rate_15ths)
{
    assert(constellation_is_allowed(length, constellation));
    assert(rate_15ths >= RATE_MIN_15THS && rate_15ths <= RATE_MAX_15THS);
    int columns = constellation_bits(constellation);
    int bits = code_length_bits(length);
    int groups = bits / INTERLEAVER_GROUP_BITS;
    int part_1_rows = groups / columns * INTERLEAVER_GROUP_BITS;
    return (struct bit_interleaver){
        .block = type_b_rates[length][constellation] >> rate_15ths & 1 ? BLOCK_B : BLOCK_A,
        .columns = columns,
        .groups = groups,
        .part_1_rows = part_1_rows,
        .part_2_bits = bits - part_1_rows * columns,
        .source = groups_of(length, constellation, rate_15ths - RATE_MIN_15THS)};
}

/* The bit of the permuted word that is sent as bit `column` of row `row` in part 1. */
static int part_1_bit(const struct bit_interleaver *interleaver, int row, int column)
{
    if (interleaver->block == BLOCK_A) {
        return column * interleaver->part_1_rows + row;
    }
    int round = row / INTERLEAVER_GROUP_BITS;
    int group = round * interleaver->columns + column;
    return group * INTERLEAVER_GROUP_BITS + row % INTERLEAVER_GROUP_BITS;
}

static int part_2_bit(const struct bit_interleaver *interleaver, int row, int column)
{
    int rows = interleaver->part_2_bits / interleaver->columns;
    return interleaver->block == BLOCK_A ? column * rows + row
                                         : row * interleaver->columns + column;
}

void bit_interleaver_fill(const struct bit_interleaver *interleaver, uint16_t *order)
{
    int columns = interleaver->columns;
    int part_1_bits = interleaver->part_1_rows * columns;
    int bits = part_1_bits + interleaver->part_2_bits;
    for (int i = 0; i < bits; i++) {
        int row = i / columns, column = i % columns;
        int permuted =
            row < interleaver->part_1_rows
                ? part_1_bit(interleaver, row, column)
                : part_1_bits + part_2_bit(interleaver, row - interleaver->part_1_rows, column);
        order[i] = (uint16_t)(interleaver->source[permuted / INTERLEAVER_GROUP_BITS] *
                                  INTERLEAVER_GROUP_BITS +
                              permuted % INTERLEAVER_GROUP_BITS);
    }
}
