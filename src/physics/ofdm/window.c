/* Self-interference of late and early rays. A ray that reaches into the FFT window with only part
 * of its symbol gives the root of the weight as useful amplitude; the rest, and what it brings of
 * the neighbouring symbol, is interference (EBU Technical Review 295, 2003; ITU-R BT.2254):
 *
 *     weight = 1 for 0 <= t <= Tg, ((Tu + Tg - t) / Tu)^2 after, ((Tu + t) / Tu)^2 before,
 *
 * 0 from Tg + Tu and -Tu on, and 0 outside the span of delays that the pilots resolve: Tu / Dx
 * with interpolation in time, Tu / (Dx Dy) within one symbol. Interpolation in time also sets the
 * fastest ray that is followed, 1 / (2 Dy (Tu + Tg)).
 *
 * A ray that moves against the receiver's tuning by f within a symbol keeps sinc^2(f Tu) of its
 * power; the rest leaks to other carriers (for two rays this is Li and Cimini's (pi fd Tu)^2 / 3).
 *
 * Worked number: 16K, GI5_1024 at 6 MHz (Tu 2370.4, Tg 148.1 us): an echo 100 us too late keeps
 * ((2370.4 - 100) / 2370.4)^2 = 0.917; at 0 dB self-interference is 13.6 dB below what is useful.
 */
#include "physics/ofdm/window.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/ofdm/doppler.h"

#define EDGE_US 1e-9 /* a ray on an edge is inside it, whatever rounding says */

double ofdm_weight(double after_us, double guard_us, double useful_us)
{
    double outside = after_us < 0.0 ? -after_us : after_us > guard_us ? after_us - guard_us : 0.0;
    double part = outside < useful_us ? 1.0 - outside / useful_us : 0.0;
    return part * part;
}

const char *ofdm_fate_words(enum ofdm_fate fate)
{
    static const char *const words[OFDM_FATE_COUNT] = {
        [OFDM_RAY_WHOLE] = "within the guard interval",
        [OFDM_RAY_LATE] = "later than the guard interval",
        [OFDM_RAY_EARLY] = "earlier than the guard interval",
        [OFDM_RAY_OUT_OF_REACH] = "beyond what the pilots resolve",
        [OFDM_RAY_TOO_FAST] = "faster than the pilots follow",
    };
    return words[fate];
}

static int by_delay(const void *a, const void *b)
{
    const struct ofdm_ray *left = a, *right = b;
    return (left->delay_us > right->delay_us) - (left->delay_us < right->delay_us);
}

void ofdm_rays_make(const struct channel *channel, struct ofdm_rays *rays)
{
    rays->count = channel->count;
    double power = 0.0, moment = 0.0;
    for (int i = 0; i < channel->count; i++) {
        const struct ray *ray = &channel->rays[i];
        rays->rays[i] = (struct ofdm_ray){
            .delay_us = ray->delay_us,
            .power = ray->gain * ray->gain,
            .phase = ray->phase,
            .offset_hz = ray->doppler_hz,
        };
        power += rays->rays[i].power;
        moment += rays->rays[i].power * ray->doppler_hz;
    }
    for (int i = 0; i < rays->count; i++) {
        rays->rays[i].offset_hz -= moment / power;
    }
    qsort(rays->rays, (size_t)rays->count, sizeof rays->rays[0], by_delay);
}

/* Share of a ray's power that its motion within a symbol leaves on its own carrier. */
static double coherent_share(double offset_hz, double useful_us)
{
    double x = PI * offset_hz * useful_us * 1e-6;
    return fabs(x) < 1e-6 ? 1.0 : sin(x) / x * sin(x) / x;
}

/* The start of the span of delays, `reach_us` long, that holds the most weighted power. */
static double place_reach(const struct ofdm_rays *rays, double reach_us, double start_us,
                          double guard_us)
{
    double best = -1.0, best_from = start_us, sum = 0.0;
    int end = 0;
    for (int first = 0; first < rays->count; first++) {
        double from = rays->rays[first].delay_us;
        while (end < rays->count && rays->rays[end].delay_us <= from + reach_us + EDGE_US) {
            sum += rays->rays[end].power * rays->rays[end].weight;
            end++;
        }
        if (sum > best * (1.0 + 1e-12)) {
            best = sum;
            best_from = from;
            if (first == 0 && end == rays->count) { /* all: centre it on the guard interval */
                double last = rays->rays[rays->count - 1].delay_us;
                double centred = start_us + 0.5 * (guard_us - reach_us);
                best_from = fmin(from, fmax(last - reach_us, centred));
            }
        }
        sum -= rays->rays[first].power * rays->rays[first].weight;
    }
    return best_from;
}

