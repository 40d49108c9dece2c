/* Code and constellation: which go together (ATSC A/322:2024-04 Tables 6.8-6.11) and what a code
 * block carries. */
#include "standard/atsc3/code.h"

static const char *const constellation_names[CONSTELLATION_COUNT] = {
    [QPSK] = "QPSK",     [QAM16] = "16QAM",     [QAM64] = "64QAM",
    [QAM256] = "256QAM", [QAM1024] = "1024QAM", [QAM4096] = "4096QAM"};

static const struct {
    const char *name;
    int bits;
} length_rows[LENGTH_COUNT] = {
    [LENGTH_64800] = {"64800", 64800}, [LENGTH_16200] = {"16200", 16200}};

static const char *const outer_names[OUTER_COUNT] = {
    [OUTER_BCH] = "BCH", [OUTER_CRC] = "CRC", [OUTER_NONE] = "none"};

const char *constellation_name(enum constellation constellation)
{
    return (unsigned)constellation < CONSTELLATION_COUNT ? constellation_names[constellation] : "?";
}

const char *code_length_name(enum code_length length)
{
    return (unsigned)length < LENGTH_COUNT ? length_rows[length].name : "?";
}

const char *outer_code_name(enum outer_code outer)
{
    return (unsigned)outer < OUTER_COUNT ? outer_names[outer] : "?";
}

const char *code_rate_name(int rate_15ths)
{
    static const char *const names[RATE_COUNT] = {"2/15",  "3/15",  "4/15",  "5/15",
                                                  "6/15",  "7/15",  "8/15",  "9/15",
                                                  "10/15", "11/15", "12/15", "13/15"};
    return rate_15ths >= RATE_MIN_15THS && rate_15ths <= RATE_MAX_15THS
               ? names[rate_15ths - RATE_MIN_15THS]
               : "?";
}

int constellation_bits(enum constellation constellation)
{
    return 2 * ((int)constellation + 1);
}

int code_length_bits(enum code_length length)
{
    return length_rows[length].bits;
}

long code_block_cells(const struct code *code)
{
    return code_length_bits(code->length) / constellation_bits(code->constellation);
}

bool constellation_is_allowed(enum code_length length, enum constellation constellation)
{
    return length == LENGTH_64800 || constellation <= QAM256;
}

int payload_bits(const struct code *code)
{
    /* Tables 6.5-6.7: BCH parity 192 and 168 bits, CRC 32. */
    static const int outer_bits[LENGTH_COUNT][OUTER_COUNT] = {
        [LENGTH_64800] = {[OUTER_BCH] = 192, [OUTER_CRC] = 32, [OUTER_NONE] = 0},
        [LENGTH_16200] = {[OUTER_BCH] = 168, [OUTER_CRC] = 32, [OUTER_NONE] = 0}};
    return code_length_bits(code->length) / 15 * code->rate_15ths -
           outer_bits[code->length][code->outer];
}
