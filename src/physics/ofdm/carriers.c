/* The rays' sum on each carrier. Idea: all that a symbol brings is linear in the rays, so what
 * several rays do to a carrier is the power of a sum of phasors g exp(j (phase - 2 pi f delay)):
 *
 *     useful     |sum of phasor x (1 - |t| / Tu) x known x sqrt(coherent)|^2
 *     unknown    |sum of phasor x (1 - |t| / Tu) x (1 - known)|^2
 *     mistaken   |sum of phasor x (1 - |t| / Tu) x mistaken|^2
 *
 * with t the time by which a ray is outside the guard interval. What such a ray brings of its
 * neighbouring symbol during t, and lacks of its own, is interference: noise-like, but cut from one
 * signal, so two rays i and k that are late by t_i and t_k disturb a carrier with the correlation
 *
 *     phasor_i conj(phasor_k) (2 min(t_i, t_k) - t_i t_k / Tu) / Tu
 *
 * (the neighbouring symbol's overlap and the own symbol's gap, each of which lasts min(t_i, t_k),
 * less what of the gap falls on the carrier itself). For one ray this is power x (1 - weight),
 * EBU Technical Review 295's rule. As min(t_i, t_k) is an integral over times that both outlast,
 * the double sum is one pass from the latest ray on,
 *
 *     sum over rays of 2 d_i / Tu |U_i|^2 - |V|^2,  V = sum of d_i / Tu U_i,
 *
 * U_i the sum of the phasors of ray i and all later ones, d_i by how much longer it is late than
 * the one before. Early rays the same way; late against early is left out (they bring different
 * symbols). Valid where the spectrum is level over the 1 / t that such a piece of a symbol is wide,
 * that is but at the channel's edges.
 *
 * Worked number: two rays one sample apart and opposed, 1.5 guard intervals late: their sum, and so
 * what they disturb with, is weak in the channel's middle and strong at its edges.
 *
 * The fast twin works in single precision: a phase is a whole number of 2^-32 turns, which wraps
 * as turns do; what phases drawn and a window change of a ray is one factor for all carriers
 * (phasors.h). Powers stay the same where all rays turn alike, so rays are told against the
 * earliest of them, which is one sum less.
 */
#include "physics/ofdm/carriers.h"

#include <math.h>
#include <string.h>

#include "base/complex.h"
#include "base/many.h"
#include "base/twins.h"
#include "base/units.h"
#include "base/wide.h"
#include "physics/ofdm/meeting.h"

static double norm(double complex value)
{
    return creal(value) * creal(value) + cimag(value) * cimag(value);
}

static double complex phasor(const struct ofdm_grid *grid, const struct ofdm_rays *rays, int i,
                             double hz, double at_ms)
{
    const struct ofdm_ray *ray = &rays->rays[i];
    bool waves = rays->waves > 0;
    double turns = (waves ? 0.0 : ray->offset_hz * at_ms * 1e-3) - hz * ray->delay_us * 1e-6;
    if (grid->filter_us > 0.0) {
        turns += ofdm_filter_turns(grid->filter_us, ray->filter, hz);
    }
    double complex turned = cexp(CMPLX(0.0, (waves ? 0.0 : ray->phase) + 2.0 * PI * turns));
    return (waves ? ofdm_ray_sum(rays, i, at_ms) : sqrt(ray->power)) * turned;
}

/* By how much longer, over Tu, ray i stays outside the guard interval than the next one inwards. */
static double outlasts(const struct ofdm_grid *grid, const struct ofdm_rays *rays, int i)
{
    double outside_us = rays->rays[i].outside_us;
    int next = outside_us > 0.0 ? i - 1 : i + 1;
    double other_us = next >= 0 && next < rays->count ? rays->rays[next].outside_us : 0.0;
    bool same_side = outside_us * other_us > 0.0;
    return fabs(outside_us - (same_side ? other_us : 0.0)) / grid->useful_us;
}

/* The rays outside the guard interval on one side, furthest first: from, next, .. */
struct side {
    int from, next, count;
};

static void find_sides(const struct ofdm_rays *rays, struct side sides[2])
{
    sides[0] = (struct side){0, 1, 0};
    sides[1] = (struct side){rays->count - 1, -1, 0};
    for (int i = 0; i < rays->count; i++) {
        sides[0].count += rays->rays[i].outside_us < 0.0;
        sides[1].count += rays->rays[i].outside_us > 0.0;
    }
}

