/* Stockham's form of the radix-2 transform (Cochran et al., "What is the fast Fourier transform?",
 * Proc. IEEE 55, 1967): each pass writes in the order that the next one reads, so that nothing is
 * permuted and the inner loop runs along memory. Rounding: about 1e-7 of the largest value for 8192
 * numbers. Worked number: (1, 0, 0, 0) becomes (1, 1, 1, 1). */
#include "base/fourier.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"

enum status fourier_make(int size, struct fourier *fourier)
{
    size_t half = (size_t)size / 2;
    *fourier = (struct fourier){.size = size};
    fourier->cosines = malloc(half * sizeof(float));
    fourier->sines = malloc(half * sizeof(float));
    fourier->re = malloc(2 * half * sizeof(float));
    fourier->im = malloc(2 * half * sizeof(float));
    if (!fourier->cosines || !fourier->sines || !fourier->re || !fourier->im) {
        return STATUS_NO_MEMORY;
    }
    for (size_t i = 0; i < half; i++) {
        double angle = 2.0 * PI * (double)i / size;
        fourier->cosines[i] = (float)cos(angle);
        fourier->sines[i] = (float)-sin(angle);
    }
    return STATUS_OK;
}

void fourier_free(struct fourier *fourier)
{
    free(fourier->cosines);
    free(fourier->sines);
    free(fourier->re);
    free(fourier->im);
    *fourier = (struct fourier){0};
}

/* The first pass, whose stretches are of one number. */
static void first_pass(const struct fourier *f, const float *restrict xr, const float *restrict xi,
                       float *restrict yr, float *restrict yi)
{
    int groups = f->size / 2;
    const float *restrict wr = f->cosines, *restrict wi = f->sines;
    for (int p = 0; p < groups; p++) {
        float dr = xr[p] - xr[p + groups], di = xi[p] - xi[p + groups];
        yr[2 * p] = xr[p] + xr[p + groups];
        yi[2 * p] = xi[p] + xi[p + groups];
        yr[2 * p + 1] = dr * wr[p] - di * wi[p];
        yi[2 * p + 1] = dr * wi[p] + di * wr[p];
    }
}

/* One pass: `groups` butterflies of stretches of `length`, from one pair of arrays to another. */
static void pass(const struct fourier *f, int groups, int length, const float *restrict xr,
                 const float *restrict xi, float *restrict yr, float *restrict yi)
{
    int apart = groups * length;
    for (int p = 0; p < groups; p++) {
        float wr = f->cosines[p * length], wi = f->sines[p * length];
        const float *ar = xr + p * length, *ai = xi + p * length;
        const float *br = ar + apart, *bi = ai + apart;
        float *sr = yr + 2 * p * length, *si = yi + 2 * p * length;
        for (int q = 0; q < length; q++) {
            float dr = ar[q] - br[q], di = ai[q] - bi[q];
            sr[q] = ar[q] + br[q];
            si[q] = ai[q] + bi[q];
            sr[q + length] = dr * wr - di * wi;
            si[q + length] = dr * wi + di * wr;
        }
    }
}

void fourier_forward(struct fourier *fourier, float *re, float *im)
{
    bool moved = true;
    first_pass(fourier, re, im, fourier->re, fourier->im);
    for (int length = 2; length < fourier->size; length *= 2) {
        int groups = fourier->size / 2 / length;
        if (moved) {
            pass(fourier, groups, length, fourier->re, fourier->im, re, im);
        } else {
            pass(fourier, groups, length, re, im, fourier->re, fourier->im);
        }
        moved = !moved;
    }
    if (moved) {
        memcpy(re, fourier->re, (size_t)fourier->size * sizeof *re);
        memcpy(im, fourier->im, (size_t)fourier->size * sizeof *im);
    }
}

void fourier_backward(struct fourier *fourier, float *re, float *im)
{
    fourier_forward(fourier, im, re); /* parts exchanged: the other sign */
}
