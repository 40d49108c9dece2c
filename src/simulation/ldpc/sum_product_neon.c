/* The sum-product decoder with NEON: 90 registers of 4 lanes. */
#include "simulation/ldpc/kernel.h"

#if defined(__aarch64__)

#include "simulation/simd/neon.h"

#define KERNEL ldpc_sum_product_neon
enum { VECTORS = 90, LANES = 4 };

#include "simulation/ldpc/sum_product_rows.h"

#endif
