/* From the published tables to points. A quadrant's point w becomes w, -conj(w), conj(w), -w by
 * the first two bits of a cell; an axis's first bit is the sign of its level (ATSC A/322:2024-04
 * section 6.3 and Annex C). Example: 16QAM at 10/15, bits 0110: y0 = 0, y1 = 1 negate the real
 * part; point 2 is 0.2213 + 0.4416i, so the cell is -0.2213 + 0.4416i. */
#include "standard/atsc3/constellation.h"

#include <assert.h>
#include <math.h>

#include "standard/atsc3/table/constellation.h"

#define UNIT 1e-4

static double complex with_signs(double complex point, int negative_imaginary, int negative_real)
{
    double re = negative_real ? -creal(point) : creal(point);
    double im = negative_imaginary ? -cimag(point) : cimag(point);
    return CMPLX(re, im);
}

static const uint16_t (*quadrant_of(enum constellation constellation, int row))[2]
{
    return constellation == QAM16   ? constellation_quadrant_16[row]
           : constellation == QAM64 ? constellation_quadrant_64[row]
                                    : constellation_quadrant_256[row];
}

int constellation_levels(enum constellation constellation, int rate_15ths, double *levels)
{
    assert(rate_15ths >= RATE_MIN_15THS && rate_15ths <= RATE_MAX_15THS);
    int row = rate_15ths - RATE_MIN_15THS;
    if (constellation == QPSK) {
        levels[0] = sqrt(0.5);
        levels[1] = -sqrt(0.5);
        return 2;
    }
    if (constellation != QAM1024 && constellation != QAM4096) {
        return 0;
    }
    int half = constellation == QAM1024 ? 16 : 32;
    const uint16_t *table =
        constellation == QAM1024 ? constellation_levels_1024[row] : constellation_levels_4096[row];
    const uint8_t *map = constellation == QAM1024 ? constellation_map_1024 : constellation_map_4096;
    for (int i = 0; i < half; i++) {
        levels[i] = UNIT * table[map[i]];
        levels[half + i] = -levels[i];
    }
    return 2 * half;
}

/* Every second bit of `index` from bit 0 on, packed. */
static int every_second_bit(int index)
{
    int packed = 0;
    for (int bit = 0; index >> (2 * bit); bit++) {
        packed |= (index >> (2 * bit) & 1) << bit;
    }
    return packed;
}

int constellation_fill(enum constellation constellation, int rate_15ths, double complex *points)
{
    double levels[CONSTELLATION_LEVELS_MAX];
    int count = 1 << constellation_bits(constellation);
    if (constellation_levels(constellation, rate_15ths, levels) > 0) {
        for (int i = 0; i < count; i++) {
            points[i] = CMPLX(levels[every_second_bit(i)], levels[every_second_bit(i >> 1)]);
        }
        return count;
    }
    const uint16_t(*quadrant)[2] = quadrant_of(constellation, rate_15ths - RATE_MIN_15THS);
    int quarter = count / 4;
    for (int i = 0; i < count; i++) {
        const uint16_t *point = quadrant[i % quarter];
        points[i] =
            with_signs(CMPLX(UNIT * point[0], UNIT * point[1]), i / quarter >> 1, i / quarter & 1);
    }
    return count;
}
