#ifndef BASE_RANDOM_H
#define BASE_RANDOM_H

#include <stdint.h>

/* A seeded, copyable generator: xoshiro256++ (Blackman and Vigna, "Scrambled linear pseudorandom
 * number generators", ACM Trans. Math. Softw. 47, 2021), seeded by splitmix64. The same seed and
 * stream give the same numbers on every machine. */
struct random {
    uint64_t state[4];
    double spare; /* the second number of a normal pair */
    int has_spare;
};

/* Streams of one seed are independent for all practical purposes: one for each block of work. */
struct random random_seeded(uint64_t seed, uint64_t stream);

uint64_t random_bits(struct random *random);

/* Uniform in [0, 1), 53 bits. */
double random_uniform(struct random *random);

/* Mean 0, variance 1 (polar method of Marsaglia). */
double random_normal(struct random *random);

#endif
