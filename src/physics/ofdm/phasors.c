/* The hot loops behind carriers.c. Idea: a position changes each ray's phase alike on all carriers,
 * so what a ray does from carrier to carrier is made once, and a position is but a sum of these
 * with one complex factor for each ray. Sums of sixteen carriers stay in registers while the rays
 * pass. */
#include "physics/ofdm/phasors.h"

#include <stdint.h>
#include <string.h>

#include "base/twins.h"
#include "physics/ofdm/carriers.h"

#define LANES 16
typedef float lanes __attribute__((vector_size(4 * LANES)));
typedef uint32_t whole __attribute__((vector_size(4 * LANES)));

INLINED void add_part(const struct phasors *block, const struct phasors_part *part, int i,
                      lanes *re, lanes *im)
{
    lanes x, y;
    if (part->ray == 0) {
        *re += part->re;
        *im += part->im;
        return;
    }
    memcpy(&x, block[part->ray].re + i, sizeof x);
    memcpy(&y, block[part->ray].im + i, sizeof y);
    *re += part->re * x - part->im * y;
    *im += part->re * y + part->im * x;
}

_Static_assert(PHASORS_GROUP == 2 * LANES, "all of a pass");

TWINS void phasors_power(const struct phasors *block, const struct phasors_part *parts, int count,
                         int from, int to, float *powers)
{
    for (int i = from; i < to; i += 2 * LANES) {
        lanes re[2] = {{0.0f}}, im[2] = {{0.0f}};
        for (int k = 0; k < count; k++) {
            add_part(block, &parts[k], i, &re[0], &im[0]);
            add_part(block, &parts[k], i + LANES, &re[1], &im[1]);
        }
        for (int k = 0; k < 2; k++) {
            lanes power = re[k] * re[k] + im[k] * im[k];
            memcpy(powers + i + k * LANES, &power, sizeof power);
        }
    }
}

/* A group of carriers, for so many of the sums. */
INLINED void pass_group(const struct phasors *block, const struct phasors_sums *sums, int count,
                        const double *re, const double *im, ptrdiff_t apart, int group)
{
    for (int i = group * PHASORS_GROUP; i < (group + 1) * PHASORS_GROUP; i += LANES) {
        lanes sum_re[PHASORS_SUMS] = {{0.0f}}, sum_im[PHASORS_SUMS] = {{0.0f}};
        for (int k = 0; k < sums->rays; k++) {
            float times = count == 1 ? sums->times[0][k] : 1.0f;
            struct phasors_part ray = {k, times * (float)re[k * apart],
                                       times * (float)im[k * apart]};
            lanes x = {0.0f}, y = {0.0f};
            add_part(block, &ray, i, &x, &y);
            for (int s = 0; s < count; s++) {
                sum_re[s] += count == 1 ? x : sums->times[s][k] * x;
                sum_im[s] += count == 1 ? y : sums->times[s][k] * y;
            }
        }
        for (int s = 0; s < count; s++) {
            lanes power = sum_re[s] * sum_re[s] + sum_im[s] * sum_im[s];
            memcpy(sums->powers[s] + i, &power, sizeof power);
        }
    }
}

TWINS void phasors_power_passing(const struct phasors *block, const struct phasors_sums *sums,
                                 const double *re, const double *im, ptrdiff_t apart, const int *at)
{
    int count = sums->empty[2] ? sums->empty[1] ? 1 : 2 : 3;
    for (int s = count; s < PHASORS_SUMS; s++) {
        memset(sums->powers[s], 0, PHASORS_BLOCK * sizeof(float));
    }
    for (int group = 0; group < PHASORS_BLOCK / PHASORS_GROUP; group++) {
        const double *here_re = re + at[group], *here_im = im + at[group];
        if (count == 1) {
            pass_group(block, sums, 1, here_re, here_im, apart, group);
        } else if (count == 2) {
            pass_group(block, sums, 2, here_re, here_im, apart, group);
        } else {
            pass_group(block, sums, 3, here_re, here_im, apart, group);
        }
    }
}

TWINS void phasors_add_outside(const struct phasors *block, const struct phasors_part *parts,
                               const float *longer, int count, int from, int to, float *powers)
{
    for (int i = from; i < to; i += LANES) {
        lanes re = {0.0f}, im = {0.0f}, gap_re = {0.0f}, gap_im = {0.0f}, power;
        memcpy(&power, powers + i, sizeof power);
        for (int k = 0; k < count; k++) {
            add_part(block, &parts[k], i, &re, &im);
            power += 2.0f * longer[k] * (re * re + im * im);
            gap_re += longer[k] * re;
            gap_im += longer[k] * im;
        }
        power -= gap_re * gap_re + gap_im * gap_im;
        memcpy(powers + i, &power, sizeof power);
    }
}

double complex phasors_product(const struct phasors *later, const struct phasors *earlier,
                               int count)
{
    double re = 0.0, im = 0.0;
    for (int i = 0; i < count; i++) {
        float x = later->re[i], y = later->im[i];
        float c = earlier != NULL ? earlier->re[i] : 1.0f,
              s = earlier != NULL ? earlier->im[i] : 0.0f;
        re += (double)(x * c + y * s);
        im += (double)(y * c - x * s);
    }
    return CMPLX(re, im);
}

TWINS void phasors_snrs(const struct ofdm_look *look, float level, float self_times,
                        float mistaken_times, int count, float *snrs)
{
    int i = 0;
    for (; i + LANES <= count; i += LANES) {
        lanes useful, self, mistaken, snr;
        memcpy(&useful, look->useful + i, sizeof useful);
        memcpy(&self, look->self + i, sizeof self);
        memcpy(&mistaken, look->mistaken + i, sizeof mistaken);
        /* None below 0, whatever rounding says: by the sign, as GCC 12 compares lane by lane. */
        self = (lanes)((whole)self & (((whole)self >> 31) - 1));
        snr = useful / (level + self_times * self + mistaken_times * mistaken);
        memcpy(snrs + i, &snr, sizeof snr);
    }
    for (; i < count; i++) {
        float self = look->self[i] > 0.0f ? look->self[i] : 0.0f;
        snrs[i] =
            look->useful[i] / (level + self_times * self + mistaken_times * look->mistaken[i]);
    }
}
