/* The hot loops of the transmission chain with AVX2. */
#include "simulation/modem/kernels.h"

#if defined(__x86_64__)

#include "simulation/simd/avx2.h"

#define KERNELS kernels_avx2
#include "simulation/modem/kernels_body.h"

#endif
