/* What a receiver with a window gets of each ray.
 *
 * A ray that reaches into the FFT window with only part of its symbol gives the root of the weight
 * as useful amplitude; the rest, and what it brings of the neighbouring symbol, is interference
 * (EBU Technical Review 295, 2003; ITU-R BT.2254):
 *
 *     weight = 1 for 0 <= t <= Tg, ((Tu + Tg - t) / Tu)^2 after, ((Tu + t) / Tu)^2 before,
 *
 * 0 from Tg + Tu and -Tu on.
 *
 * The estimate holds of it what the interpolation between pilots passes. Pilots resolve a span of
 * delays of Tu / Dx with interpolation in time, Tu / (Dx Dy) within one symbol: outside it a ray
 * looks like one inside, a whole span away. A filter of finite length cannot end there like a wall;
 * ours falls as a raised cosine from 0.9 to 1.1 of the span. It starts where the guard intervals
 * end that A/322 allows with a pilot pattern (at most 57/64 = 0.89 of the span), and is a half at
 * the nominal edge, as a filter must be that gives back the pilots' own values (what it passes of a
 * ray and of its mirror image adds up to 1). Of a ray with the share a the data cells keep 1 - a
 * that is not in the estimate: interference, as with a weight of 0; and the estimate holds 1 - a
 * of its image, an error of the same power again.
 *
 * Interpolation in time sets the fastest ray that is followed, 1 / (2 Dy (Tu + Tg)), and errs by
 * what the ray turns between pilots (doppler.h). A ray that is too fast is interference; of the
 * error, which is 1 and more there, the 1 is the ray itself. The noise on pilots is in what the
 * receiver needs (required_snr.h), as ATSC A/327 Annex B has it for interpolation in time; a
 * receiver that estimates each symbol by itself averages less of it away, at most 0.6 dB, which is
 * not counted.
 *
 * A ray that moves within a symbol keeps part of its power, the rest leaks to other carriers.
 *
 * Worked number: 16K, GI5_1024 at 6 MHz (Tu 2370.4, Tg 148.1 us): an echo 100 us too late keeps
 * ((2370.4 - 100) / 2370.4)^2 = 0.917; at 0 dB self-interference is 13.6 dB below what is useful.
 */
#include "physics/ofdm/window.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/ofdm/doppler.h"

#define EDGE_US 1e-9   /* a ray on an edge is inside it, whatever rounding says */
#define FLAT_PART 0.45 /* of the span, from its middle: up to here all passes */
#define LAST_PART 0.55 /* from here on nothing does */

double ofdm_weight(double after_us, double guard_us, double useful_us)
{
    double outside = after_us < 0.0 ? -after_us : after_us > guard_us ? after_us - guard_us : 0.0;
    double part = outside < useful_us ? 1.0 - outside / useful_us : 0.0;
    return part * part;
}

double ofdm_reach_share(double place)
{
    double from = (fabs(place) - FLAT_PART) / (LAST_PART - FLAT_PART);
    return from <= 1e-9 ? 1.0 : from >= 1.0 - 1e-9 ? 0.0 : 0.5 * (1.0 + cos(PI * from));
}

const char *ofdm_fate_words(enum ofdm_fate fate)
{
    static const char *const words[OFDM_FATE_COUNT] = {
        [OFDM_RAY_WHOLE] = "within the guard interval",
        [OFDM_RAY_LATE] = "later than the guard interval",
        [OFDM_RAY_EARLY] = "earlier than the guard interval",
        [OFDM_RAY_AT_EDGE] = "at the edge of what the pilots resolve",
        [OFDM_RAY_OUT_OF_REACH] = "beyond what the pilots resolve",
        [OFDM_RAY_TOO_FAST] = "faster than the pilots follow",
    };
    return words[fate];
}

/* Rays at one delay stand by power, then by shift: the order in which a profile names them must not
 * show, not even in the last digit. */
static int by_delay(const void *a, const void *b)
{
    const struct ofdm_ray *left = a, *right = b;
    int order = (left->delay_us > right->delay_us) - (left->delay_us < right->delay_us);
    if (order == 0) {
        order = (left->power < right->power) - (left->power > right->power);
    }
    return order != 0 ? order
                      : (left->offset_hz > right->offset_hz) - (left->offset_hz < right->offset_hz);
}

/* The receiver's tuning follows the mean Doppler. */
static void tune(const struct ofdm_grid *grid, double spread_hz, struct ofdm_rays *rays)
{
    double power = 0.0, moment = 0.0, fastest_hz = doppler_pilot_limit_hz(grid);
    for (int i = 0; i < rays->count; i++) {
        power += rays->rays[i].power;
        moment += rays->rays[i].power * rays->rays[i].offset_hz;
    }
    rays->tuned_hz = moment / power;
    for (int i = 0; i < rays->count; i++) {
        struct ofdm_ray *ray = &rays->rays[i];
        ray->offset_hz -= rays->tuned_hz;
        ray->coherent = 1.0 - doppler_leak(ray->offset_hz, spread_hz, grid->useful_us);
        ray->turned = doppler_estimation_error(grid, ray->offset_hz, spread_hz);
        ray->too_fast = fabs(ray->offset_hz) > fastest_hz;
    }
}

