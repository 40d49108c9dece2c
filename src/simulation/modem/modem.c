/* Bits to cells, and back by the definition. */
#include "simulation/modem/modem.h"

#include <math.h>
#include <string.h>

/* Spreads the bits of an axis to the cell bits y1, y3, ... (every second one, from bit 0 on). */
static int spread_bits(int packed)
{
    int spread = 0;
    for (int bit = 0; packed >> bit; bit++) {
        spread |= (packed >> bit & 1) << (2 * bit);
    }
    return spread;
}

static void demapper_build(struct modem *modem, int is_product)
{
    struct demapper *demapper = &modem->demapper;
    demapper->bits = modem->bits;
    demapper->is_product = is_product;
    demapper->count = is_product ? 1 << (modem->bits / 2 - 1) : modem->points / 4;
    for (int k = 0; k < demapper->count; k++) {
        int index = is_product ? spread_bits(k) : k;
        float re = modem->re[index], im = is_product ? 0.0f : modem->im[index];
        demapper->re[k] = re;
        demapper->im[k] = im;
        demapper->power[k] = re * re + im * im;
    }
}

void modem_make(struct modem *modem, int bits, const double complex *points, int is_product)
{
    memset(modem, 0, sizeof *modem);
    modem->bits = bits;
    modem->points = 1 << bits;
    for (int i = 0; i < modem->points; i++) {
        modem->re[i] = (float)creal(points[i]);
        modem->im[i] = (float)cimag(points[i]);
        modem->mean_power += creal(points[i] * conj(points[i])) / modem->points;
    }
    demapper_build(modem, is_product);
}

void modem_build(struct modem *modem, enum constellation constellation, int rate_15ths)
{
    double complex points[CONSTELLATION_POINTS_MAX];
    double levels[CONSTELLATION_LEVELS_MAX];
    (void)constellation_fill(constellation, rate_15ths, points);
    modem_make(modem, constellation_bits(constellation), points,
               constellation_levels(constellation, rate_15ths, levels) > 0);
}

void modem_map(const struct modem *modem, const uint8_t *planes, int stride, int cells, float *re,
               float *im)
{
    enum { CHUNK = 256 };
    uint16_t index[CHUNK];
    for (int first = 0; first < cells; first += CHUNK) {
        int count = cells - first < CHUNK ? cells - first : CHUNK;
        memset(index, 0, sizeof index);
        for (int y = 0; y < modem->bits; y++) {
            const uint8_t *plane = planes + (size_t)y * (size_t)stride + first;
            for (int i = 0; i < count; i++) {
                index[i] = (uint16_t)(index[i] << 1 | plane[i]);
            }
        }
        for (int i = 0; i < count; i++) {
            re[first + i] = modem->re[index[i]];
            im[first + i] = modem->im[index[i]];
        }
    }
}

/* log(exp(a) + exp(b)), or the larger of both. */
static double join(enum demapper_method method, double a, double b)
{
    double high = fmax(a, b), low = fmin(a, b);
    return method == DEMAP_EXACT && isfinite(low) ? high + log1p(exp(low - high)) : high;
}

void modem_demap_apart_by_definition(const struct modem *modem, enum demapper_method method,
                                     const double parts[2], const double inverse_noise[2],
                                     double *llr)
{
    for (int y = 0; y < modem->bits; y++) {
        double sums[2] = {-INFINITY, -INFINITY};
        for (int i = 0; i < modem->points; i++) {
            double x = parts[0] - (double)modem->re[i], z = parts[1] - (double)modem->im[i];
            int bit = i >> (modem->bits - 1 - y) & 1;
            double exponent = -(x * x * inverse_noise[0] + z * z * inverse_noise[1]);
            sums[bit] = join(method, sums[bit], exponent);
        }
        llr[y] = sums[0] - sums[1];
    }
}

void modem_demap_by_definition(const struct modem *modem, enum demapper_method method, double re,
                               double im, double inverse_noise, double *llr)
{
    modem_demap_apart_by_definition(modem, method, (const double[2]){re, im},
                                    (const double[2]){inverse_noise, inverse_noise}, llr);
}

struct points modem_points(const struct modem *modem)
{
    return (struct points){modem->bits, modem->re, modem->im};
}
