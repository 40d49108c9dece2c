#ifndef SIMULATION_MODEM_FLOATS_H
#define SIMULATION_MODEM_FLOATS_H

#include <stdint.h>
#include <string.h>

/* Floats by their bits, for loops that become vector code; each step is exactly rounded. */

static inline float from_bits(uint32_t bits)
{
    float value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

static inline uint32_t to_bits(float value)
{
    uint32_t bits;
    memcpy(&bits, &value, sizeof bits);
    return bits;
}

/* log(x) for normal x > 0, to 1e-7 absolute near 1: 2 atanh((m - 1) / (m + 1)) by its series for
 * m in sqrt(1/2)..sqrt(2), plus the exponent's part. */
static inline float log_positive(float x)
{
    uint32_t bits = to_bits(x) - 0x3F3504F3u;
    float exponent = (float)((int32_t)bits >> 23);
    float m = from_bits((bits & 0x007FFFFFu) + 0x3F3504F3u);
    float s = (m - 1.0f) / (m + 1.0f);
    float s2 = s * s;
    float p = 1.0f / 9.0f;
    p = p * s2 + 1.0f / 7.0f;
    p = p * s2 + 1.0f / 5.0f;
    p = p * s2 + 1.0f / 3.0f;
    p = p * s2 + 1.0f;
    return exponent * 0.693147181f + 2.0f * s * p;
}

#endif
