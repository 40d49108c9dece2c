#ifndef STANDARD_ATSC3_CODE_H
#define STANDARD_ATSC3_CODE_H

#include <stdbool.h>

/* What is chosen of code and constellation (ATSC A/322:2024-04 section 6). */

enum constellation { QPSK, QAM16, QAM64, QAM256, QAM1024, QAM4096, CONSTELLATION_COUNT };
enum code_length { LENGTH_64800, LENGTH_16200, LENGTH_COUNT };
enum outer_code { OUTER_BCH, OUTER_CRC, OUTER_NONE, OUTER_COUNT };

#define RATE_MIN_15THS 2
#define RATE_MAX_15THS 13
#define RATE_COUNT (RATE_MAX_15THS - RATE_MIN_15THS + 1)

struct code {
    enum code_length length;
    int rate_15ths; /* 2..13 */
    enum constellation constellation;
    enum outer_code outer;
};

/* Names as in profiles and reports: "256QAM", "64800", "BCH". */
const char *constellation_name(enum constellation constellation);
const char *code_length_name(enum code_length length);
const char *outer_code_name(enum outer_code outer);
const char *code_rate_name(int rate_15ths); /* "10/15" */

int constellation_bits(enum constellation constellation); /* bits per cell: 2, 4, ... 12 */
int code_length_bits(enum code_length length);

/* ATSC A/322:2024-04 Tables 6.8-6.11: 1024QAM and 4096QAM go with the long code only. */
bool constellation_is_allowed(enum code_length length, enum constellation constellation);

/* A baseband packet's header, one packet a code block: ATSC A/322:2024-04 section 5.2. */
#define PACKET_HEADER_BITS 16

long code_block_cells(const struct code *code); /* cells that one code block takes */

/* Payload bits of one code block: kbch, K - 32 with CRC, K without outer code (Tables 6.5-6.7). */
int payload_bits(const struct code *code);

#endif
