/* The 24 codes of A/322 by length and rate. */
#include "standard/atsc3/ldpc.h"

const struct ldpc_table *ldpc_table_find(enum code_length length, int rate_15ths)
{
    if (rate_15ths < RATE_MIN_15THS || rate_15ths > RATE_MAX_15THS) {
        return NULL;
    }
    const struct ldpc_table *tables =
        length == LENGTH_64800 ? ldpc_tables_64800 : ldpc_tables_16200;
    return &tables[rate_15ths - RATE_MIN_15THS];
}

enum status ldpc_code_build(struct ldpc_code *code, enum code_length length, int rate_15ths)
{
    return ldpc_code_make(code, ldpc_table_find(length, rate_15ths), code_length_bits(length));
}
