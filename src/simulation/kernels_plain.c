#include "simulation/kernels.h"

#define KERNELS kernels_plain
#define KERNELS_NAME "plain"
#include "simulation/kernels_body.h"
