/* Idea. Two equal signals that arrive within a fraction of a microsecond add or cancel on all
 * carriers alike: at one place in a hundred less than a thousandth of the power is left. MISO
 * (ATSC A/322:2024-04 section 8.2) gives each transmitter an all-pass filter, so that the phase
 * between two of them is another one on each group of carriers: the sum's power is then about the
 * same everywhere, and only some carriers are weak.
 *
 * The coefficients of Annex J were not at hand. In their place each group of carriers, as wide as
 * one over the filter's length, is turned by m k^2 of a turn, k its number and m an irrational
 * number of the filter: phases between two filters are spread evenly over all values, whatever the
 * delay between the rays. There are four filters; more transmitters use them again.
 *
 * Power of a sum over the channel: sum of g_i^2 + 2 Re sum over pairs of g_i g_k M_ik exp(j (p_i -
 * p_k)), M_ik the mean of the pair's turning over the channel; without filters the sinc of the
 * delay between them times the bandwidth. Worked number: two equal rays at once: 1 + cos(p); 99 %
 * of the places get more than 1 + cos(0.99 pi) = 0.0005, -33.1 dB. */
#include "physics/ofdm/meeting.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"

#define PLACES 1024

double ofdm_filter_turns(double filter_us, int filter, double hz)
{
    static const double irrational[] = {0.0, 0.6180339887498949, 0.4142135623730951,
                                        0.7320508075688772};
    double group = floor(hz * filter_us * 1e-6);
    double turns = irrational[filter % 4] * group * group;
    return turns - floor(turns);
}

/* sin(pi x) / (pi x) */
static double sinc(double x)
{
    return fabs(x) < 1e-9 ? 1.0 : sin(PI * x) / (PI * x);
}

double complex ofdm_rays_alike(const struct ofdm_grid *grid, const struct ofdm_ray *a,
                               const struct ofdm_ray *b)
{
    double late_us = a->delay_us - b->delay_us;
    if (!(grid->filter_us > 0.0) || a->filter == b->filter) {
        return CMPLX(sinc(grid->occupied_mhz * late_us), 0.0);
    }
    double wide_hz = grid->occupied_mhz * 1e6;
    int steps = 64 + (int)(8.0 * (fabs(late_us) + grid->filter_us) * grid->occupied_mhz);
    double complex sum = 0.0;
    for (int i = 0; i < steps; i++) {
        double hz = wide_hz * ((i + 0.5) / steps - 0.5);
        double turns = ofdm_filter_turns(grid->filter_us, a->filter, hz) -
                       ofdm_filter_turns(grid->filter_us, b->filter, hz) - hz * late_us * 1e-6;
        sum += cexp(CMPLX(0.0, 2.0 * PI * turns));
    }
    return sum / steps;
}

static int weakest_first(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Sum of all pairs, with the rays' phases. */
static double pairs_power(const struct ofdm_rays *rays,
                          double complex alike[CHANNEL_RAYS_MAX][CHANNEL_RAYS_MAX],
                          const double *phases)
{
    double sum = 0.0;
    for (int i = 0; i < rays->count; i++) {
        sum += rays->rays[i].power;
        for (int k = 0; k < i; k++) {
            double amplitude = 2.0 * sqrt(rays->rays[i].power * rays->rays[k].power);
            sum += amplitude * creal(alike[i][k] * cexp(CMPLX(0.0, phases[i] - phases[k])));
        }
    }
    return sum;
}

/* Phases that are spread evenly over all values, those of any two rays too: multiples of the roots
 * of prime numbers. */
static double phase_at(int ray, int place)
{
    static const int primes[] = {2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53};
    double root = sqrt(primes[ray % (int)(sizeof primes / sizeof primes[0])]);
    return 2.0 * PI * fmod((place + 0.5) * root, 1.0);
}

double ofdm_meeting_db(const struct ofdm_grid *grid, const struct channel *channel, double percent)
{
    struct ofdm_rays rays;
    double complex alike[CHANNEL_RAYS_MAX][CHANNEL_RAYS_MAX];
    double powers[PLACES], phases[CHANNEL_RAYS_MAX], own[CHANNEL_RAYS_MAX], mean = 0.0;
    bool meet = false;
    ofdm_rays_make(grid, channel, &rays);
    for (int i = 0; i < rays.count; i++) {
        own[i] = rays.waves > 0 ? carg(ofdm_ray_sum(&rays, i, 0.0)) : rays.rays[i].phase;
        meet = meet || channel->rays[rays.rays[i].number].transmitter > 0;
        for (int k = 0; k < i; k++) {
            alike[i][k] = ofdm_rays_alike(grid, &rays.rays[i], &rays.rays[k]);
        }
    }
    if (!meet) {
        return NAN;
    }
    for (int place = 0; place < PLACES; place++) {
        for (int i = 0; i < rays.count; i++) {
            bool other = channel->rays[rays.rays[i].number].transmitter > 0;
            phases[i] = other ? phase_at(i, place) : own[i];
        }
        powers[place] = pairs_power(&rays, alike, phases);
        mean += powers[place] / PLACES;
    }
    qsort(powers, PLACES, sizeof powers[0], weakest_first);
    double least = powers[(int)(PLACES * (1.0 - percent / 100.0))];
    return db_from_ratio(fmax(least, 1e-9) / mean);
}