void ofdm_rays_make(const struct ofdm_grid *grid, const struct channel *channel,
                    struct ofdm_rays *rays)
{
    int waves = channel->waves > 1 ? channel->waves : 1;
    rays->waves = channel->waves;
    rays->count = channel_ray_count(channel);
    for (int i = 0; i < rays->count; i++) {
        const struct ray *ray = &channel->rays[i * waves];
        rays->rays[i] = (struct ofdm_ray){
            .delay_us = ray->delay_us,
            .power = waves * (ray->gain * ray->gain),
            .offset_hz = ray->doppler_hz + channel_drift_hz(channel, i * waves),
            .filter = ray->transmitter,
            .number = i * waves,
        };
    }
    qsort(rays->rays, (size_t)rays->count, sizeof rays->rays[0], by_delay);
    tune(grid, channel->spread_hz, rays);
    ofdm_rays_stand(rays, channel);
}

double complex ofdm_ray_sum(const struct ofdm_rays *rays, int i, double at_ms)
{
    const struct ofdm_ray *ray = &rays->rays[i];
    double complex sum = 0.0;
    for (int k = 0; k < rays->waves; k++) {
        const struct ofdm_wave *wave = &rays->wave[ray->number + k];
        double turns = wave->offset_hz * at_ms * 1e-3;
        sum += cexp(CMPLX(0.0, wave->phase + 2.0 * PI * turns));
    }
    return sqrt(ray->power / rays->waves) * sum;
}

void ofdm_rays_stand(struct ofdm_rays *rays, const struct channel *channel)
{
    for (int i = 0; i < channel->count && rays->waves > 0; i++) {
        const struct ray *wave = &channel->rays[i];
        rays->wave[i] = (struct ofdm_wave){wave->phase, wave->doppler_hz - rays->tuned_hz};
    }
    for (int i = 0; i < rays->count && rays->waves == 0; i++) {
        struct ofdm_ray *ray = &rays->rays[i];
        ray->phase = channel->rays[ray->number].phase;
        ray->cosine = cos(ray->phase);
        ray->sine = sin(ray->phase);
    }
}

/* ---- The span of delays that pilots resolve. ---- */

/* Useful power less what disturbs it, with the span's middle at `middle_us`. */
static double worth(const struct ofdm_rays *rays, double length_us, double middle_us)
{
    double sum = 0.0;
    for (int i = 0; i < rays->count; i++) {
        const struct ofdm_ray *ray = &rays->rays[i];
        double share = ofdm_reach_share((ray->delay_us - middle_us) / length_us);
        sum += ray->power * ray->weight * (share * share - 2.0 * (1.0 - share) * (1.0 - share));
    }
    return sum;
}

/* First and last of the rays, no further apart than `span_us`, that hold the most weighted power.
 */
static void fullest_run(const struct ofdm_rays *rays, double span_us, int *first, int *last)
{
    double best = -1.0, sum = 0.0;
    int end = 0;
    for (int from = 0; from < rays->count; from++) {
        double until_us = rays->rays[from].delay_us + span_us + EDGE_US;
        while (end < rays->count && rays->rays[end].delay_us <= until_us) {
            sum += rays->rays[end].power * rays->rays[end].weight;
            end++;
        }
        if (sum > best * (1.0 + 1e-12)) {
            best = sum;
            *first = from;
            *last = end - 1;
        }
        sum -= rays->rays[from].power * rays->rays[from].weight;
    }
}

/* The middle of a span that passes wholly the rays that it can; among the places left, the one
 * nearest to the guard interval's middle if it passes all, else the best of both ends, of half-way,
 * and of the middle of what fits the nominal span. */
static double place_reach(const struct ofdm_rays *rays, double length_us, double guard_middle_us)
{
    int first = 0, last = 0;
    fullest_run(rays, 2.0 * FLAT_PART * length_us, &first, &last);
    double least = rays->rays[last].delay_us - FLAT_PART * length_us;
    double most = rays->rays[first].delay_us + FLAT_PART * length_us;
    double best_us = fmin(fmax(guard_middle_us, least), most);
    if (first == 0 && last == rays->count - 1) {
        return best_us;
    }
    double best = worth(rays, length_us, best_us);
    fullest_run(rays, length_us, &first, &last);
    const double others[] = {least, most, 0.5 * (least + most),
                             0.5 * (rays->rays[first].delay_us + rays->rays[last].delay_us)};
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
        double value = worth(rays, length_us, others[i]);
        if (value > best + 1e-9 * fabs(best)) {
            best = value;
            best_us = others[i];
        }
    }
    return best_us;
}

/* ---- A window. ---- */

