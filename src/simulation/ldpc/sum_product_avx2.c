/* The sum-product decoder with AVX2: 45 registers of 8 lanes. */
#include "simulation/ldpc/kernel.h"

#if defined(__x86_64__)

#include "simulation/simd/avx2.h"

#define KERNEL ldpc_sum_product_avx2
enum { VECTORS = 45, LANES = 8 };

#include "simulation/ldpc/sum_product_rows.h"

#endif
