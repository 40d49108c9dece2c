/* One channel for every system. Idea: a ray is what arrives over one path, and all that a receiver
 * of any kind meets is their sum at the radio frequency. Baseband models take it from here and
 * nowhere else: OFDM at the channel's centre, 8-VSB at its pilot, 2.69 MHz lower, where the same
 * ray has turned by 2 pi 2.69 MHz times its delay.
 *
 * An unknown phase is equally likely all round: at 189 MHz a wavelength is 1.6 m, and a step, a
 * hand or the wind changes it by a turn. Draws are numbered: position n of a ray is number n of a
 * sequence that hangs on the ray's own name, so that neither the order of the rays nor how many
 * positions were asked for changes it. Worked number: one echo at 0 dB and 0.5 us, phase 0: at the
 * centre 1 + 1 = 2, at 1 MHz above it 1 + exp(-j pi) = 0. */
#include "physics/channel.h"

#include <math.h>

#include "base/random.h"
#include "base/units.h"

void channel_start(struct channel *channel, double centre_hz)
{
    channel->centre_hz = centre_hz;
    channel->spread_hz = 0.0;
    channel->count = 1;
    channel->rays[0] = (struct ray){.gain = 1.0};
}

/* FNV-1a, 64 bits (Fowler, Noll, Vo): the same on every machine. */
static uint64_t hash_of(const char *name)
{
    uint64_t hash = 0xCBF29CE484222325u;
    for (; *name != '\0'; name++) {
        hash = (hash ^ (unsigned char)*name) * 0x100000001B3u;
    }
    return hash;
}

bool channel_add(struct channel *channel, const struct echo *echo, const char *name)
{
    if (channel->count >= CHANNEL_RAYS_MAX) {
        return false;
    }
    bool any = isnan(echo->phase_deg);
    channel->rays[channel->count++] = (struct ray){
        .gain = sqrt(ratio_from_db(echo->level_db)),
        .delay_us = echo->delay_us,
        .phase = any ? 0.0 : echo->phase_deg * PI / 180.0,
        .doppler_hz = echo->doppler_hz,
        .any_phase = any,
        .draw = hash_of(name),
    };
    return true;
}

enum status channel_check(const struct channel *channel)
{
    bool good = channel->count >= 1 && channel->count <= CHANNEL_RAYS_MAX &&
                channel->spread_hz >= 0.0 && isfinite(channel->spread_hz);
    for (int i = 0; good && i < channel->count; i++) {
        const struct ray *ray = &channel->rays[i];
        good = ray->gain >= 0.0 && isfinite(ray->gain) && isfinite(ray->phase) &&
               isfinite(ray->doppler_hz) && fabs(ray->delay_us) <= ECHO_DELAY_MAX_US;
    }
    return good && channel->rays[0].gain > 0.0 ? STATUS_OK : STATUS_OUT_OF_RANGE;
}

bool channel_has_positions(const struct channel *channel)
{
    for (int i = 0; i < channel->count && channel->count > 1; i++) {
        if (channel->rays[i].any_phase) {
            return true;
        }
    }
    return false;
}

bool channel_moves(const struct channel *channel)
{
    if (channel->spread_hz > 0.0) {
        return true;
    }
    for (int i = 1; i < channel->count; i++) {
        if (fabs(channel->rays[i].doppler_hz - channel->rays[0].doppler_hz) > 1e-12) {
            return true;
        }
    }
    return false;
}

void channel_draw(const struct channel *channel, uint64_t position, struct channel *drawn)
{
    *drawn = *channel;
    for (int i = 0; i < drawn->count; i++) {
        struct ray *ray = &drawn->rays[i];
        if (ray->any_phase) {
            struct random random = random_seeded(ray->draw, position);
            ray->phase = 2.0 * PI * random_uniform(&random);
            ray->any_phase = false;
        }
    }
}

void channel_advance(const struct channel *channel, double seconds, struct channel *later)
{
    *later = *channel;
    for (int i = 0; i < later->count; i++) {
        struct ray *ray = &later->rays[i];
        ray->phase = fmod(ray->phase + 2.0 * PI * fmod(ray->doppler_hz * seconds, 1.0), 2.0 * PI);
    }
}

#define SCATTERED_MOST 8

void channel_scatter(const struct channel *channel, uint64_t number, struct channel *scattered)
{
    struct channel from = *channel;
    int each = CHANNEL_RAYS_MAX / from.count;
    each = from.spread_hz > 0.0 ? (each < SCATTERED_MOST ? each : SCATTERED_MOST) : 1;
    *scattered = from;
    scattered->count = 0;
    for (int i = 0; i < from.count; i++) {
        struct random random = random_seeded(from.rays[i].draw, number);
        double turned = random_uniform(&random);
        for (int k = 0; k < each; k++) {
            struct ray ray = from.rays[i];
            ray.gain /= sqrt(each);
            if (from.spread_hz > 0.0) {
                ray.phase = 2.0 * PI * random_uniform(&random);
                ray.doppler_hz += from.spread_hz * cos(2.0 * PI * (k + turned) / each);
            }
            scattered->rays[scattered->count++] = ray;
        }
    }
    scattered->spread_hz = 0.0;
}

void channel_live(const struct channel *channel, uint64_t number, double seconds,
                  struct channel *later)
{
    if (channel->spread_hz == 0.0) {
        channel_advance(channel, seconds, later);
        return;
    }
    struct channel scattered;
    channel_scatter(channel, number, &scattered);
    channel_advance(&scattered, seconds, &scattered);
    *later = *channel;
    int each = scattered.count / channel->count;
    for (int i = 0; i < later->count; i++) {
        double complex sum = 0.0;
        for (int k = 0; k < each; k++) {
            const struct ray *ray = &scattered.rays[i * each + k];
            sum += CMPLX(ray->gain * cos(ray->phase), ray->gain * sin(ray->phase));
        }
        later->rays[i].gain = cabs(sum);
        later->rays[i].phase = carg(sum);
    }
}

double complex channel_response(const struct channel *channel, double offset_hz, double seconds)
{
    double complex sum = 0.0;
    for (int i = 0; i < channel->count; i++) {
        const struct ray *ray = &channel->rays[i];
        double turns = ray->doppler_hz * seconds - offset_hz * ray->delay_us * 1e-6;
        double phase = ray->phase + 2.0 * PI * fmod(turns, 1.0);
        sum += CMPLX(ray->gain * cos(phase), ray->gain * sin(phase));
    }
    return sum;
}

double channel_power(const struct channel *channel)
{
    double power = 0.0;
    for (int i = 0; i < channel->count; i++) {
        power += channel->rays[i].gain * channel->rays[i].gain;
    }
    return power;
}
