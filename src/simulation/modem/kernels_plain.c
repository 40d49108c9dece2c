/* The hot loops of the transmission chain in plain C. */
#include "simulation/modem/kernels.h"

#include "simulation/simd/plain.h"

#define KERNELS kernels_plain
#include "simulation/modem/kernels_body.h"
