#ifndef BASE_FOURIER_H
#define BASE_FOURIER_H

#include "base/status.h"

/* The discrete Fourier transform of 2^k complex numbers in single precision, real and imaginary
 * parts in arrays of their own: X[k] = sum over n of x[n] exp(-j 2 pi k n / size), unscaled. */

struct fourier {
    int size;
    float *cosines, *sines; /* owned: from 2^i on those of 2^i steps of half a turn */
    float *re, *im;         /* owned, room of size each */
};

/* `size` a power of two, 2 or more. STATUS_NO_MEMORY; the owner calls fourier_free either way. */
enum status fourier_make(int size, struct fourier *fourier);
void fourier_free(struct fourier *fourier);

/* In place. The backward transform has the other sign in the exponent and is unscaled too. */
void fourier_forward(struct fourier *fourier, float *re, float *im);
void fourier_backward(struct fourier *fourier, float *re, float *im);

/* Of `size` real numbers, 4 or more, in half the time: X[0] to X[size / 2], which `re` and `im`
 * have room for; `values` lie elsewhere. The others are their conjugates. */
void fourier_forward_real(struct fourier *fourier, const float *values, float *re, float *im);

#endif
