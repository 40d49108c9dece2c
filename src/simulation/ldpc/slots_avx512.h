#ifndef SIMULATION_LDPC_SLOTS_AVX512_H
#define SIMULATION_LDPC_SLOTS_AVX512_H

#include <immintrin.h>
#include <stdint.h>

/* A slot of 60 bytes with AVX-512, for all decoders in fixed point: rotated by a permutation of
 * bytes, for that of words takes twice as long. */
enum { SLOT_BYTES = 64 };

typedef __m512i vec;

/* Row k is the permutation that turns a register by k bytes. Reading 60 bytes and 60 more from byte
 * k on would do as well, but a read across two lines of the cache is two. */
#define FROM_4(k) (k) % 60, ((k) + 1) % 60, ((k) + 2) % 60, ((k) + 3) % 60
#define FROM_16(k) FROM_4(k), FROM_4((k) + 4), FROM_4((k) + 8), FROM_4((k) + 12)
#define ROW(k)                                                              \
    {                                                                       \
        FROM_16(k), FROM_16((k) + 16), FROM_16((k) + 32), FROM_16((k) + 48) \
    }
#define ROWS_4(k) ROW(k), ROW((k) + 1), ROW((k) + 2), ROW((k) + 3)
#define ROWS_20(k) ROWS_4(k), ROWS_4((k) + 4), ROWS_4((k) + 8), ROWS_4((k) + 12), ROWS_4((k) + 16)
enum { ROW_BYTES = 64 };
static const _Alignas(64) uint8_t turning[60][ROW_BYTES] = {ROWS_20(0), ROWS_20(20), ROWS_20(40)};

static inline vec slot_read(const unsigned char *slot)
{
    return _mm512_load_si512(slot);
}

static inline vec slot_read_turned(const unsigned char *slot, unsigned rotation)
{
    return _mm512_permutexvar_epi8(_mm512_load_si512((const uint8_t *)turning + rotation),
                                   slot_read(slot));
}

static inline void slot_write(unsigned char *slot, vec value)
{
    _mm512_store_si512(slot, value);
}

#endif
