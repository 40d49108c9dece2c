/* Which carriers are pilots, by the rules of ATSC A/322:2024-04 section 8.1 and Annex D.1.
 *
 * Carrier k of data symbol l is a scattered pilot where k mod (Dx Dy) = Dx (l mod Dy). The first
 * and the last carrier are edge pilots. Common continual pilots are one list of absolute indices
 * for 32K, halved and quartered for 16K and 8K; they move with the carrier reduction. Additional
 * continual pilots, a few for each pattern, make the number of pilots the same in every symbol.
 *
 * Two ways lead to a count: pilots_map marks every carrier; pilots_count looks only at the list of
 * continual pilots and counts those that the regular comb does not hold already. Tests hold one
 * against the other over the whole legal space.
 * Worked number: 8K, c = 0, SP3_2 (comb 6): 1153 on the comb, both edges among them, + 48
 * continual + 1 additional = 1202 pilots, 6913 - 1202 = 5711 data cells (Table 7.3). */
#include "standard/atsc3/pilots.h"

#include <math.h>
#include <stddef.h>

#include "base/units.h"
#include "standard/atsc3/grid.h"

/* Absolute carrier indices for 32K, ATSC A/322:2024-04 Annex D.1. */
#define CP32_COUNT 192
static const uint16_t cp32[CP32_COUNT] = {
    236,   316,   356,   412,   668,   716,   868,   1100,  1228,  1268,  1340,  1396,  1876,
    1916,  2140,  2236,  2548,  2644,  2716,  2860,  3004,  3164,  3236,  3436,  3460,  3700,
    3836,  4028,  4124,  4132,  4156,  4316,  4636,  5012,  5132,  5140,  5332,  5372,  5500,
    5524,  5788,  6004,  6020,  6092,  6428,  6452,  6500,  6740,  7244,  7316,  7372,  7444,
    7772,  7844,  7924,  8020,  8164,  8308,  8332,  8348,  8788,  8804,  9116,  9140,  9292,
    9412,  9436,  9604,  10076, 10204, 10340, 10348, 10420, 10660, 10684, 10708, 11068, 11132,
    11228, 11356, 11852, 11860, 11884, 12044, 12116, 12164, 12268, 12316, 12700, 12772, 12820,
    12988, 13300, 13340, 13564, 13780, 13868, 14084, 14308, 14348, 14660, 14828, 14876, 14948,
    15332, 15380, 15484, 15532, 15604, 15764, 15788, 15796, 16292, 16420, 16516, 16580, 16940,
    16964, 16988, 17228, 17300, 17308, 17444, 17572, 18044, 18212, 18236, 18356, 18508, 18532,
    18844, 18860, 19300, 19316, 19340, 19484, 19628, 19724, 19804, 19876, 20204, 20276, 20332,
    20404, 20908, 21148, 21196, 21220, 21556, 21628, 21644, 21860, 22124, 22148, 22276, 22316,
    22508, 22516, 22636, 23012, 23332, 23492, 23516, 23524, 23620, 23812, 23948, 24188, 24212,
    24412, 24484, 24644, 24788, 24932, 25004, 25100, 25412, 25508, 25732, 25772, 26252, 26308,
    26380, 26420, 26548, 26780, 26932, 26980, 27236, 27292, 27332, 27412};

/* Additional continual pilots, relative indices: ATSC A/322:2024-04 Table D.1.4. A negative one is
 * not used with an odd reduction coefficient. Zeros end a row. */
#define ADDITIONAL_MAX 3
static const int16_t additional_rows[FFT_COUNT][PILOTS_COUNT][ADDITIONAL_MAX] = {
    [FFT_8K] = {[SP3_2] = {1731},
                [SP3_4] = {1731, 2886, 5733},
                [SP4_2] = {1732},
                [SP4_4] = {1732, 2888, 5724},
                [SP6_2] = {1734},
                [SP6_4] = {1734, 2892, 5730},
                [SP8_2] = {1736},
                [SP8_4] = {1736, 2896, 5720},
                [SP12_2] = {1740},
                [SP12_4] = {1740, 2904, 5748},
                [SP16_2] = {1744},
                [SP16_4] = {1744, -2912, -5744},
                [SP32_2] = {-1696}},
    [FFT_16K] = {[SP3_2] = {3471},
                 [SP3_4] = {3471, 5778, 11469},
                 [SP4_2] = {3460},
                 [SP4_4] = {3460, 5768, 11452},
                 [SP6_2] = {3462},
                 [SP6_4] = {3462, 5772, 11466},
                 [SP8_2] = {3464},
                 [SP8_4] = {3464, 5776, 11448},
                 [SP12_2] = {3468},
                 [SP12_4] = {3468, 5784, 11460},
                 [SP16_2] = {3472},
                 [SP16_4] = {3472, 5792, 11440},
                 [SP24_2] = {3480},
                 [SP24_4] = {3480, 5808, 11496},
                 [SP32_2] = {3488},
                 [SP32_4] = {3488, -5824, -11488}},
    [FFT_32K] = {[SP3_2] = {6939},
                 [SP6_2] = {6942},
                 [SP8_2] = {6920},
                 [SP12_2] = {6924},
                 [SP16_2] = {6928},
                 [SP24_2] = {6936},
                 [SP32_2] = {6944}},
};