struct ofdm_powers ofdm_carrier_powers(const struct ofdm_grid *grid, const struct ofdm_rays *rays,
                                       double hz, double at_ms)
{
    double complex useful = 0.0, unknown = 0.0, mistaken = 0.0;
    for (int i = 0; i < rays->count; i++) {
        const struct ofdm_ray *ray = &rays->rays[i];
        double complex seen =
            phasor(grid, rays, i, hz, at_ms) * (1.0 - fabs(ray->outside_us) / grid->useful_us);
        useful += seen * (ray->known * sqrt(ray->coherent));
        unknown += seen * (1.0 - ray->known);
        mistaken += seen * ray->mistaken;
    }
    struct ofdm_powers powers = {norm(useful), norm(unknown), norm(mistaken)};
    struct side sides[2];
    find_sides(rays, sides);
    for (int s = 0; s < 2; s++) {
        double complex sum = 0.0, gap = 0.0;
        for (int k = 0; k < sides[s].count; k++) {
            int i = sides[s].from + k * sides[s].next;
            double longer = outlasts(grid, rays, i);
            sum += phasor(grid, rays, i, hz, at_ms);
            powers.self += 2.0 * longer * norm(sum);
            gap += longer * sum;
        }
        powers.self -= norm(gap);
    }
    return powers;
}

/* ---- Choosing carriers. ---- */

#define PLACES_LEAST 16384   /* to choose among */
#define MOVING_CARRIERS 9600 /* where all are asked for and something moves */

/* Any regular choice, moved on by the golden ratio too, keeps time with the ripple of some echo,
 * and then misses its notches or sees little else; the error of a random one is the same at all
 * delays and falls with the root of the count.
 *
 * Where something moves each carrier is looked at once, at an instant of its own: the next one's is
 * a golden section of the span later, so that any few that follow each other are all over it. A few
 * instants with many carriers each see a ray that turns more often than that as if it turned slowly
 * or stood. Worked number: profiles/mobile.ini, against 400 000 carriers and instants: 9216 err by
 * 0.005 dB, where 16 instants of 1728 carriers erred by 0.014 dB; in the rooms with long echoes of
 * tests/physics/ofdm/test_work.c by 0.015 and 0.017 dB (root mean squares). */
struct ofdm_choice ofdm_choice_of_part(const struct ofdm_grid *grid, struct ofdm_part part,
                                       int most, double span_ms)
{
    bool all = !(part.to > part.from);
    int first = all ? 0 : (int)lround(part.from * grid->carriers);
    int end = all ? grid->carriers : (int)lround(part.to * grid->carriers);
    int carriers = end > first ? end - first : 1;
    if (span_ms > 0.0 && most == 0) {
        most = MOVING_CARRIERS;
    }
    int parts = 1;
    while (most > 0 && carriers < PLACES_LEAST) {
        parts *= 2;
        carriers = 2 * (carriers - 1) + 1;
    }
    int step = most > 0 && most < carriers ? (carriers + most - 1) / most : 1;
    return (struct ofdm_choice){.parts = parts,
                                .first = parts * first - parts * (grid->carriers - 1) / 2,
                                .carriers = carriers,
                                .step = step,
                                .count = carriers / step,
                                .span_ms = span_ms};
}

struct ofdm_choice ofdm_choice_make(const struct ofdm_grid *grid, int most, double span_ms)
{
    return ofdm_choice_of_part(grid, (struct ofdm_part){0.0, 0.0}, most, span_ms);
}

int ofdm_choice_count(const struct ofdm_choice *choice)
{
    return choice->count;
}

/* The finaliser of MurmurHash3 as the source of chance: the same places on every machine. */
static int place_in_step(const struct ofdm_choice *choice, int i)
{
    uint32_t hash = (uint32_t)i;
    hash = (hash ^ hash >> 16) * 0x85EBCA6Bu;
    hash = (hash ^ hash >> 13) * 0xC2B2AE35u;
    hash ^= hash >> 16;
    return (int)((uint64_t)hash * (uint64_t)choice->step >> 32);
}

/* ---- Many carriers at once. ---- */

#define BLOCK PHASORS_BLOCK

/* Where and when a block's carriers are. */
struct block {
    double apart_hz;          /* what the carriers count */
    double filter_us;         /* of the transmitters; 0: none */
    uint32_t carriers[BLOCK]; /* from the channel's centre, modulo 2^32 */
    uint32_t instants[BLOCK];
    double first_ms, step_ms; /* when the instants are */
};

