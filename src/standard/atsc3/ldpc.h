#ifndef STANDARD_ATSC3_LDPC_H
#define STANDARD_ATSC3_LDPC_H

#include "standard/atsc3/code.h"
#include "standard/atsc3/table/ldpc.h"
#include "standard/ldpc.h"

/* The low-density parity-check codes of ATSC A/322:2024-04, 6.1.3 and Annex A. */

/* Builds the code of a length and rate (2..13 fifteenths). STATUS_OUT_OF_RANGE for another rate,
 * STATUS_NO_MEMORY; `code` is then empty. The owner calls ldpc_code_free. */
enum status ldpc_code_build(struct ldpc_code *code, enum code_length length, int rate_15ths);

#endif
