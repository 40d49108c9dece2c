#include "simulation/kernels.h"

#if defined(__x86_64__)
#define KERNELS kernels_avx512
#define KERNELS_NAME "avx512"
#include "simulation/kernels_body.h"
#endif
