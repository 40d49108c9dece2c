#ifndef SIMULATION_LDPC_SLOTS_AVX2_H
#define SIMULATION_LDPC_SLOTS_AVX2_H

#include <immintrin.h>

/* A slot of 30 bytes with AVX2, for all decoders in fixed point. AVX2 cannot rotate 32 bytes within
 * a register, so a slot holds its lanes twice, and reading from a lane on rotates. */
enum { SLOT_BYTES = 64, LANES_BYTES = 30 };

typedef __m256i vec;

static inline vec slot_read(const unsigned char *slot)
{
    return _mm256_load_si256((const __m256i *)(const void *)slot);
}

static inline vec slot_read_turned(const unsigned char *slot, unsigned rotation)
{
    return _mm256_loadu_si256((const __m256i *)(const void *)(slot + rotation));
}

static inline void slot_write(unsigned char *slot, vec value)
{
    _mm256_store_si256((__m256i *)(void *)slot, value);
    _mm256_storeu_si256((__m256i *)(void *)(slot + LANES_BYTES), value);
}

#endif