static uint32_t phase_of(double turns)
{
    return (uint32_t)(int64_t)llrint((turns - floor(turns)) * 4294967296.0);
}

static void filter_ray(const struct ofdm_ray *ray, const struct block *block, uint32_t *phases)
{
    for (int i = 0; i < BLOCK; i++) {
        double hz = block->apart_hz * (int32_t)block->carriers[i];
        phases[i] += phase_of(ofdm_filter_turns(block->filter_us, ray->filter, hz));
    }
}

/* A ray's phases on a block's carriers. */
static void find_phases(const struct ofdm_ray *ray, const struct block *block, uint32_t *phases)
{
    double turns_a_ms = ray->offset_hz * 1e-3; /* of a ray without waves */
    uint32_t start = phase_of(turns_a_ms * block->first_ms);
    uint32_t step = phase_of(-block->apart_hz * ray->delay_us * 1e-6);
    uint32_t later = phase_of(turns_a_ms * block->step_ms);
    for (int i = 0; i < BLOCK; i++) {
        phases[i] = start + step * block->carriers[i];
    }
    for (int i = 0; i < BLOCK && later != 0; i++) {
        phases[i] += later * block->instants[i];
    }
    if (block->filter_us > 0.0 && ray->filter > 0) {
        filter_ray(ray, block, phases);
    }
}

static void turn_ray(const struct ofdm_ray *ray, const struct block *block,
                     const uint32_t *earliest, struct phasors *turned)
{
    uint32_t phases[BLOCK];
    float turns[BLOCK];
    find_phases(ray, block, phases);
    for (int i = 0; i < BLOCK; i++) {
        turns[i] = (1.0f / 4294967296.0f) * (float)(int32_t)(phases[i] - earliest[i]);
    }
    many_turns(turns, turned->re, turned->im, BLOCK);
}

/* Where rays have waves a group of carriers that pass the hot loops together shares an instant, and
 * lies all over the channel. */
static int which_of_group(const struct ofdm_choice *choice, int at)
{
    int groups = (choice->count + PHASORS_GROUP - 1) / PHASORS_GROUP;
    return (at / PHASORS_GROUP + at % PHASORS_GROUP * groups) % choice->count;
}

static void choose_block(const struct ofdm_choice *choice, bool in_groups, int first, int count,
                         struct block *block)
{
    for (int i = 0; i < BLOCK; i++) {
        int at = first + (i < count ? i : count - 1);
        int which = in_groups ? which_of_group(choice, at) : at;
        int carrier = which * choice->step + choice->first;
        int within = choice->step > 1 ? place_in_step(choice, which) : 0;
        block->carriers[i] = (uint32_t)(carrier + within);
        block->instants[i] = (uint32_t)which * 0x9E3779B9u >> 16;
    }
    block->step_ms = in_groups ? 0.0 : choice->span_ms / 65536.0;
    block->first_ms = 0.5 * block->step_ms;
}

static void turn_block(const struct ofdm_grid *grid, const struct ofdm_rays *rays,
                       const struct ofdm_choice *choice, int first, struct phasors *turned)
{
    struct block block;
    int all = ofdm_choice_count(choice);
    choose_block(choice, rays->waves > 0, first, all - first < BLOCK ? all - first : BLOCK, &block);
    block.apart_hz = grid->spacing_hz / choice->parts;
    block.filter_us = grid->filter_us;
    uint32_t earliest[BLOCK];
    find_phases(&rays->rays[0], &block, earliest);
    for (int i = 1; i < rays->count; i++) {
        turn_ray(&rays->rays[i], &block, earliest, &turned[i]);
    }
}

size_t ofdm_turned_count(const struct ofdm_rays *rays, const struct ofdm_choice *choice)
{
    int blocks = (ofdm_choice_count(choice) + BLOCK - 1) / BLOCK;
    return (size_t)blocks * (size_t)rays->count;
}

void ofdm_turned_make(const struct ofdm_grid *grid, const struct ofdm_rays *rays,
                      const struct ofdm_choice *choice, struct phasors *turned)
{
    for (int first = 0; first < ofdm_choice_count(choice); first += BLOCK) {
        turn_block(grid, rays, choice, first, turned);
        turned += rays->count;
    }
}

/* ---- What the rays add up to. ---- */

