#ifndef SIMULATION_SIMD_KIND_H
#define SIMULATION_SIMD_KIND_H

#include <stdbool.h>

/* The families of vector instructions that hot loops are written for. Which one runs is decided at
 * run time; plain C always can. */
enum simd_kind { SIMD_PLAIN, SIMD_NEON, SIMD_AVX2, SIMD_AVX512, SIMD_KIND_COUNT };

/* Whether this build has the kind and this processor runs it: AVX2 with FMA; AVX-512 with F, BW,
 * VL, DQ and VBMI. */
bool simd_is_available(enum simd_kind kind);

/* The widest that is available. */
enum simd_kind simd_best(void);

/* "plain C", "NEON", "AVX2", "AVX-512". */
const char *simd_name(enum simd_kind kind);

#endif
