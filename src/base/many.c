/* Ideas. The logarithm of a number is its exponent and that of its mantissa m in 1..2: the series
 * of 2 atanh((m - c) / (m + c)) / ln 2 + log2 c around c = sqrt 2, to the 7th power. Cosine and
 * sine of an angle follow from those of its half, between -90 and 90 degrees, which are sums of
 * powers to the 11th and 12th. No step depends on the number, so that sixteen are done at a time.
 *
 * Worked number: 8: exponent 3, m = 1: 3.5 + 2.885390 x (-0.1715729) x 1.0100756 = 3.000000. */
#include "base/many.h"

#include <stdint.h>
#include <string.h>

#include "base/twins.h"
#include "base/units.h"

#define LANES 16
typedef float lanes __attribute__((vector_size(4 * LANES)));
typedef int32_t whole __attribute__((vector_size(4 * LANES)));

INLINED void log2_of(const float *from, lanes *logs)
{
    whole bits;
    lanes mantissa;
    memcpy(&bits, from, sizeof bits);
    lanes exponent = __builtin_convertvector((bits >> 23) - 127, lanes);
    bits = (bits & 0x007FFFFF) | 0x3F800000;
    memcpy(&mantissa, &bits, sizeof mantissa);
    lanes t = (mantissa - 1.41421356f) / (mantissa + 1.41421356f);
    lanes square = t * t;
    lanes series = 1.0f + square * (1.0f / 3.0f + square * (0.2f + square * (1.0f / 7.0f)));
    *logs = exponent + 0.5f + 2.88539008f * t * series;
}

TWINS void many_log2(const float *values, float *logs, int count)
{
    lanes found;
    int i = 0;
    for (; i + LANES <= count; i += LANES) {
        log2_of(values + i, &found);
        memcpy(logs + i, &found, sizeof found);
    }
    if (i < count) {
        float rest[LANES] = {0.0f};
        size_t size = (size_t)(count - i) * sizeof *rest;
        memcpy(rest, values + i, size);
        log2_of(rest, &found);
        memcpy(logs + i, &found, size);
    }
}

INLINED void turn(const float *from, lanes *cosine, lanes *sine)
{
    const float rounds = 12582912.0f; /* 1.5 x 2^23: added and taken off, it rounds */
    lanes turns;
    memcpy(&turns, from, sizeof turns);
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

TWINS void many_turns(const float *turns, float *cosines, float *sines, int count)
{
    lanes cosine, sine;
    int i = 0;
    for (; i + LANES <= count; i += LANES) {
        turn(turns + i, &cosine, &sine);
        memcpy(cosines + i, &cosine, sizeof cosine);
        memcpy(sines + i, &sine, sizeof sine);
    }
    if (i < count) {
        float rest[LANES] = {0.0f};
        size_t size = (size_t)(count - i) * sizeof *rest;
        memcpy(rest, turns + i, size);
        turn(rest, &cosine, &sine);
        memcpy(cosines + i, &cosine, size);
        memcpy(sines + i, &sine, size);
    }
}
