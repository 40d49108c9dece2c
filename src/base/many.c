/* Ideas. The logarithm of a number is its exponent and that of its mantissa m in 1..2: the series
 * of 2 atanh((m - c) / (m + c)) / ln 2 + log2 c around c = sqrt 2, to the 7th power. Cosine and
 * sine of an angle follow from those of its half, between -90 and 90 degrees, which are sums of
 * powers to the 11th and 12th. No step depends on the number, so that four are done at a time.
 *
 * Worked number: 8: exponent 3, m = 1: 3.5 + 2.885390 x (-0.1715729) x 1.0100756 = 3.000000. */
#include "base/many.h"

#include <stdint.h>
#include <string.h>

#include "base/units.h"

#define LANES 4
typedef float lanes __attribute__((vector_size(4 * LANES)));
typedef int32_t whole __attribute__((vector_size(4 * LANES)));

static inline lanes load(const float *from)
{
    lanes value;
    memcpy(&value, from, sizeof value);
    return value;
}

static inline void store(lanes value, float *to)
{
    memcpy(to, &value, sizeof value);
}

static inline lanes log2_of(lanes values)
{
    whole bits;
    lanes mantissa;
    memcpy(&bits, &values, sizeof bits);
    lanes exponent = __builtin_convertvector((bits >> 23) - 127, lanes);
    bits = (bits & 0x007FFFFF) | 0x3F800000;
    memcpy(&mantissa, &bits, sizeof mantissa);
    lanes t = (mantissa - 1.41421356f) / (mantissa + 1.41421356f);
    lanes square = t * t;
    lanes series = 1.0f + square * (1.0f / 3.0f + square * (0.2f + square * (1.0f / 7.0f)));
    return exponent + 0.5f + 2.88539008f * t * series;
}

void many_log2(const float *values, float *logs, int count)
{
    int i = 0;
    for (; i + LANES <= count; i += LANES) {
        store(log2_of(load(values + i)), logs + i);
    }
    if (i < count) {
        float rest[LANES] = {0.0f};
        size_t size = (size_t)(count - i) * sizeof *rest;
        memcpy(rest, values + i, size);
        store(log2_of(load(rest)), rest);
        memcpy(logs + i, rest, size);
    }
}

static inline void turn(lanes turns, lanes *cosine, lanes *sine)
{
    const float rounds = 12582912.0f; /* 1.5 x 2^23: added and taken off, it rounds */
    lanes x = (float)PI * (turns - ((turns + rounds) - rounds));
    lanes y = x * x;
    lanes s = 1.0f - y * (1.0f / 110.0f);
    s = 1.0f - y * (1.0f / 72.0f) * s;
    s = 1.0f - y * (1.0f / 42.0f) * s;
    s = 1.0f - y * (1.0f / 20.0f) * s;
    s = x * (1.0f - y * (1.0f / 6.0f) * s);
    lanes c = 1.0f - y * (1.0f / 132.0f);
    c = 1.0f - y * (1.0f / 90.0f) * c;
    c = 1.0f - y * (1.0f / 56.0f) * c;
    c = 1.0f - y * (1.0f / 30.0f) * c;
    c = 1.0f - y * (1.0f / 12.0f) * c;
    c = 1.0f - y * 0.5f * c;
    *cosine = c * c - s * s;
    *sine = 2.0f * s * c;
}

void many_turns(const float *turns, float *cosines, float *sines, int count)
{
    lanes cosine, sine;
    int i = 0;
    for (; i + LANES <= count; i += LANES) {
        turn(load(turns + i), &cosine, &sine);
        store(cosine, cosines + i);
        store(sine, sines + i);
    }
    if (i < count) {
        float rest[LANES] = {0.0f};
        size_t size = (size_t)(count - i) * sizeof *rest;
        memcpy(rest, turns + i, size);
        turn(load(rest), &cosine, &sine);
        memcpy(cosines + i, &cosine, size);
        memcpy(sines + i, &sine, size);
    }
}
