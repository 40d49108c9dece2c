/* Sizes, levels and the way of bits to cells in DVB-T2, ETSI EN 302 755 V1.4.1 clause 6.
 *
 * Bit interleaver: parity bits are reordered, then all are written column by column, each column
 * twisted by its own start, and read row by row; the demultiplexer deals them out to the bits of
 * one or two cells. QPSK has none of it. The reordering (position K + 360 t + s takes p[Q s + t])
 * is what makes check lane s of block row t stand at place s of block column t: the quasi-cyclic
 * order that the LDPC code has here anyway. So only QPSK has something to undo. */
#include "standard/dvbt2/code.h"

#include <math.h>
#include <stddef.h>

#include "base/units.h"
#include "standard/dvbt2/table/ldpc.h"

static const char *const length_names[T2_LENGTH_COUNT] = {
    [T2_64800] = "64800", [T2_16200] = "16200"};
static const int length_bits[T2_LENGTH_COUNT] = {[T2_64800] = 64800, [T2_16200] = 16200};

static const char *const rate_names[T2_RATE_COUNT] = {
    [T2_1_2] = "1/2", [T2_3_5] = "3/5", [T2_2_3] = "2/3", [T2_3_4] = "3/4", [T2_4_5] = "4/5",
    [T2_5_6] = "5/6", [T2_1_4] = "1/4", [T2_1_3] = "1/3", [T2_2_5] = "2/5"};

/* Tables 14 to 16. */
static const struct {
    const char *name;
    int bits;
    double power, rotation_degrees;
    int8_t levels[T2_LEVELS_MAX];
} constellation_rows[T2_CONSTELLATION_COUNT] = {
    [T2_QPSK] = {"QPSK", 2, 2.0, 29.0, {1, -1}},
    [T2_16QAM] = {"16QAM", 4, 10.0, 16.8, {3, 1, -3, -1}},
    [T2_64QAM] = {"64QAM", 6, 42.0, 8.6, {7, 5, 1, 3, -7, -5, -1, -3}},
    [T2_256QAM] = {"256QAM",
                   8,
                   170.0,
                   3.576334374997351, /* atan(1/16) */
                   {15, 13, 9, 11, 1, 3, 7, 5, -15, -13, -9, -11, -1, -3, -7, -5}},
};

const char *t2_length_name(enum t2_length length)
{
    return (unsigned)length < T2_LENGTH_COUNT ? length_names[length] : "?";
}

const char *t2_rate_name(enum t2_rate rate)
{
    return (unsigned)rate < T2_RATE_COUNT ? rate_names[rate] : "?";
}

const char *t2_constellation_name(enum t2_constellation constellation)
{
    return (unsigned)constellation < T2_CONSTELLATION_COUNT ? constellation_rows[constellation].name
                                                            : "?";
}

int t2_length_bits(enum t2_length length)
{
    return length_bits[length];
}

int t2_constellation_bits(enum t2_constellation constellation)
{
    return constellation_rows[constellation].bits;
}

int t2_block_cells(const struct t2_code *code)
{
    return t2_length_bits(code->length) / t2_constellation_bits(code->constellation);
}

const struct ldpc_table *t2_ldpc_table(enum t2_length length, enum t2_rate rate)
{
    const struct ldpc_table *table =
        length == T2_64800 ? &t2_ldpc_64800[rate] : &t2_ldpc_16200[rate];
    return table->words > 0 ? table : NULL;
}

int t2_ldpc_bits(enum t2_length length, enum t2_rate rate)
{
    const struct ldpc_table *table = t2_ldpc_table(length, rate);
    return table ? table->information_bits : 0;
}

int t2_bch_correctable(enum t2_length length, enum t2_rate rate)
{
    return length == T2_64800 && (rate == T2_2_3 || rate == T2_5_6) ? 10 : 12;
}

int t2_bch_bits(enum t2_length length, enum t2_rate rate)
{
    int field_degree = length == T2_64800 ? 16 : 14;
    int bits = t2_ldpc_bits(length, rate);
    return bits ? bits - field_degree * t2_bch_correctable(length, rate) : 0;
}

double t2_true_rate(enum t2_length length, enum t2_rate rate)
{
    return (double)t2_ldpc_bits(length, rate) / t2_length_bits(length);
}

int t2_levels(enum t2_constellation constellation, double *levels)
{
    int count = 1 << (constellation_rows[constellation].bits / 2);
    double unit = 1.0 / sqrt(constellation_rows[constellation].power);
    for (int i = 0; i < count; i++) {
        levels[i] = constellation_rows[constellation].levels[i] * unit;
    }
    return count;
}

double t2_rotation_degrees(enum t2_constellation constellation)
{
    return constellation_rows[constellation].rotation_degrees;
}

/* ---- Bit interleaver. ---- */

#define COLUMNS_MAX 16

