/* Idea. Symbols repeat their spectrum once per symbol rate R; at two samples a symbol the
 * transmitter's filter cuts one copy out of it, sqrt(2 V(f)), V the raised cosine around R / 4 that
 * physics/vsb/channel.c describes. Rays of one Doppler that arrive together are one filter more,
 * their sum as a spectrum; what comes out is turned by that Doppler, sample by sample, and added to
 * the rays of other Dopplers. All of it in blocks that overlap by more than the filters' tails
 * (overlap-save).
 *
 * Frequencies count from the pilot, R / 4 below the channel's centre where a ray's phase is given:
 * its phase at the pilot is phase + 2 pi (R / 4) delay.
 *
 * Noise of the power N in a complex sample at 2 R leaves the matched filter with N mean(2 V) = N /
 * 2 and its real part with N / 4: white at the symbol rate. Worked number: one ray, no noise:
 * sample n is symbol n, for the two filters make a Nyquist pulse. */
#include "simulation/vsb/receiver/air.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/fourier.h"
#include "base/units.h"
#include "simulation/modem/kernels.h"
#include "simulation/modem/noise.h"
#include "standard/vsb/signal.h"

#define BLOCK 4096         /* symbols of a block */
#define WIDE (2 * BLOCK)   /* samples of a block */
#define SEND_MARGIN 640    /* symbols not used at either end: the pulse and a group's spread */
#define RECEIVE_MARGIN 256 /* the pulse alone: 70 dB down there */
#define GROUP_REACH 320.0  /* symbols from a group's middle to its rays */
#define NOISE_CHUNK (2 * KERNEL_LANES * 64)

/* Rays of one Doppler that arrive within GROUP_REACH of `shift`. */
struct group {
    double doppler_hz; /* against the reference */
    long shift;        /* symbols */
    float *re, *im;    /* WIDE bins, owned */
};

struct vsb_air {
    long symbols;
    struct fourier narrow, wide;
    int group_count;
    struct group *groups; /* CHANNEL_RAYS_MAX */
    float *re, *im;       /* the waveform, 2 * symbols */
    float *spectrum_re, *spectrum_im, *block_re, *block_im, *noise;
    float *root; /* of 2 V, by bin */
};

static void *floats(long count)
{
    return malloc((size_t)count * sizeof(float));
}

void vsb_air_free(struct vsb_air *air)
{
    if (!air) {
        return;
    }
    for (int i = 0; air->groups && i < CHANNEL_RAYS_MAX; i++) {
        free(air->groups[i].re);
        free(air->groups[i].im);
    }
    fourier_free(&air->narrow);
    fourier_free(&air->wide);
    float *const owned[] = {air->re,       air->im,       air->spectrum_re, air->spectrum_im,
                            air->block_re, air->block_im, air->noise,       air->root};
    for (size_t i = 0; i < sizeof owned / sizeof owned[0]; i++) {
        free(owned[i]);
    }
    free(air->groups);
    free(air);
}

/* Cycles per symbol of a bin, -1 to 1. */
static double bin_frequency(int bin)
{
    return (double)(bin < BLOCK ? bin : bin - WIDE) / BLOCK;
}

/* sqrt(2 V(f)): 1/sqrt2 of its middle at the pilot. */
static double root_shape(double frequency)
{
    double x = (fabs(frequency - 0.25) - 0.25 * (1.0 - VSB_ROLL_OFF)) / (0.5 * VSB_ROLL_OFF);
    double shape = x <= 0.0 ? 1.0 : x >= 1.0 ? 0.0 : 0.5 * (1.0 + cos(PI * x));
    return sqrt(2.0 * shape);
}