static enum ofdm_fate fate_of(const struct ofdm_ray *ray, bool too_fast)
{
    return too_fast                ? OFDM_RAY_TOO_FAST
           : ray->known < 0.5      ? OFDM_RAY_OUT_OF_REACH
           : ray->outside_us < 0.0 ? OFDM_RAY_EARLY
           : ray->outside_us > 0.0 ? OFDM_RAY_LATE
           : ray->known < 1.0      ? OFDM_RAY_AT_EDGE
                                   : OFDM_RAY_WHOLE;
}

static double outside_us(double after_us, double guard_us, double useful_us)
{
    double outside = after_us < -EDGE_US             ? after_us
                     : after_us > guard_us + EDGE_US ? after_us - guard_us
                                                     : 0.0;
    return fmin(fmax(outside, -useful_us), useful_us);
}

/* What the estimate holds of a ray of which the interpolation between pilots passes `share`. */
static void estimate(double share, bool time_interpolation, struct ofdm_ray *ray)
{
    bool too_fast = time_interpolation && ray->too_fast;
    double turned = time_interpolation ? ray->turned * ray->coherent : 0.0;
    ray->known = too_fast ? 0.0 : share;
    ray->mistaken = too_fast ? sqrt(fmax(turned - 1.0, 0.0))
                             : sqrt((1.0 - share) * (1.0 - share) + share * share * turned);
    ray->weight *= ray->known * ray->known;
    ray->fate = fate_of(ray, too_fast);
}

static void add_up(const struct ofdm_ray *ray, double useful_us, struct ofdm_window *window)
{
    double inside = 1.0 - fabs(ray->outside_us) / useful_us;
    double seen = ray->power * inside * inside;
    double unknown = 1.0 - ray->known;
    window->useful += ray->power * ray->weight * ray->coherent;
    window->moved += ray->power * ray->weight * (1.0 - ray->coherent);
    window->self_interference += ray->power - seen + seen * unknown * unknown;
    window->mistaken += seen * ray->mistaken * ray->mistaken;
}

struct ofdm_window ofdm_window_apply(const struct ofdm_grid *grid, struct ofdm_rays *rays,
                                     bool time_interpolation, double start_us)
{
    double useful_us = grid->useful_us, guard_us = grid->guard_us;
    double reach_us = useful_us / (grid->dx * (time_interpolation ? 1 : grid->dy));
    struct ofdm_window window = {
        .start_us = start_us,
        .guard_end_us = start_us + guard_us,
        .time_interpolation = time_interpolation,
    };
    for (int i = 0; i < rays->count; i++) {
        struct ofdm_ray *ray = &rays->rays[i];
        ray->outside_us = outside_us(ray->delay_us - start_us, guard_us, useful_us);
        double inside = 1.0 - fabs(ray->outside_us) / useful_us;
        ray->weight = time_interpolation && ray->too_fast ? 0.0 : inside * inside;
    }
    double middle_us = place_reach(rays, reach_us, start_us + 0.5 * guard_us);
    window.reach_from_us = middle_us - 0.5 * reach_us;
    window.reach_to_us = middle_us + 0.5 * reach_us;
    for (int i = 0; i < rays->count; i++) {
        struct ofdm_ray *ray = &rays->rays[i];
        double share = ofdm_reach_share((ray->delay_us - middle_us) / reach_us);
        estimate(share, time_interpolation, ray);
        add_up(ray, useful_us, &window);
    }
    return window;
}

static bool equal(double a, double b)
{
    return fabs(a - b) <= 1e-9 * (fabs(a) + fabs(b));
}

/* More useful power or, with as much, less that disturbs. */
static bool is_better(const struct ofdm_window *a, const struct ofdm_window *b)
{
    return equal(a->useful, b->useful)
               ? a->self_interference + a->mistaken < b->self_interference + b->mistaken
               : a->useful > b->useful;
}

/* Keeps `windows` sorted, best first; of equals the first stays. */
static int keep_window(struct ofdm_window *windows, int count, int most, struct ofdm_window window)
{
    for (int i = 0; i < count; i++) {
        if (equal(windows[i].useful, window.useful) &&
            equal(windows[i].self_interference + windows[i].mistaken,
                  window.self_interference + window.mistaken)) {
            return count;
        }
    }
    if (count == most && !is_better(&window, &windows[most - 1])) {
        return count;
    }
    int place = count < most ? count++ : most - 1;
    while (place > 0 && is_better(&window, &windows[place - 1])) {
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

bool ofdm_window_is_plain(const struct ofdm_grid *grid, const struct channel *channel)
{
    if (channel_moves(channel)) {
        return false;
    }
    struct ofdm_rays rays;
    struct ofdm_window window = {0};
    ofdm_rays_make(grid, channel, &rays);
    ofdm_window_candidates(grid, &rays, true, &window, 1);
    ofdm_window_apply(grid, &rays, true, window.start_us);
    bool plain = window.self_interference <= 0.0 && window.mistaken <= 0.0;
    for (int i = 0; i < rays.count; i++) {
        plain = plain && rays.rays[i].fate == OFDM_RAY_WHOLE;
    }
    return plain;
}
