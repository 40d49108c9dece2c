#ifndef STANDARD_ATSC3_CONSTELLATION_H
#define STANDARD_ATSC3_CONSTELLATION_H

#include "base/complex.h"
#include "standard/atsc3/code.h"

/* The non-uniform constellations, ATSC A/322:2024-04 Annex C; QPSK is the same at every rate. */

#define CONSTELLATION_POINTS_MAX 4096
#define CONSTELLATION_LEVELS_MAX 64

/* Writes the 2^m points of a constellation at a code rate (2..13 fifteenths). The index of a point
 * is its bits y0..y(m-1), y0 most significant. Unit mean power as published (16QAM 7/15 is 0.07 %
 * off). Returns the number of points. */
int constellation_fill(enum constellation constellation, int rate_15ths, double complex *points);

/* QPSK, 1024QAM and 4096QAM are products of the same real set for both axes. Then this writes the
 * 2^(m/2) real levels, indexed by the axis's bits (first one most significant), and returns their
 * number; else it returns 0. In a cell the odd-numbered bits y1, y3, ... are the real axis's and
 * y0, y2, ... the imaginary one's. */
int constellation_levels(enum constellation constellation, int rate_15ths, double *levels);

#endif
