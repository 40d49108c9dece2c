/* An ideal equaliser divides each cell by its gain g, so that the receiver sees point + noise / g
 * with the noise power N / |g|^2, which it knows; the phase of g does not matter, as the noise has
 * none. */
#include "simulation/chain/air.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "simulation/modem/kernels.h"
#include "simulation/modem/noise.h"

_Static_assert(AIR_PADDING == 2 * KERNEL_LANES, "normal numbers are made in pairs of lanes");

#define GAIN_POWER_MIN 1e-9f /* a deeper fade says nothing anyway */
#define SHUFFLE_SEED 1       /* order in which cells take carriers */

/* Fisher and Yates, inside out. */
static void shuffle(const float *gain_power, size_t count, float *shuffled)
{
    struct random random = random_seeded(SHUFFLE_SEED, 0);
    for (size_t i = 0; i < count; i++) {
        size_t k = (size_t)(random_uniform(&random) * (double)(i + 1));
        shuffled[i] = shuffled[k];
        shuffled[k] = gain_power[i];
    }
}

enum status air_make(enum chain_channel channel, const float *gain_power, int carriers, int word,
                     struct air *air)
{
    *air = (struct air){.channel = channel, .carriers = carriers, .word = word};
    if (channel != CHANNEL_CARRIERS) {
        return STATUS_OK;
    }
    if (carriers < 1 || gain_power == NULL || (word > 0 && carriers % word != 0)) {
        return STATUS_OUT_OF_RANGE;
    }
    air->gain_power = malloc(sizeof *air->gain_power * (size_t)carriers);
    if (air->gain_power == NULL) {
        return STATUS_NO_MEMORY;
    }
    if (word > 0) {
        memcpy(air->gain_power, gain_power, sizeof *gain_power * (size_t)carriers);
    } else {
        shuffle(gain_power, (size_t)carriers, air->gain_power);
    }
    return STATUS_OK;
}

void air_free(struct air *air)
{
    free(air->gain_power);
    air->gain_power = NULL;
}

bool air_cells_make(int cells, struct air_cells *made)
{
    int count = (cells + AIR_PADDING - 1) / AIR_PADDING * AIR_PADDING;
    *made = (struct air_cells){.count = count};
    float **const arrays[] = {&made->re, &made->im, &made->inverse_noise, &made->noise,
                              &made->gain_power};
    bool complete = true;
    for (size_t i = 0; i < sizeof arrays / sizeof arrays[0]; i++) {
        *arrays[i] = calloc((size_t)count, sizeof(float));
        complete = complete && *arrays[i] != NULL;
    }
    return complete;
}

void air_cells_free(struct air_cells *cells)
{
    free(cells->re);
    free(cells->im);
    free(cells->inverse_noise);
    free(cells->noise);
    free(cells->gain_power);
    *cells = (struct air_cells){0};
}

/* Power gains of the cells, and the noise power over each. */
static void draw_gains(const struct air *air, struct air_cells *cells, struct random *random,
                       struct noise *noise, float noise_power)
{
    float *gain = cells->gain_power;
    int place = 0;
    switch (air->channel) {
    case CHANNEL_RAYLEIGH:
        kernels_best()->exponential(noise, gain, cells->count);
        break;
    case CHANNEL_CARRIERS:
        place = (int)(random_uniform(random) * air->carriers);
        place -= air->word > 0 ? place % air->word : 0;
        for (int i = 0; i < cells->count; i++) {
            gain[i] = air->gain_power[place];
            place = place + 1 < air->carriers ? place + 1 : 0;
        }
        break;
    default:
        for (int i = 0; i < cells->count; i++) {
            gain[i] = 1.0f;
        }
    }
    for (int i = 0; i < cells->count; i++) {
        gain[i] = gain[i] > GAIN_POWER_MIN ? gain[i] : GAIN_POWER_MIN;
        cells->inverse_noise[i] = gain[i] / noise_power;
    }
}

void air_pass(const struct air *air, struct air_cells *cells, double noise_power,
              struct random *random)
{
    const struct kernels *kernels = kernels_best();
    struct noise noise = noise_seeded(random);
    float sigma = (float)sqrt(noise_power / 2.0);
    draw_gains(air, cells, random, &noise, (float)noise_power);
    kernels->normal(&noise, cells->noise, cells->count);
    kernels->add_noise(cells->re, cells->noise, cells->gain_power, sigma, cells->count);
    kernels->normal(&noise, cells->noise, cells->count);
    kernels->add_noise(cells->im, cells->noise, cells->gain_power, sigma, cells->count);
}
