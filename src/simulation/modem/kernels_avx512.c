/* The hot loops of the transmission chain with AVX-512. */
#include "simulation/modem/kernels.h"

#if defined(__x86_64__)

#include "simulation/simd/avx512.h"

#define KERNELS kernels_avx512
#include "simulation/modem/kernels_body.h"

#endif
