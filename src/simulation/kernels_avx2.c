#include "simulation/kernels.h"

#if defined(__x86_64__)
#define KERNELS kernels_avx2
#define KERNELS_NAME "avx2"
#include "simulation/kernels_body.h"
#endif
