/* The sum-product decoder with AVX-512: 24 registers of 15 lanes of 16. */
#include "simulation/ldpc/kernel.h"

#if defined(__x86_64__)

#include "simulation/simd/avx512.h"

#define KERNEL ldpc_sum_product_avx512
enum { VECTORS = 24, LANES = 15 };

#include "simulation/ldpc/sum_product_rows.h"

#endif
