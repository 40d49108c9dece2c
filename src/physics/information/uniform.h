#ifndef PHYSICS_INFORMATION_UNIFORM_H
#define PHYSICS_INFORMATION_UNIFORM_H

#include "physics/information/curve.h"

/* Mutual information of Gray-mapped square sets whose levels stand evenly: QPSK to 256QAM; and of
 * hierarchical ones, whose quadrants stand `alpha` times as far apart as the points within: there
 * the first bit of each axis is one stream, the other bits a second. */

enum uniform_stream { STREAM_ALL, STREAM_HIGH, STREAM_LOW, STREAM_COUNT };

/* Bits a cell: 2, 4, 6, 8, with STREAM_ALL and alpha 1; 4, 6 with a stream and alpha 1, 2, 4. */
struct information_curve information_curve_uniform(int bits, int alpha, enum uniform_stream stream);

/* The same by Gauss-Hermite quadrature of the given order (16 to 64), in bits a cell. Slow. */
double information_uniform_by_quadrature(int bits, int alpha, enum uniform_stream stream,
                                         double snr_db, int order);

/* Which curve it is in the committed table (uniform_table.c, made by `make information`); -1: it
 * has none. */
#define UNIFORM_SETS 16
int uniform_set(int bits, int alpha, enum uniform_stream stream);
extern const uint32_t uniform_microbits[];
extern const int uniform_starts[UNIFORM_SETS + 1];

#endif
