/* Chooses among the sets of hot loops. */
#include "simulation/modem/kernels.h"

#include <stddef.h>

const struct kernels *kernels_of(enum simd_kind kind)
{
    static const struct kernels *const all[SIMD_KIND_COUNT] = {
        [SIMD_PLAIN] = &kernels_plain,
#if defined(__x86_64__)
        [SIMD_AVX2] = &kernels_avx2,
        [SIMD_AVX512] = &kernels_avx512,
#elif defined(__aarch64__)
        [SIMD_NEON] = &kernels_neon,
#endif
    };
    return simd_is_available(kind) ? all[kind] : NULL;
}

const struct kernels *kernels_best(void)
{
    return kernels_of(simd_best());
}
