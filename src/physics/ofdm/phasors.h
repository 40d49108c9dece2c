#ifndef PHYSICS_OFDM_PHASORS_H
#define PHYSICS_OFDM_PHASORS_H

/* Sums of rays on a block of carriers, in registers as wide as the processor has: the hot loops of
 * physics/ofdm/carriers.h. */

#include <stdbool.h>
#include <stddef.h>

#include "base/complex.h"

#define PHASORS_BLOCK 256 /* carriers: a few rays of a block stay in the nearest cache */
#define PHASORS_GROUP 32  /* that pass together */

/* A ray on each of a block's carriers, against the earliest ray there: of amplitude 1, and of phase
 * 0 on the channel's centre. The earliest itself is 1 on all of them, and its own are not read. */
struct phasors {
    float re[PHASORS_BLOCK], im[PHASORS_BLOCK];
};

/* A ray with the amplitude and phase that it has in a sum. */
struct phasors_part {
    int ray; /* which of the block's phasors */
    float re, im;
};

/* powers[i] = |sum of the parts|^2; 0 where there are none. For whole groups of the block, `from`
 * to before `to`. */
void phasors_power(const struct phasors *block, const struct phasors_part *parts, int count,
                   int from, int to, float *powers);

/* The same of three sums, for a whole block each of whose groups is met at an instant of its own:
 * ray k is re[k * apart + at[group]] and im there, and in sum s times[s][k] of it; empty sums are 0
 * altogether. */
enum { PHASORS_SUMS = 3 };
struct phasors_sums {
    int rays;
    const float *times[PHASORS_SUMS];
    bool empty[PHASORS_SUMS];
    float *powers[PHASORS_SUMS];
};
void phasors_power_passing(const struct phasors *block, const struct phasors_sums *sums,
                           const double *re, const double *im, ptrdiff_t apart, const int *at);

/* powers[i] += sum over parts k of 2 longer_k |U_k|^2, less |sum of longer_k U_k|^2; U_k is the sum
 * of the parts up to k. */
void phasors_add_outside(const struct phasors *block, const struct phasors_part *parts,
                         const float *longer, int count, int from, int to, float *powers);

/* Sums over a block's first carriers of a ray times the conjugate of an earlier one; `earlier`
 * NULL: the earliest. */
double complex phasors_product(const struct phasors *later, const struct phasors *earlier,
                               int count);

/* useful / (level + self, where that is not negative, + mistaken); `self` and `mistaken` count so
 * many times. */
struct ofdm_look;
void phasors_snrs(const struct ofdm_look *look, float level, float self_times, float mistaken_times,
                  int count, float *snrs);

#endif
