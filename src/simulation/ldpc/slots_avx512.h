#ifndef SIMULATION_LDPC_SLOTS_AVX512_H
#define SIMULATION_LDPC_SLOTS_AVX512_H

#include <immintrin.h>
#include <stdint.h>

/* A slot of 60 bytes with AVX-512, for all decoders in fixed point: rotated by a permutation of
 * bytes, for that of words takes twice as long. */
enum { SLOT_BYTES = 64 };

typedef __m512i vec;

/* From byte k on: the permutation that turns a register by k bytes. */
#define UP_TO_60(x)                                                                               \
    x + 0, x + 1, x + 2, x + 3, x + 4, x + 5, x + 6, x + 7, x + 8, x + 9, x + 10, x + 11, x + 12, \
        x + 13, x + 14, x + 15, x + 16, x + 17, x + 18, x + 19
static const uint8_t turning[128] = {
    UP_TO_60(0),
    UP_TO_60(20),
    UP_TO_60(40),
    UP_TO_60(0),
    UP_TO_60(20),
    UP_TO_60(40),
    0,
    1,
    2,
    3,
    4,
    5,
    6,
    7,
};

static inline vec slot_read(const unsigned char *slot)
{
    return _mm512_load_si512(slot);
}

static inline vec slot_read_turned(const unsigned char *slot, unsigned rotation)
{
    return _mm512_permutexvar_epi8(_mm512_loadu_si512(turning + rotation), slot_read(slot));
}

static inline void slot_write(unsigned char *slot, vec value)
{
    _mm512_store_si512(slot, value);
}

#endif