/* 8K with SP32_4 by reduction coefficient: ATSC A/322:2024-04 Table D.1.5. */
static const int16_t additional_8k_sp32_4[REDUCTION_MAX + 1][ADDITIONAL_MAX] = {
    {1696, 2880, 5728}, {0}, {1696}, {1696, 2880}, {1696, 2880, 5728}};

/* Scattered pilot power over a data carrier's in dB: ATSC A/322:2024-04 Table 8.4. */
static const double scattered_db[PILOTS_COUNT][BOOST_MAX + 1] = {
    [SP3_2] = {0.0, 0.0, 1.4, 2.2, 2.9},  [SP3_4] = {0.0, 1.4, 2.9, 3.8, 4.4},
    [SP4_2] = {0.0, 0.6, 2.1, 3.0, 3.6},  [SP4_4] = {0.0, 2.1, 3.6, 4.4, 5.1},
    [SP6_2] = {0.0, 1.6, 3.1, 4.0, 4.6},  [SP6_4] = {0.0, 3.0, 4.5, 5.4, 6.0},
    [SP8_2] = {0.0, 2.2, 3.8, 4.6, 5.3},  [SP8_4] = {0.0, 3.6, 5.1, 6.0, 6.6},
    [SP12_2] = {0.0, 3.2, 4.7, 5.6, 6.2}, [SP12_4] = {0.0, 4.5, 6.0, 6.9, 7.5},
    [SP16_2] = {0.0, 3.8, 5.3, 6.2, 6.8}, [SP16_4] = {0.0, 5.2, 6.7, 7.6, 8.2},
    [SP24_2] = {0.0, 4.7, 6.2, 7.1, 7.7}, [SP24_4] = {0.0, 6.1, 7.6, 8.5, 9.1},
    [SP32_2] = {0.0, 5.4, 6.9, 7.7, 8.4}, [SP32_4] = {0.0, 6.7, 8.2, 9.1, 9.7}};

#define CONTINUAL_DB 8.52 /* ATSC A/322:2024-04 Table 8.5 */

/* Preamble pilot spacing Dp by guard interval, ATSC A/322:2024-04 section 8.1; a negative one is 3
 * with the SP3 patterns. */
static const int16_t preamble_rows[FFT_COUNT][GUARD_COUNT] = {
    [FFT_8K] = {16, 8, 6, 4, 3, 4, 3},
    [FFT_16K] = {32, 16, 12, 8, 6, 4, 3, 3, 4, 4, 3},
    [FFT_32K] = {32, 32, 24, 16, 12, 8, 6, 6, -8, -8, 3, 3}};

/* The regular comb and the continual pilots that a symbol has. */
struct pattern {
    int carriers;
    int comb;   /* pilots at k mod comb = offset */
    int offset; /* of the comb */
    int reduction;
    bool has_edges, has_additional;
};

static struct pattern pattern_of(const struct waveform *waveform, enum symbol_kind symbol, int l)
{
    int dx = pilots_dx(waveform->pilots), dy = pilots_dy(waveform->pilots);
    bool carries_data = symbol == SYMBOL_DATA || symbol == SYMBOL_BOUNDARY;
    struct pattern pattern = {.comb = carries_data ? dx : pilots_preamble_dx(waveform),
                              .reduction = symbol == SYMBOL_FIRST_PREAMBLE ? REDUCTION_MAX
                                                                           : waveform->reduction,
                              .has_edges = carries_data,
                              .has_additional = carries_data};
    if (symbol == SYMBOL_DATA) {
        pattern.comb = dx * dy;
        pattern.offset = dx * (l % dy);
    }
    pattern.carriers = carriers_count(waveform->fft, pattern.reduction);
    return pattern;
}

/* The common continual pilots of an FFT size and reduction. The 16K and 8K sets are every second
 * and fourth entry, halved and quartered, rounded up (Annex D.1). */
struct continual {
    int count;
    int halvings; /* from 32K */
    int moved;    /* down, by the reduction */
};

