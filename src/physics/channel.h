#ifndef PHYSICS_CHANNEL_H
#define PHYSICS_CHANNEL_H

#include <stdbool.h>
#include <stdint.h>

#include "base/complex.h"
#include "physics/echo.h"

/* The channel that a signal passes, whatever its system: rays at the radio frequency. At f Hz from
 * the channel's centre and t seconds from the start it is
 *
 *     H(f, t) = sum over rays of gain exp(j (phase + 2 pi doppler t - 2 pi f delay)).
 *
 * Phases count at the centre of the RF channel. Where nobody knows a ray's phase it is any: equally
 * likely all round, and an answer is a share over drawn positions. */

/* The main signal, its echoes, and seven more transmitters of a network. */
#define CHANNEL_RAYS_MAX (1 + ECHOES_MAX + 7)

struct ray {
    double gain; /* amplitude over the main signal's, >= 0 */
    double delay_us;
    double phase; /* radians, at the channel's centre */
    double doppler_hz;
    bool any_phase;  /* `phase` is not known: channel_draw gives it one */
    int transmitter; /* of a network, which one sends it; 0: the main signal's */
    uint64_t draw;   /* which sequence of phases is this ray's: from its name, so that the order of
                        rays does not matter */
};

struct channel {
    double centre_hz;
    double spread_hz; /* the receiver moves: what is near it scatters each ray into a cluster that
                         arrives from all sides, shifted by up to so much; 0: it stands still */
    int waves;        /* so many rays, one after the other, are the waves of one that motion has
                         scattered: after channel_draw; 0: each ray is as it was said */
    int count;        /* the main signal included */
    struct ray rays[CHANNEL_RAYS_MAX]; /* the first is the main signal: 0 us, gain 1, phase 0 */
};

/* The main signal alone. */
void channel_start(struct channel *channel, double centre_hz);

/* Adds an echo of the main signal; a NAN phase_deg is any. False where CHANNEL_RAYS_MAX are there.
 */
bool channel_add(struct channel *channel, const struct echo *echo, const char *name);

/* Finite numbers, at least one ray, delays within ECHO_DELAY_MAX_US of the main signal:
 * STATUS_OUT_OF_RANGE where not. */
enum status channel_check(const struct channel *channel);

/* True where channel_draw has something to choose that matters: a lone ray is the same anywhere
 * that a receiver stands, and not while it moves. */
bool channel_has_positions(const struct channel *channel);

/* True where some ray turns against another or the receiver moves. */
bool channel_moves(const struct channel *channel);

/* The channel at one position: every unknown phase drawn. Positions are numbered from 0; the same
 * number gives the same phases. Where the receiver moves, a position is one draw of the field that
 * it moves through: each ray becomes a handful of equal waves from evenly around, shifted by up to
 * spread_hz, with phases drawn by number and name; the first of them is the one nearest in phase to
 * their sum. All that follows in time from there is in the waves. `drawn` may be `channel` itself.
 */
void channel_draw(const struct channel *channel, uint64_t position, struct channel *drawn);

/* Rays as they were said: waves of one count once. */
int channel_ray_count(const struct channel *channel);

/* The ray that receivers lock to besides the main signal, where it is the stronger: the first wave
 * of those whose sum is strongest as they stand. */
int channel_strongest(const struct channel *channel);

/* How much faster, in Hz, the waves of that ray turn on an average than its first. */
double channel_drift_hz(const struct channel *channel, int ray);

/* Every ray's phase as it is `seconds` later. `later` may be `channel` itself. */
void channel_advance(const struct channel *channel, double seconds, struct channel *later);

/* H(f, t) above; unknown phases count as they stand. */
double complex channel_response(const struct channel *channel, double offset_hz, double seconds);

/* Sum of the rays' powers over the main signal's: the received power where phases are forgotten. */
double channel_power(const struct channel *channel);

#endif
