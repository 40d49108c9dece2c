/* The legal waveforms of the second generation: ATSC A/322:2024-04 Table 8.3 says which scattered
 * pilot patterns go with a guard interval and FFT size. */
#include "standard/atsc3/waveform.h"

#include <math.h>
#include <stdint.h>

static const struct {
    const char *name;
    int points;
} fft_rows[FFT_COUNT] = {
    [FFT_8K] = {"8K", 8192}, [FFT_16K] = {"16K", 16384}, [FFT_32K] = {"32K", 32768}};

static const struct {
    const char *name;
    int samples;
} guard_rows[GUARD_COUNT] = {[GI1_192] = {"GI1_192", 192},      [GI2_384] = {"GI2_384", 384},
                             [GI3_512] = {"GI3_512", 512},      [GI4_768] = {"GI4_768", 768},
                             [GI5_1024] = {"GI5_1024", 1024},   [GI6_1536] = {"GI6_1536", 1536},
                             [GI7_2048] = {"GI7_2048", 2048},   [GI8_2432] = {"GI8_2432", 2432},
                             [GI9_3072] = {"GI9_3072", 3072},   [GI10_3648] = {"GI10_3648", 3648},
                             [GI11_4096] = {"GI11_4096", 4096}, [GI12_4864] = {"GI12_4864", 4864}};

static const struct {
    const char *name;
    int dx, dy;
} pilots_rows[PILOTS_COUNT] = {
    [SP3_2] = {"SP3_2", 3, 2},    [SP3_4] = {"SP3_4", 3, 4},    [SP4_2] = {"SP4_2", 4, 2},
    [SP4_4] = {"SP4_4", 4, 4},    [SP6_2] = {"SP6_2", 6, 2},    [SP6_4] = {"SP6_4", 6, 4},
    [SP8_2] = {"SP8_2", 8, 2},    [SP8_4] = {"SP8_4", 8, 4},    [SP12_2] = {"SP12_2", 12, 2},
    [SP12_4] = {"SP12_4", 12, 4}, [SP16_2] = {"SP16_2", 16, 2}, [SP16_4] = {"SP16_4", 16, 4},
    [SP24_2] = {"SP24_2", 24, 2}, [SP24_4] = {"SP24_4", 24, 4}, [SP32_2] = {"SP32_2", 32, 2},
    [SP32_4] = {"SP32_4", 32, 4}};

/* ATSC A/322:2024-04 Table 8.3 (SISO), as sets of patterns by guard interval and FFT size. */
#define P(pattern) (1u << (pattern))
#define BOTH(x) (P(SP##x##_2) | P(SP##x##_4))
static const uint16_t allowed_pilots[GUARD_COUNT][FFT_COUNT] = {
    [GI1_192] = {BOTH(32) | BOTH(16), BOTH(32), P(SP32_2)},
    [GI2_384] = {BOTH(16) | BOTH(8), BOTH(32) | BOTH(16), P(SP32_2)},
    [GI3_512] = {BOTH(12) | BOTH(6), BOTH(24) | BOTH(12), P(SP24_2)},
    [GI4_768] = {BOTH(8) | BOTH(4), BOTH(16) | BOTH(8), P(SP32_2) | P(SP16_2)},
    [GI5_1024] = {BOTH(6) | BOTH(3), BOTH(12) | BOTH(6), P(SP24_2) | P(SP12_2)},
    [GI6_1536] = {BOTH(4), BOTH(8) | BOTH(4), P(SP16_2) | P(SP8_2)},
    [GI7_2048] = {BOTH(3), BOTH(6) | BOTH(3), P(SP12_2) | P(SP6_2)},
    [GI8_2432] = {0, BOTH(6) | BOTH(3), P(SP12_2) | P(SP6_2)},
    [GI9_3072] = {0, BOTH(4), P(SP8_2) | P(SP3_2)},
    [GI10_3648] = {0, BOTH(4), P(SP8_2) | P(SP3_2)},
    [GI11_4096] = {0, BOTH(3), P(SP6_2) | P(SP3_2)},
    [GI12_4864] = {0, 0, P(SP6_2) | P(SP3_2)},
};
#undef P
#undef BOTH

const char *fft_name(enum fft_size fft)
{
    return (unsigned)fft < FFT_COUNT ? fft_rows[fft].name : "?";
}

const char *guard_name(enum guard guard)
{
    return (unsigned)guard < GUARD_COUNT ? guard_rows[guard].name : "?";
}

const char *pilots_name(enum pilots pilots)
{
    return (unsigned)pilots < PILOTS_COUNT ? pilots_rows[pilots].name : "?";
}

int fft_points(enum fft_size fft)
{
    return fft_rows[fft].points;
}

int guard_samples(enum guard guard)
{
    return guard_rows[guard].samples;
}

int pilots_dx(enum pilots pilots)
{
    return pilots_rows[pilots].dx;
}

int pilots_dy(enum pilots pilots)
{
    return pilots_rows[pilots].dy;
}

bool guard_is_allowed(enum fft_size fft, enum guard guard)
{
    return allowed_pilots[guard][fft] != 0;
}

bool pilots_are_allowed(enum fft_size fft, enum guard guard, enum pilots pilots)
{
    return (allowed_pilots[guard][fft] >> pilots) & 1u;
}

enum pilots pilots_nearest(const struct waveform *waveform)
{
    enum pilots best = waveform->pilots;
    double best_distance = INFINITY;
    for (int i = 0; i < PILOTS_COUNT; i++) {
        if (!pilots_are_allowed(waveform->fft, waveform->guard, (enum pilots)i)) {
            continue;
        }
        double distance =
            fabs(log2((double)pilots_dx((enum pilots)i) / pilots_dx(waveform->pilots)));
        distance += pilots_dy((enum pilots)i) == pilots_dy(waveform->pilots) ? 0.0 : 10.0;
        if (distance < best_distance) {
            best_distance = distance;
            best = (enum pilots)i;
        }
    }
    return best;
}