struct vsb_air *vsb_air_create(long symbols)
{
    struct vsb_air *air = calloc(1, sizeof *air);
    if (!air) {
        return NULL;
    }
    air->symbols = symbols;
    enum status narrow = fourier_make(BLOCK, &air->narrow);
    enum status wide = fourier_make(WIDE, &air->wide);
    air->groups = calloc(CHANNEL_RAYS_MAX, sizeof *air->groups);
    air->re = floats(2 * symbols);
    air->im = floats(2 * symbols);
    air->spectrum_re = floats(BLOCK);
    air->spectrum_im = floats(BLOCK);
    air->block_re = floats(WIDE);
    air->block_im = floats(WIDE);
    air->noise = floats(NOISE_CHUNK);
    air->root = floats(WIDE);
    if (narrow != STATUS_OK || wide != STATUS_OK || !air->groups || !air->re || !air->im ||
        !air->spectrum_re || !air->spectrum_im || !air->block_re || !air->block_im || !air->noise ||
        !air->root) {
        vsb_air_free(air);
        return NULL;
    }
    for (int bin = 0; bin < WIDE; bin++) {
        air->root[bin] = (float)root_shape(bin_frequency(bin));
    }
    return air;
}

/* An array of its own, kept from before where there is one. False: no memory. */
static bool have_floats(float **array)
{
    *array = *array ? *array : floats(WIDE);
    return *array != NULL;
}

/* The group for a ray of that Doppler and delay, an empty one where there is none yet. */
static struct group *group_of(struct vsb_air *air, double doppler_hz, double delay)
{
    for (int i = 0; i < air->group_count; i++) {
        struct group *group = &air->groups[i];
        if (fabs(group->doppler_hz - doppler_hz) < 1e-9 &&
            fabs((double)group->shift - delay) <= GROUP_REACH) {
            return group;
        }
    }
    struct group *group = &air->groups[air->group_count];
    if (!have_floats(&group->re) || !have_floats(&group->im)) {
        return NULL;
    }
    air->group_count++;
    group->doppler_hz = doppler_hz;
    group->shift = lround(delay);
    memset(group->re, 0, WIDE * sizeof *group->re);
    memset(group->im, 0, WIDE * sizeof *group->im);
    return group;
}

/* Adds to a group's filter a ray of `gain` and `phase` at the pilot, `late` symbols behind it. */
static void add_ray(const struct vsb_air *air, struct group *group, double gain, double phase,
                    double late)
{
    for (int bin = 0; bin < WIDE; bin++) {
        if (air->root[bin] > 0.0f) {
            double angle = phase - 2.0 * PI * bin_frequency(bin) * late;
            group->re[bin] += (float)(air->root[bin] * gain * cos(angle));
            group->im[bin] += (float)(air->root[bin] * gain * sin(angle));
        }
    }
}

enum status vsb_air_set(struct vsb_air *air, const struct channel *channel, int reference)
{
    const struct ray *lock = &channel->rays[reference];
    air->group_count = 0;
    for (int i = 0; i < channel->count; i++) {
        const struct ray *ray = &channel->rays[i];
        double delay = (ray->delay_us - lock->delay_us) / vsb_symbol_us();
        struct group *group = group_of(air, ray->doppler_hz - lock->doppler_hz, delay);
        if (!group) {
            return STATUS_NO_MEMORY;
        }
        /* A quarter of a turn a symbol: the pilot lies R / 4 below the centre. */
        add_ray(air, group, ray->gain / lock->gain, ray->phase - lock->phase + PI / 2.0 * delay,
                delay - (double)group->shift);
    }
    return STATUS_OK;
}

/* The spectrum of BLOCK symbols from `first` on; 0 beyond the ends. */
static void transform_symbols(struct vsb_air *air, const float *sent, long first)
{
    for (long i = 0; i < BLOCK; i++) {
        long at = first + i;
        air->spectrum_re[i] = at >= 0 && at < air->symbols ? sent[at] : 0.0f;
    }
    memset(air->spectrum_im, 0, BLOCK * sizeof *air->spectrum_im);
    fourier_forward(&air->narrow, air->spectrum_re, air->spectrum_im);
}

/* The transformed symbols through a group's filter, back in time. */
static void filter_group(struct vsb_air *air, const struct group *group)
{
    const float scale = 1.0f / BLOCK;
    for (int bin = 0; bin < WIDE; bin++) {
        float re = air->spectrum_re[bin % BLOCK] * scale,
              im = air->spectrum_im[bin % BLOCK] * scale;
        air->block_re[bin] = re * group->re[bin] - im * group->im[bin];
        air->block_im[bin] = re * group->im[bin] + im * group->re[bin];
    }
    fourier_backward(&air->wide, air->block_re, air->block_im);
}

