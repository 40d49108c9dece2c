#ifndef STANDARD_ATSC3_TABLE_LDPC_H
#define STANDARD_ATSC3_TABLE_LDPC_H

#include "standard/atsc3/code.h"
#include "standard/ldpc.h"

/* The parity addresses of the 24 LDPC codes as ATSC A/322:2024-04 Annex A prints them, for ldpc.c
 * and for the tests that prove them. Everybody else uses ldpc.h. */

/* Indexed by rate in fifteenths - RATE_MIN_15THS. */
extern const struct ldpc_table ldpc_tables_64800[RATE_COUNT];
extern const struct ldpc_table ldpc_tables_16200[RATE_COUNT];

/* The table of a code; NULL where rate_15ths is not 2..13. */
const struct ldpc_table *ldpc_table_find(enum code_length length, int rate_15ths);

#endif
