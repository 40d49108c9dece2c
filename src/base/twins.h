#ifndef BASE_TWINS_H
#define BASE_TWINS_H

/* Loops over many numbers at once. A function of TWINS is compiled for the registers of any
 * processor and once more for those of AVX2 and of AVX-512; which one runs is decided when the
 * program starts. What it calls of INLINED becomes part of each. All find the same numbers, for
 * nothing is fused and each sum is taken in one order.
 *
 * Vectors are no arguments and no values of such functions, but by pointer: how they are passed
 * hangs on the processor. */

#define INLINED static inline __attribute__((always_inline))

/* clang 14 gives what it doubles so another name: there all processors get the same one. With
 * LOOPS_ONCE (Makefile) too. */
#if defined(__x86_64__) && !defined(__clang__) && !defined(LOOPS_ONCE)
#define TWINS __attribute__((target_clones("arch=x86-64-v4", "avx2", "default")))
#else
#define TWINS
#endif

#endif
