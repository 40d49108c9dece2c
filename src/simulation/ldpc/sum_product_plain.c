/* The sum-product decoder in plain C: 90 registers of 4 lanes. */
#include "simulation/simd/plain.h"

#define KERNEL ldpc_sum_product_plain
enum { VECTORS = 90, LANES = 4 };

#include "simulation/ldpc/sum_product_rows.h"
