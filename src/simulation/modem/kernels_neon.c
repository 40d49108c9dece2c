/* The hot loops of the transmission chain with NEON. */
#include "simulation/modem/kernels.h"

#if defined(__aarch64__)

#include "simulation/simd/neon.h"

#define KERNELS kernels_neon
#include "simulation/modem/kernels_body.h"

#endif
