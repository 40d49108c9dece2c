#ifndef STANDARD_DVBT2_TABLE_LDPC_H
#define STANDARD_DVBT2_TABLE_LDPC_H

#include "standard/dvbt2/code.h"
#include "standard/ldpc.h"

/* The parity addresses of the 15 LDPC codes as ETSI EN 302 755 V1.4.1 annexes A and B print them;
 * no addresses where a length has no such rate. */
extern const struct ldpc_table t2_ldpc_64800[T2_RATE_COUNT];
extern const struct ldpc_table t2_ldpc_16200[T2_RATE_COUNT];

#endif
