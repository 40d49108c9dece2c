/* One channel for every system. Idea: a ray is what arrives over one path, and all that a receiver
 * of any kind meets is their sum at the radio frequency. Baseband models take it from here and
 * nowhere else: OFDM at the channel's centre, 8-VSB at its pilot, 2.69 MHz lower, where the same
 * ray has turned by 2 pi 2.69 MHz times its delay.
 *
 * An unknown phase is equally likely all round: at 189 MHz a wavelength is 1.6 m, and a step, a
 * hand or the wind changes it by a turn. Draws are numbered: position n of a ray is number n of a
 * sequence that hangs on the ray's own name, so that neither the order of the rays nor how many
 * positions were asked for changes it. Worked number: one echo at 0 dB and 0.5 us, phase 0: at the
 * centre 1 + 1 = 2, at 1 MHz above it 1 + exp(-j pi) = 0.
 *
 * A receiver that moves meets a field of waves from all sides (Clarke, Bell System Technical
 * Journal 47, 1968): each ray's strength comes and goes with the way, as Rayleigh says, beside its
 * phase. A position is then one draw of that field, with strengths of its own, and what happens
 * there later is how its waves turn. Rays that kept their strengths while they moved would leave
 * out the fading that motion is: in the city of tests/proof/rooms.h at 20 dB and 2 km/h they told
 * 8-VSB to decode at 64 % of 64 positions, where simulated receivers do at 91 % (*computed*).
 * Worked number: of eight equal waves the sum has less than a tenth of its mean power at 0.090 of
 * the positions, where Rayleigh has 0.095. */
#include "physics/channel.h"

#include <math.h>

#include "base/random.h"
#include "base/units.h"

void channel_start(struct channel *channel, double centre_hz)
{
    channel->centre_hz = centre_hz;
    channel->spread_hz = 0.0;
    channel->waves = 0;
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
    if (channel->spread_hz > 0.0 && channel->waves == 0) {
        return true;
    }
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

/* ---- Motion. ---- */

#define WAVES_MOST 8
#define SURELY (1.0 + 1e-9) /* stronger, whatever rounding says */

static double complex amplitude(const struct ray *ray)
{
    return CMPLX(ray->gain * cos(ray->phase), ray->gain * sin(ray->phase));
}

static double complex sum_of(const struct ray *waves, int count)
{
    double complex sum = 0.0;
    for (int k = 0; k < count; k++) {
        sum += amplitude(&waves[k]);
    }
    return sum;
}

/* The wave nearest in phase to the sum of all comes first. */
static void put_nearest_first(struct ray *waves, int count)
{
    double complex sum = conj(sum_of(waves, count));
    int nearest = 0;
    for (int k = 1; k < count; k++) {
        if (creal(amplitude(&waves[k]) * sum) > creal(amplitude(&waves[nearest]) * sum)) {
            nearest = k;
        }
    }
    struct ray first = waves[nearest];
    waves[nearest] = waves[0];
    waves[0] = first;
}

static void scatter(const struct channel *from, uint64_t position, struct channel *scattered)
{
    int most = (ECHOES_MAX + 1) / from->count;
    int waves = most < 1 ? 1 : most < WAVES_MOST ? most : WAVES_MOST;
    *scattered = *from;
    scattered->waves = waves;
    scattered->count = from->count * waves;
    for (int i = 0; i < from->count; i++) {
        struct ray *wave = &scattered->rays[i * waves];
        struct random random = random_seeded(from->rays[i].draw, position);
        double turned = random_uniform(&random);
        for (int k = 0; k < waves; k++) {
            wave[k] = from->rays[i];
            wave[k].any_phase = false;
            wave[k].gain /= sqrt(waves);
            wave[k].phase = 2.0 * PI * random_uniform(&random);
            wave[k].doppler_hz += from->spread_hz * cos(2.0 * PI * (k + turned) / waves);
        }
        put_nearest_first(wave, waves);
    }
}

void channel_draw(const struct channel *channel, uint64_t position, struct channel *drawn)
{
    struct channel from = *channel;
    if (from.spread_hz > 0.0 && from.waves == 0) {
        scatter(&from, position, drawn);
        return;
    }
    *drawn = from;
    for (int i = 0; i < drawn->count; i++) {
        struct ray *ray = &drawn->rays[i];
        if (ray->any_phase) {
            struct random random = random_seeded(ray->draw, position);
            ray->phase = 2.0 * PI * random_uniform(&random);
            ray->any_phase = false;
        }
    }
}

/* Rays that stand one after the other for one. */
static int waves_of(const struct channel *channel)
{
    return channel->waves > 1 ? channel->waves : 1;
}

int channel_ray_count(const struct channel *channel)
{
    return channel->count / waves_of(channel);
}

int channel_strongest(const struct channel *channel)
{
    int waves = waves_of(channel), strongest = 0;
    double most = cabs(sum_of(&channel->rays[0], waves));
    for (int i = waves; i < channel->count; i += waves) {
        double strength = cabs(sum_of(&channel->rays[i], waves));
        if (strength > most * SURELY) {
            most = strength;
            strongest = i;
        }
    }
    return strongest;
}

double channel_drift_hz(const struct channel *channel, int ray)
{
    int waves = waves_of(channel), first = ray / waves * waves;
    double sum_hz = 0.0;
    for (int k = 0; k < waves && waves > 1; k++) {
        sum_hz += channel->rays[first + k].doppler_hz - channel->rays[ray].doppler_hz;
    }
    return sum_hz / waves;
}

void channel_advance(const struct channel *channel, double seconds, struct channel *later)
{
    *later = *channel;
    for (int i = 0; i < later->count; i++) {
        struct ray *ray = &later->rays[i];
        ray->phase = fmod(ray->phase + 2.0 * PI * fmod(ray->doppler_hz * seconds, 1.0), 2.0 * PI);
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