static enum ofdm_fate fate_of(const struct ofdm_ray *ray, const struct ofdm_window *window,
                              double fastest_hz)
{
    if (window->time_interpolation && fabs(ray->offset_hz) > fastest_hz) {
        return OFDM_RAY_TOO_FAST;
    }
    if (ray->delay_us < window->reach_from_us - EDGE_US ||
        ray->delay_us > window->reach_to_us + EDGE_US) {
        return OFDM_RAY_OUT_OF_REACH;
    }
    return ray->delay_us < window->start_us - EDGE_US       ? OFDM_RAY_EARLY
           : ray->delay_us > window->guard_end_us + EDGE_US ? OFDM_RAY_LATE
                                                            : OFDM_RAY_WHOLE;
}

struct ofdm_window ofdm_window_apply(const struct ofdm_grid *grid, struct ofdm_rays *rays,
                                     bool time_interpolation, double start_us)
{
    double useful_us = grid->useful_us, guard_us = grid->guard_us;
    int comb = grid->dx * (time_interpolation ? 1 : grid->dy);
    double fastest_hz = doppler_pilot_limit_hz(grid);
    struct ofdm_window window = {
        .start_us = start_us,
        .guard_end_us = start_us + guard_us,
        .time_interpolation = time_interpolation,
    };
    for (int i = 0; i < rays->count; i++) {
        struct ofdm_ray *ray = &rays->rays[i];
        double after_us = ray->delay_us - start_us;
        if (fabs(after_us) < EDGE_US || fabs(after_us - guard_us) < EDGE_US) {
            after_us = 0.0; /* on an edge */
        }
        bool too_fast = time_interpolation && fabs(ray->offset_hz) > fastest_hz;
        ray->weight = too_fast ? 0.0 : ofdm_weight(after_us, guard_us, useful_us);
        ray->coherent = coherent_share(ray->offset_hz, useful_us);
    }
    window.reach_from_us = place_reach(rays, useful_us / comb, start_us, guard_us);
    window.reach_to_us = window.reach_from_us + useful_us / comb;
    for (int i = 0; i < rays->count; i++) {
        struct ofdm_ray *ray = &rays->rays[i];
        ray->fate = fate_of(ray, &window, fastest_hz);
        if (ray->fate == OFDM_RAY_TOO_FAST || ray->fate == OFDM_RAY_OUT_OF_REACH) {
            ray->weight = 0.0;
        }
        window.useful += ray->power * ray->weight * ray->coherent;
        window.moved += ray->power * ray->weight * (1.0 - ray->coherent);
        window.self_interference += ray->power * (1.0 - ray->weight);
    }
    return window;
}

/* Keeps `windows` sorted by useful power; of equals the first stays. */
static int keep_window(struct ofdm_window *windows, int count, int most, struct ofdm_window window)
{
    for (int i = 0; i < count; i++) {
        if (fabs(windows[i].useful - window.useful) <= 1e-9 * window.useful) {
            return count;
        }
    }
    if (count == most && windows[most - 1].useful >= window.useful) {
        return count;
    }
    int place = count < most ? count++ : most - 1;
    while (place > 0 && windows[place - 1].useful < window.useful) {
        windows[place] = windows[place - 1];
        place--;
    }
    windows[place] = window;
    return count;
}

int ofdm_window_candidates(const struct ofdm_grid *grid, struct ofdm_rays *rays,
                           bool time_interpolation, struct ofdm_window *windows, int most)
{
    double guard_us = grid->guard_us;
    int count = 0;
    for (int edge = 0; edge < 2; edge++) {
        for (int i = 0; i < rays->count; i++) {
            double start_us = rays->rays[i].delay_us - (edge == 0 ? 0.0 : guard_us);
            struct ofdm_window window = ofdm_window_apply(grid, rays, time_interpolation, start_us);
            count = keep_window(windows, count, most, window);
        }
    }
    return count;
}
