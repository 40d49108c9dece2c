#include "simulation/modem/kernels.h"

#include <stddef.h>

static int supported(const struct kernels *kernels)
{
#if defined(__x86_64__)
    if (kernels == &kernels_avx2) {
        return __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma");
    }
    if (kernels == &kernels_avx512) {
        return __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512bw") &&
               __builtin_cpu_supports("avx512vl") && __builtin_cpu_supports("avx512dq") &&
               __builtin_cpu_supports("avx512vbmi") && __builtin_cpu_supports("fma");
    }
#endif
    return kernels == &kernels_plain;
}

const struct kernels *kernels_available(int i)
{
    static const struct kernels *const all[] = {
        &kernels_plain,
#if defined(__x86_64__)
        &kernels_avx2,
        &kernels_avx512,
#endif
    };
    for (size_t k = 0; k < sizeof all / sizeof all[0]; k++) {
        if (supported(all[k]) && i-- == 0) {
            return all[k];
        }
    }
    return NULL;
}

const struct kernels *kernels_best(void)
{
    const struct kernels *best = &kernels_plain;
    for (int i = 0; kernels_available(i); i++) {
        best = kernels_available(i);
    }
    return best;
}