static struct continual continual_of(enum fft_size fft, int reduction)
{
    int halvings = FFT_32K - fft;
    return (struct continual){CP32_COUNT >> halvings, halvings,
                              reduction * carriers_reduction_unit(fft) / 2};
}

/* Number i as a relative index, which may lie outside the carriers. */
static int continual_at(const struct continual *continual, int i)
{
    int step = 1 << continual->halvings;
    return ((cp32[step * i] + step - 1) >> continual->halvings) - continual->moved;
}

/* Writes the additional continual pilots of a mode's data symbols; returns how many. */
static int additional_continual(const struct waveform *waveform, int *carriers)
{
    const int16_t *row = waveform->fft == FFT_8K && waveform->pilots == SP32_4
                             ? additional_8k_sp32_4[waveform->reduction]
                             : additional_rows[waveform->fft][waveform->pilots];
    int count = 0;
    for (int i = 0; i < ADDITIONAL_MAX && row[i] != 0; i++) {
        if (row[i] > 0) {
            carriers[count++] = row[i];
        } else if (waveform->reduction % 2 == 0) {
            carriers[count++] = -row[i];
        }
    }
    return count;
}

int pilots_map(const struct waveform *waveform, enum symbol_kind symbol, int l, uint8_t *kinds)
{
    struct pattern pattern = pattern_of(waveform, symbol, l);
    for (int k = 0; k < pattern.carriers; k++) {
        kinds[k] = k % pattern.comb == pattern.offset ? CARRIER_SCATTERED : CARRIER_DATA;
    }
    struct continual continual = continual_of(waveform->fft, pattern.reduction);
    for (int i = 0; i < continual.count; i++) {
        int k = continual_at(&continual, i);
        if (k >= 0 && k < pattern.carriers) {
            kinds[k] = CARRIER_CONTINUAL;
        }
    }
    if (pattern.has_additional) {
        int extra[ADDITIONAL_MAX];
        int count = additional_continual(waveform, extra);
        for (int i = 0; i < count; i++) {
            kinds[extra[i]] = CARRIER_CONTINUAL;
        }
    }
    if (pattern.has_edges) {
        kinds[0] = kinds[pattern.carriers - 1] = CARRIER_EDGE;
    }
    return pattern.carriers;
}

int pilots_count(const struct waveform *waveform, enum symbol_kind symbol)
{
    struct pattern pattern = pattern_of(waveform, symbol, 0);
    unsigned comb = (unsigned)pattern.comb, last = (unsigned)pattern.carriers - 1;
    /* Symbol 0's comb starts at carrier 0, so it holds one edge and sometimes the other. */
    int count = (int)(last / comb) + 1;
    count += pattern.has_edges && last % comb != 0;
    struct continual continual = continual_of(waveform->fft, pattern.reduction);
    for (int i = 0; i < continual.count; i++) {
        unsigned k = (unsigned)continual_at(&continual, i);
        count += k <= last && k % comb != 0;
    }
    if (pattern.has_additional) {
        int extra[ADDITIONAL_MAX];
        int extra_count = additional_continual(waveform, extra);
        for (int i = 0; i < extra_count; i++) {
            count += (unsigned)extra[i] % comb != 0;
        }
    }
    return count;
}

int pilots_continual_count(const struct waveform *waveform)
{
    int extra[ADDITIONAL_MAX];
    int carriers = carriers_count(waveform->fft, waveform->reduction);
    int count = additional_continual(waveform, extra);
    struct continual continual = continual_of(waveform->fft, waveform->reduction);
    for (int i = 0; i < continual.count; i++) {
        int k = continual_at(&continual, i);
        count += k >= 0 && k < carriers;
    }
    return count;
}

double pilots_scattered_db(enum pilots pilots, int boost)
{
    return scattered_db[pilots][boost];
}

double pilots_continual_db(void)
{
    return CONTINUAL_DB;
}

double pilots_mean_power_db(const struct waveform *waveform)
{
    int carriers = carriers_count(waveform->fft, waveform->reduction);
    int pilots = pilots_count(waveform, SYMBOL_DATA);
    int continual = pilots_continual_count(waveform);
    /* Edge pilots have the scattered pilots' power. */
    double power =
        (carriers - pilots) +
        (pilots - continual) * ratio_from_db(scattered_db[waveform->pilots][waveform->boost]) +
        continual * ratio_from_db(CONTINUAL_DB);
    return db_from_ratio(power / carriers);
}

int pilots_preamble_dx(const struct waveform *waveform)
{
    int dx = preamble_rows[waveform->fft][waveform->guard];
    if (dx < 0) {
        return pilots_dx(waveform->pilots) == 3 ? 3 : -dx;
    }
    return dx;
}
