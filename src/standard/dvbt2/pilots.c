/* Pilots of DVB-T2's data symbols, ETSI EN 302 755 V1.4.1 clause 9.2.
 *
 * Scattered: carrier k of symbol l with (k - K_ext) mod (Dx Dy) = Dx (l mod Dy). Continual: the
 * groups CP1.. of the pattern that the FFT size uses, taken modulo a number of its own (table 61),
 * and with extended carriers those of table G.2. The first and the last carrier
 * are always pilots. Where kinds coincide the scattered amplitude holds. */
#include <string.h>

#include "standard/dvbt2/table/continual.h"
#include "standard/dvbt2/waveform.h"

/* Tables 57 and 60: spacing, repetition, amplitude over a data cell's. */
static const struct {
    const char *name;
    int dx, dy;
    double amplitude;
} rows[T2_PILOTS_COUNT] = {
    [T2_PP1] = {"PP1", 3, 4, 4.0 / 3.0},  [T2_PP2] = {"PP2", 6, 2, 4.0 / 3.0},
    [T2_PP3] = {"PP3", 6, 4, 7.0 / 4.0},  [T2_PP4] = {"PP4", 12, 2, 7.0 / 4.0},
    [T2_PP5] = {"PP5", 12, 4, 7.0 / 3.0}, [T2_PP6] = {"PP6", 24, 2, 7.0 / 3.0},
    [T2_PP7] = {"PP7", 24, 4, 7.0 / 3.0}, [T2_PP8] = {"PP8", 6, 16, 7.0 / 3.0},
};

/* Table 61: how many groups a size uses, and the modulus (0: none); table 62: the power. */
static const struct {
    int groups, modulus;
    double power;
} continual_rows[T2_FFT_COUNT] = {
    [T2_1K] = {1, 1632, 16.0 / 9.0},   [T2_2K] = {2, 1632, 16.0 / 9.0},
    [T2_4K] = {3, 3264, 32.0 / 9.0},   [T2_8K] = {4, 6528, 64.0 / 9.0},
    [T2_16K] = {5, 13056, 64.0 / 9.0}, [T2_32K] = {6, 0, 64.0 / 9.0},
};

const char *t2_pilots_name(enum t2_pilots pilots)
{
    return (unsigned)pilots < T2_PILOTS_COUNT ? rows[pilots].name : "?";
}

int t2_pilots_dx(enum t2_pilots pilots)
{
    return rows[pilots].dx;
}

int t2_pilots_dy(enum t2_pilots pilots)
{
    return rows[pilots].dy;
}

double t2_pilots_power(enum t2_pilots pilots)
{
    return rows[pilots].amplitude * rows[pilots].amplitude;
}

double t2_continual_power(enum t2_fft fft)
{
    return continual_rows[fft].power;
}

static void mark_list(const struct t2_pilot_list *list, int modulus, unsigned char *kinds)
{
    for (int i = 0; i < list->count; i++) {
        int k = modulus ? list->carriers[i] % modulus : list->carriers[i];
        kinds[k] = T2_CONTINUAL;
    }
}

int t2_map(const struct t2_waveform *waveform, int l, unsigned char *kinds)
{
    int carriers = t2_carriers(waveform), shift = t2_extension(waveform);
    int dx = rows[waveform->pilots].dx, dy = rows[waveform->pilots].dy;
    memset(kinds, T2_CELL, (size_t)carriers);
    for (int group = 0; group < continual_rows[waveform->fft].groups; group++) {
        mark_list(&t2_continual[waveform->pilots][group], continual_rows[waveform->fft].modulus,
                  kinds);
    }
    if (waveform->extended) {
        mark_list(&t2_continual_extended[waveform->fft][waveform->pilots], 0, kinds);
    }
    for (int k = 0; k < carriers; k++) {
        int place = ((k - shift) % (dx * dy) + dx * dy) % (dx * dy);
        if (place == dx * (l % dy)) {
            kinds[k] = T2_SCATTERED;
        }
    }
    kinds[0] = kinds[carriers - 1] = T2_EDGE;
    return carriers;
}