struct parts {
    int count;
    struct phasors_part of[CHANNEL_RAYS_MAX];
    double times[CHANNEL_RAYS_MAX];
};

/* All that a block of carriers is asked for. */
struct sums {
    struct parts useful, unknown, mistaken, outside[2];
    float passing[PHASORS_SUMS][CHANNEL_RAYS_MAX]; /* how many times, of the first three */
    float longer[2][CHANNEL_RAYS_MAX];
};

static void add_part(struct parts *parts, int ray, double times)
{
    parts->of[parts->count].ray = ray;
    parts->times[parts->count++] = times;
}

/* Which rays are in each sum, and how many times. */
static void find_sums(const struct ofdm_grid *grid, const struct ofdm_rays *rays, struct sums *sums)
{
    struct side sides[2];
    find_sides(rays, sides);
    sums->useful.count = sums->unknown.count = sums->mistaken.count = 0;
    for (int i = 0; i < rays->count; i++) {
        const struct ofdm_ray *ray = &rays->rays[i];
        double inside = 1.0 - fabs(ray->outside_us) / grid->useful_us;
        if (ray->known > 0.0) {
            add_part(&sums->useful, i, inside * ray->known * sqrt(ray->coherent));
        }
        if (ray->known < 1.0) {
            add_part(&sums->unknown, i, inside * (1.0 - ray->known));
        }
        if (ray->mistaken > 0.0) {
            add_part(&sums->mistaken, i, inside * ray->mistaken);
        }
    }
    for (int s = 0; s < 2; s++) {
        sums->outside[s].count = 0;
        for (int k = 0; k < sides[s].count; k++) {
            int i = sides[s].from + k * sides[s].next;
            sums->longer[s][k] = (float)outlasts(grid, rays, i);
            add_part(&sums->outside[s], i, 1.0);
        }
    }
}

/* With rays of these amplitudes on the channel's centre, `apart` from one to the next. */
static void set_parts(struct parts *parts, const double *re, const double *im, ptrdiff_t apart)
{
    for (int k = 0; k < parts->count; k++) {
        struct phasors_part *part = &parts->of[k];
        part->re = (float)(parts->times[k] * re[part->ray * apart]);
        part->im = (float)(parts->times[k] * im[part->ray * apart]);
    }
}

static void set_sums(struct sums *sums, const double *re, const double *im, ptrdiff_t apart)
{
    struct parts *const all[] = {&sums->useful, &sums->unknown, &sums->mistaken, &sums->outside[0],
                                 &sums->outside[1]};
    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++) {
        set_parts(all[i], re, im, apart);
    }
}

/* Of rays that are in none of a sum: none. */
static void keep_times(int rays, struct sums *sums)
{
    const struct parts *const parts[PHASORS_SUMS] = {&sums->useful, &sums->unknown,
                                                     &sums->mistaken};
    for (int s = 0; s < PHASORS_SUMS; s++) {
        memset(sums->passing[s], 0, (size_t)rays * sizeof(float));
        for (int k = 0; k < parts[s]->count; k++) {
            sums->passing[s][parts[s]->of[k].ray] = (float)parts[s]->times[k];
        }
    }
}

static void take_standing(const struct ofdm_rays *rays, struct sums *sums)
{
    double re[CHANNEL_RAYS_MAX], im[CHANNEL_RAYS_MAX];
    for (int i = 0; i < rays->count; i++) {
        const struct ofdm_ray *ray = &rays->rays[i];
        re[i] = sqrt(ray->power) * ray->cosine;
        im[i] = sqrt(ray->power) * ray->sine;
    }
    set_sums(sums, re, im, 1);
}

/* On a block's carriers from one on, to another. */
static void add_outside(const struct sums *sums, const struct phasors *turned, int from, int to,
                        float *self)
{
    for (int s = 0; s < 2; s++) {
        if (sums->outside[s].count > 0) {
            phasors_add_outside(turned, sums->outside[s].of, sums->longer[s],
                                sums->outside[s].count, from, to, self);
        }
    }
}

static void sum_block(const struct sums *sums, const struct phasors *turned,
                      const struct ofdm_look *look, int first)
{
    float *self = look->self + first;
    phasors_power(turned, sums->useful.of, sums->useful.count, 0, BLOCK, look->useful + first);
    phasors_power(turned, sums->mistaken.of, sums->mistaken.count, 0, BLOCK,
                  look->mistaken + first);
    phasors_power(turned, sums->unknown.of, sums->unknown.count, 0, BLOCK, self);
    add_outside(sums, turned, 0, BLOCK, self);
}

