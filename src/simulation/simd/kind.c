/* Asks the processor which vector instructions it runs; nothing else in the program does. */
#include "simulation/simd/kind.h"

bool simd_is_available(enum simd_kind kind)
{
    switch (kind) {
    case SIMD_PLAIN:
        return true;
#if defined(__x86_64__)
    case SIMD_AVX2:
        return __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma");
    case SIMD_AVX512:
        return __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512bw") &&
               __builtin_cpu_supports("avx512vl") && __builtin_cpu_supports("avx512dq") &&
               __builtin_cpu_supports("avx512vbmi") && __builtin_cpu_supports("fma");
#elif defined(__aarch64__)
    case SIMD_NEON: /* part of the base architecture */
        return true;
#endif
    default:
        return false;
    }
}

enum simd_kind simd_best(void)
{
    enum simd_kind best = SIMD_PLAIN;
    for (int kind = SIMD_PLAIN; kind < SIMD_KIND_COUNT; kind++) {
        if (simd_is_available((enum simd_kind)kind)) {
            best = (enum simd_kind)kind;
        }
    }
    return best;
}

const char *simd_name(enum simd_kind kind)
{
    static const char *const names[SIMD_KIND_COUNT] = {
        [SIMD_PLAIN] = "plain C",
        [SIMD_NEON] = "NEON",
        [SIMD_AVX2] = "AVX2",
        [SIMD_AVX512] = "AVX-512",
    };
    return names[kind];
}