/* Tables 9 and 10: the start of each column; as many columns as the demultiplexer has streams. */
static const uint8_t twists[T2_CONSTELLATION_COUNT][T2_LENGTH_COUNT][COLUMNS_MAX] =
    {
        [T2_16QAM] =
            {
                [T2_64800] = {0, 0, 2, 4, 4, 5, 7, 7},
                [T2_16200] = {0, 0, 0, 1, 7, 20, 20, 21},
            },
        [T2_64QAM] =
            {
                [T2_64800] = {0, 0, 2, 2, 3, 4, 4, 5, 5, 7, 8, 9},
                [T2_16200] = {0, 0, 0, 2, 2, 2, 3, 3, 3, 6, 7, 7},
            },
        [T2_256QAM] =
            {
                [T2_64800] = {0, 2, 2, 2, 2, 3, 7, 15, 16, 20, 22, 22, 27, 27, 28, 32},
                [T2_16200] = {0, 0, 0, 1, 7, 20, 20, 21},
            },
};

/* Tables 13(a) to (c) and I.3: output stream of input d, by constellation, length and rate; the
 * rows without a rate hold for all others. */
static const struct demux {
    enum t2_constellation constellation;
    int length, rate; /* -1: any */
    uint8_t streams[COLUMNS_MAX];
} demuxes[] = {
    {T2_16QAM, T2_64800, T2_3_5, {0, 5, 1, 2, 4, 7, 3, 6}},
    {T2_64QAM, T2_64800, T2_3_5, {2, 7, 6, 9, 0, 3, 1, 8, 4, 11, 5, 10}},
    {T2_256QAM, T2_64800, T2_3_5, {2, 11, 3, 4, 0, 9, 1, 8, 10, 13, 7, 14, 6, 15, 5, 12}},
    {T2_256QAM, T2_64800, T2_2_3, {7, 2, 9, 0, 4, 6, 13, 3, 14, 10, 15, 5, 8, 12, 11, 1}},
    {T2_16QAM, T2_16200, T2_1_3, {6, 0, 3, 4, 5, 2, 1, 7}},
    {T2_64QAM, T2_16200, T2_1_3, {4, 2, 0, 5, 6, 1, 3, 7, 8, 9, 10, 11}},
    {T2_256QAM, T2_16200, T2_1_3, {4, 0, 1, 2, 5, 3, 6, 7}},
    {T2_16QAM, T2_16200, T2_2_5, {7, 5, 4, 0, 3, 1, 2, 6}},
    {T2_64QAM, T2_16200, T2_2_5, {4, 0, 1, 6, 2, 3, 5, 8, 7, 10, 9, 11}},
    {T2_256QAM, T2_16200, T2_2_5, {4, 0, 5, 1, 2, 3, 6, 7}},
    {T2_256QAM, T2_64800, -1, {15, 1, 13, 3, 8, 11, 9, 5, 10, 6, 4, 7, 12, 2, 14, 0}},
    {T2_256QAM, T2_16200, -1, {7, 3, 1, 5, 2, 6, 4, 0}},
    {T2_16QAM, -1, -1, {7, 1, 4, 2, 5, 3, 6, 0}},
    {T2_64QAM, -1, -1, {11, 7, 3, 10, 6, 2, 9, 5, 1, 8, 4, 0}},
};

/* The last rows hold for all that is left. */
static const struct demux *find_demux(const struct t2_code *code)
{
    const struct demux *row = demuxes;
    while (row->constellation != code->constellation ||
           (row->length >= 0 && row->length != (int)code->length) ||
           (row->rate >= 0 && row->rate != (int)code->rate)) {
        row++;
    }
    return row;
}

/* QPSK in transmitted order: parity bit j = Q s + t stands at lane s of block column t. */
static int transmitted(const struct t2_code *code, int i)
{
    int information = t2_ldpc_bits(code->length, code->rate);
    int rows = (t2_length_bits(code->length) - information) / LDPC_LANES;
    bool reordered = code->length == T2_16200 && (code->rate == T2_1_3 || code->rate == T2_2_5);
    if (i < information || reordered) {
        return i;
    }
    int j = i - information;
    return information + j % rows * LDPC_LANES + j / rows;
}

void t2_bit_order(const struct t2_code *code, uint16_t *order)
{
    int length = t2_length_bits(code->length), bits = t2_constellation_bits(code->constellation);
    if (code->constellation == T2_QPSK) {
        for (int i = 0; i < length; i++) {
            order[i] = (uint16_t)transmitted(code, i);
        }
        return;
    }
    bool one_cell = code->constellation == T2_256QAM && code->length == T2_16200;
    int columns = one_cell ? bits : 2 * bits, rows = length / columns;
    const uint8_t *starts = twists[code->constellation][code->length];
    const uint8_t *streams = find_demux(code)->streams;
    for (int row = 0; row < rows; row++) {
        for (int d = 0; d < columns; d++) {
            /* What was written to this place of the column. */
            int written = d * rows + (row - starts[d] + rows) % rows;
            order[row * columns + streams[d]] = (uint16_t)written;
        }
    }
}