/* Adds `count` samples of the block from `from` on to the waveform at `at`, turned. */
static void add_turned(struct vsb_air *air, const struct group *group, long from, long at,
                       long count)
{
    double rate = 2.0 * vsb_symbol_rate_hz(), turn = 2.0 * PI * group->doppler_hz / rate;
    double start = 2.0 * PI * fmod(group->doppler_hz * (double)at / rate, 1.0);
    double c = cos(start), s = sin(start), step_c = cos(turn), step_s = sin(turn);
    float *re = air->re + at, *im = air->im + at;
    const float *from_re = air->block_re + from, *from_im = air->block_im + from;
    for (long i = 0; i < count; i++) {
        float cf = (float)c, sf = (float)s;
        re[i] += from_re[i] * cf - from_im[i] * sf;
        im[i] += from_re[i] * sf + from_im[i] * cf;
        double next = c * step_c - s * step_s;
        s = c * step_s + s * step_c;
        c = next;
    }
}

static void pass_rays(struct vsb_air *air, const float *sent)
{
    const long useful = BLOCK - 2 * SEND_MARGIN;
    memset(air->re, 0, 2 * (size_t)air->symbols * sizeof *air->re);
    memset(air->im, 0, 2 * (size_t)air->symbols * sizeof *air->im);
    for (long first = 0; first < air->symbols; first += useful) {
        long count = air->symbols - first < useful ? air->symbols - first : useful;
        for (int g = 0; g < air->group_count; g++) {
            const struct group *group = &air->groups[g];
            if (g == 0 || group->shift != air->groups[g - 1].shift) {
                transform_symbols(air, sent, first - group->shift - SEND_MARGIN);
            }
            filter_group(air, group);
            add_turned(air, group, 2 * SEND_MARGIN, 2 * first, 2 * count);
        }
    }
}

static void add_noise(struct vsb_air *air, float *axis, float deviation, struct noise *noise)
{
    const struct kernels *kernels = kernels_best();
    for (long at = 0; at < 2 * air->symbols; at += NOISE_CHUNK) {
        long count = 2 * air->symbols - at < NOISE_CHUNK ? 2 * air->symbols - at : NOISE_CHUNK;
        kernels->normal(noise, air->noise, NOISE_CHUNK);
        for (long i = 0; i < count; i++) {
            axis[at + i] += deviation * air->noise[i];
        }
    }
}

/* Matched filter and every second sample: the bins above fold onto those below. */
static void receive_block(struct vsb_air *air, long first)
{
    const float scale = 1.0f / WIDE;
    for (long i = 0; i < WIDE; i++) {
        long at = 2 * (first - RECEIVE_MARGIN) + i;
        bool inside = at >= 0 && at < 2 * air->symbols;
        air->block_re[i] = inside ? air->re[at] : 0.0f;
        air->block_im[i] = inside ? air->im[at] : 0.0f;
    }
    fourier_forward(&air->wide, air->block_re, air->block_im);
    for (int bin = 0; bin < BLOCK; bin++) {
        float low = air->root[bin] * scale, high = air->root[bin + BLOCK] * scale;
        air->spectrum_re[bin] = low * air->block_re[bin] + high * air->block_re[bin + BLOCK];
        air->spectrum_im[bin] = low * air->block_im[bin] + high * air->block_im[bin + BLOCK];
    }
    fourier_backward(&air->narrow, air->spectrum_re, air->spectrum_im);
}

void vsb_air_send(struct vsb_air *air, const float *sent, double noise_power, struct random *random,
                  float *samples)
{
    const long useful = BLOCK - 2 * RECEIVE_MARGIN;
    /* Each axis has half of the complex noise, 4 times what the matched filter leaves. */
    float deviation = (float)sqrt(2.0 * noise_power);
    struct noise noise = noise_seeded(random);
    pass_rays(air, sent);
    add_noise(air, air->re, deviation, &noise);
    add_noise(air, air->im, deviation, &noise);
    for (long first = 0; first < air->symbols; first += useful) {
        long count = air->symbols - first < useful ? air->symbols - first : useful;
        receive_block(air, first);
        memcpy(samples + first, air->spectrum_re + RECEIVE_MARGIN, (size_t)count * sizeof *samples);
    }
}
