#ifndef SIMULATION_MODEM_MODEM_H
#define SIMULATION_MODEM_MODEM_H

#include <stdint.h>

#include "base/complex.h"
#include "simulation/modem/kernels.h"
#include "standard/atsc3/constellation.h"

/* Bits to cells and back, for one constellation. Bits travel in planes: plane y holds bit y of
 * every cell, y = 0 the most significant. */
struct modem {
    int bits; /* per cell */
    int points;
    double mean_power; /* of the points as published: 1 but for 16QAM 7/15 */
    float re[CONSTELLATION_POINTS_MAX], im[CONSTELLATION_POINTS_MAX];
    struct demapper demapper;
};

/* Of 2^bits points by their bits, y0 the most significant; `is_product`: of the same real levels on
 * both axes, those of the odd bits real. */
void modem_make(struct modem *modem, int bits, const double complex *points, int is_product);
void modem_build(struct modem *modem, enum constellation constellation, int rate_15ths);

/* planes[y * stride + i]: bit y of cell i, 0 or 1. */
void modem_map(const struct modem *modem, const uint8_t *planes, int stride, int cells, float *re,
               float *im);

/* The same as the kernels' demap and demap_apart, by the definition: a sum over all points, in
 * double precision. Slow; for one cell. `llr` has room for modem->bits values. */
void modem_demap_by_definition(const struct modem *modem, enum demapper_method method, double re,
                               double im, double inverse_noise, double *llr);
void modem_demap_apart_by_definition(const struct modem *modem, enum demapper_method method,
                                     const double parts[2], const double inverse_noise[2],
                                     double *llr);

/* The points as demap_apart takes them. */
struct points modem_points(const struct modem *modem);

#endif
