/* Stockham's form of the radix-2 transform (Cochran et al., "What is the fast Fourier transform?",
 * Proc. IEEE 55, 1967): each pass writes in the order that the next one reads, so that nothing is
 * permuted and the inner loop runs along memory, as many numbers at a time as stand side by side.
 * Rounding: about 1e-7 of the largest value for 8192 numbers. Real numbers are taken in pairs for
 * complex ones, and their two spectra told apart by symmetry. Worked number: (1, 0, 0, 0) becomes
 * (1, 1, 1, 1). */
#include "base/fourier.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/twins.h"
#include "base/units.h"

typedef float lanes __attribute__((vector_size(16)));
#define LANES 4

INLINED lanes load(const float *from)
{
    lanes value;
    memcpy(&value, from, sizeof value);
    return value;
}

INLINED void store(lanes value, float *to)
{
    memcpy(to, &value, sizeof value);
}

enum status fourier_make(int size, struct fourier *fourier)
{
    size_t bytes = (size_t)size * sizeof(float);
    *fourier = (struct fourier){.size = size};
    fourier->cosines = malloc(bytes);
    fourier->sines = malloc(bytes);
    fourier->re = malloc(bytes);
    fourier->im = malloc(bytes);
    if (!fourier->cosines || !fourier->sines || !fourier->re || !fourier->im) {
        return STATUS_NO_MEMORY;
    }
    for (int groups = 1; groups < size; groups *= 2) {
        for (int p = 0; p < groups; p++) {
            double angle = PI * p / groups;
            fourier->cosines[groups + p] = (float)cos(angle);
            fourier->sines[groups + p] = (float)-sin(angle);
        }
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

/* Numbers on their way from one pass to the next. */
struct numbers {
    float *re, *im;
};

/* What a pass does with one stretch, whatever its length. */
INLINED void pass_plainly(const struct fourier *f, int groups, int length, struct numbers x,
                          struct numbers y)
{
    int apart = groups * length;
    for (int i = 0; i < apart; i++) {
        int p = i / length, to = 2 * p * length + i % length;
        float wr = f->cosines[groups + p], wi = f->sines[groups + p];
        float dr = x.re[i] - x.re[i + apart], di = x.im[i] - x.im[i + apart];
        y.re[to] = x.re[i] + x.re[i + apart];
        y.im[to] = x.im[i] + x.im[i + apart];
        y.re[to + length] = dr * wr - di * wi;
        y.im[to + length] = dr * wi + di * wr;
    }
}

/* The first pass, whose stretches are of one number. */
INLINED void pass_ones(const struct fourier *f, int groups, struct numbers x, struct numbers y)
{
    for (int p = 0; p < groups; p += LANES) {
        lanes wr = load(f->cosines + groups + p), wi = load(f->sines + groups + p);
        lanes ar = load(x.re + p), br = load(x.re + p + groups);
        lanes ai = load(x.im + p), bi = load(x.im + p + groups);
        lanes sr = ar + br, si = ai + bi, dr = ar - br, di = ai - bi;
        lanes tr = dr * wr - di * wi, ti = dr * wi + di * wr;
        store(__builtin_shufflevector(sr, tr, 0, 4, 1, 5), y.re + 2 * p);
        store(__builtin_shufflevector(sr, tr, 2, 6, 3, 7), y.re + 2 * p + LANES);
        store(__builtin_shufflevector(si, ti, 0, 4, 1, 5), y.im + 2 * p);
        store(__builtin_shufflevector(si, ti, 2, 6, 3, 7), y.im + 2 * p + LANES);
    }
}

/* The second, whose stretches are of two. */
INLINED void pass_twos(const struct fourier *f, int groups, struct numbers x, struct numbers y)
{
    const float *cosines = f->cosines + groups, *sines = f->sines + groups;
    for (int p = 0; p < groups; p += 2) {
        lanes wr = {cosines[p], cosines[p], cosines[p + 1], cosines[p + 1]};
        lanes wi = {sines[p], sines[p], sines[p + 1], sines[p + 1]};
        lanes ar = load(x.re + 2 * p), br = load(x.re + 2 * (p + groups));
        lanes ai = load(x.im + 2 * p), bi = load(x.im + 2 * (p + groups));
        lanes sr = ar + br, si = ai + bi, dr = ar - br, di = ai - bi;
        lanes tr = dr * wr - di * wi, ti = dr * wi + di * wr;
        store(__builtin_shufflevector(sr, tr, 0, 1, 4, 5), y.re + 4 * p);
        store(__builtin_shufflevector(sr, tr, 2, 3, 6, 7), y.re + 4 * p + LANES);
        store(__builtin_shufflevector(si, ti, 0, 1, 4, 5), y.im + 4 * p);
        store(__builtin_shufflevector(si, ti, 2, 3, 6, 7), y.im + 4 * p + LANES);
    }
}

/* `groups` butterflies of stretches of `length`, a multiple of four. */
INLINED void pass_short(const struct fourier *f, int groups, int length, struct numbers x,
                        struct numbers y)
{
    int apart = groups * length;
    for (int p = 0; p < groups; p++) {
        float wr = f->cosines[groups + p], wi = f->sines[groups + p];
        const float *xr = x.re + p * length, *xi = x.im + p * length;
        float *yr = y.re + 2 * p * length, *yi = y.im + 2 * p * length;
        for (int q = 0; q < length; q += LANES) {
            lanes ar = load(xr + q), br = load(xr + q + apart);
            lanes ai = load(xi + q), bi = load(xi + q + apart);
            lanes dr = ar - br, di = ai - bi;
            store(ar + br, yr + q);
            store(ai + bi, yi + q);
            store(dr * wr - di * wi, yr + q + length);
            store(dr * wi + di * wr, yi + q + length);
        }
    }
}

#define MANY 16
typedef float many __attribute__((vector_size(4 * MANY)));

/* The same of a multiple of sixteen. */
INLINED void pass_long(const struct fourier *f, int groups, int length, struct numbers x,
                       struct numbers y)
{
    int apart = groups * length;
    for (int p = 0; p < groups; p++) {
        float wr = f->cosines[groups + p], wi = f->sines[groups + p];
        const float *xr = x.re + p * length, *xi = x.im + p * length;
        float *yr = y.re + 2 * p * length, *yi = y.im + 2 * p * length;
        for (int q = 0; q < length; q += MANY) {
            many ar, br, ai, bi, to;
            memcpy(&ar, xr + q, sizeof ar);
            memcpy(&br, xr + q + apart, sizeof br);
            memcpy(&ai, xi + q, sizeof ai);
            memcpy(&bi, xi + q + apart, sizeof bi);
            to = ar + br;
            memcpy(yr + q, &to, sizeof to);
            to = ai + bi;
            memcpy(yi + q, &to, sizeof to);
            ar -= br;
            ai -= bi;
            to = ar * wr - ai * wi;
            memcpy(yr + q + length, &to, sizeof to);
            to = ar * wi + ai * wr;
            memcpy(yi + q + length, &to, sizeof to);
        }
    }
}

/* Of `size` numbers, no more than the fourier's own. */
TWINS static void transform(struct fourier *fourier, int size, float *re, float *im)
{
    struct numbers x = {re, im}, y = {fourier->re, fourier->im};
    for (int length = 1; length < size; length *= 2) {
        int groups = size / 2 / length;
        if (size < 2 * LANES) {
            pass_plainly(fourier, groups, length, x, y);
        } else if (length == 1) {
            pass_ones(fourier, groups, x, y);
        } else if (length == 2) {
            pass_twos(fourier, groups, x, y);
        } else if (length < MANY) {
            pass_short(fourier, groups, length, x, y);
        } else {
            pass_long(fourier, groups, length, x, y);
        }
        struct numbers kept = x;
        x = y;
        y = kept;
    }
    if (x.re != re) {
        memcpy(re, x.re, (size_t)size * sizeof *re);
        memcpy(im, x.im, (size_t)size * sizeof *im);
    }
}

void fourier_forward(struct fourier *fourier, float *re, float *im)
{
    transform(fourier, fourier->size, re, im);
}

void fourier_backward(struct fourier *fourier, float *re, float *im)
{
    fourier_forward(fourier, im, re); /* parts exchanged: the other sign */
}

/* With Z the transform of the pairs, E and O those of the even and the odd numbers: Z[k] = E[k] + j
 * O[k], and E[half - k], O[half - k] are the conjugates of E[k], O[k]. */
void fourier_forward_real(struct fourier *fourier, const float *values, float *re, float *im)
{
    int half = fourier->size / 2;
    const float *cosines = fourier->cosines + half, *sines = fourier->sines + half;
    for (int n = 0; n < half; n++) {
        re[n] = values[2 * n];
        im[n] = values[2 * n + 1];
    }
    transform(fourier, half, re, im);
    float sum = re[0] + im[0], difference = re[0] - im[0];
    for (int k = 1; 2 * k <= half; k++) {
        int m = half - k;
        float even_re = 0.5f * (re[k] + re[m]), even_im = 0.5f * (im[k] - im[m]);
        float odd_re = 0.5f * (im[k] + im[m]), odd_im = 0.5f * (re[m] - re[k]);
        float turned_re = odd_re * cosines[k] - odd_im * sines[k];
        float turned_im = odd_re * sines[k] + odd_im * cosines[k];
        re[k] = even_re + turned_re;
        im[k] = even_im + turned_im;
        re[m] = even_re - turned_re;
        im[m] = turned_im - even_im;
    }
    re[0] = sum;
    re[half] = difference;
    im[0] = im[half] = 0.0f;
}