/* ---- Rays that have waves: what they are goes from instant to instant. ---- */

/* Adds a wave that begins so many turns on and turns from instant to instant. */
static void add_wave(double begins, double turn, float *re, float *im)
{
    float turns[OFDM_INSTANTS], cosines[OFDM_INSTANTS], sines[OFDM_INSTANTS];
    float first = (float)(begins - floor(begins)), step = (float)turn;
    for (int at = 0; at < OFDM_INSTANTS; at++) {
        turns[at] = first + step * (float)at;
    }
    many_turns(turns, cosines, sines, OFDM_INSTANTS);
    for (int at = 0; at < OFDM_INSTANTS; at++) {
        re[at] += cosines[at];
        im[at] += sines[at];
    }
}

void ofdm_passage_make(const struct ofdm_rays *rays, double span_ms, struct ofdm_passage *passage)
{
    double step_s = span_ms * 1e-3 / OFDM_INSTANTS;
    for (int i = 0; i < rays->count; i++) {
        double gain = sqrt(rays->rays[i].power / rays->waves);
        float re[OFDM_INSTANTS] = {0.0f}, im[OFDM_INSTANTS] = {0.0f};
        for (int k = 0; k < rays->waves; k++) {
            const struct ofdm_wave *wave = &rays->wave[rays->rays[i].number + k];
            double turn = wave->offset_hz * step_s;
            add_wave(wave->phase / (2.0 * PI) + 0.5 * turn, turn, re, im);
        }
        for (int at = 0; at < OFDM_INSTANTS; at++) {
            passage->re[i][at] = gain * re[at];
            passage->im[i][at] = gain * im[at];
        }
    }
}

/* A block of which each group is met at an instant of its own. */
static void sum_passing(const struct ofdm_passage *passage, const struct phasors *turned,
                        const struct ofdm_look *look, int first, int groups, int rays,
                        struct sums *sums)
{
    const double *re = passage->re[0], *im = passage->im[0];
    int at[BLOCK / PHASORS_GROUP];
    for (int i = 0; i < BLOCK / PHASORS_GROUP; i++) {
        int group = first / PHASORS_GROUP + i;
        at[i] = groups >= OFDM_INSTANTS ? group % OFDM_INSTANTS
                                        : (2 * group + 1) * OFDM_INSTANTS / (2 * groups);
        at[i] = at[i] < OFDM_INSTANTS ? at[i] : OFDM_INSTANTS - 1;
    }
    const struct phasors_sums passing = {
        rays,
        {sums->passing[0], sums->passing[1], sums->passing[2]},
        {false, sums->unknown.count == 0, sums->mistaken.count == 0},
        {look->useful + first, look->self + first, look->mistaken + first}};
    phasors_power_passing(turned, &passing, re, im, OFDM_INSTANTS, at);
    for (int i = 0; i < BLOCK && sums->outside[0].count + sums->outside[1].count > 0;
         i += PHASORS_GROUP) {
        for (int s = 0; s < 2; s++) {
            set_parts(&sums->outside[s], re + at[i / PHASORS_GROUP], im + at[i / PHASORS_GROUP],
                      OFDM_INSTANTS);
        }
        add_outside(sums, turned, i, i + PHASORS_GROUP, look->self + first);
    }
}

void ofdm_carriers_fill(const struct ofdm_grid *grid, const struct ofdm_rays *rays,
                        const struct ofdm_passage *passage, const struct ofdm_choice *choice,
                        struct phasors *room, const struct phasors *turned,
                        const struct ofdm_look *look)
{
    struct sums sums;
    int all = ofdm_choice_count(choice), groups = (all + PHASORS_GROUP - 1) / PHASORS_GROUP;
    find_sums(grid, rays, &sums);
    if (passage == NULL) {
        take_standing(rays, &sums);
    } else {
        keep_times(rays->count, &sums);
    }
    for (int first = 0; first < all; first += BLOCK) {
        if (turned == NULL) {
            turn_block(grid, rays, choice, first, room);
        }
        const struct phasors *block = turned != NULL ? turned : room;
        if (passage != NULL) {
            sum_passing(passage, block, look, first, groups, rays->count, &sums);
        } else {
            sum_block(&sums, block, look, first);
        }
        turned += turned != NULL ? rays->count : 0;
    }
}
