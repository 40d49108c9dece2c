/* From rays to SNRs by carrier. Idea: where the window may stand and how pairs of rays add to the
 * received power hang on delays, powers and Dopplers only; while a channel is asked at one position
 * after the other they stay, and a position costs no more than the rays' sums on the carriers.
 *
 * The mean received power is that of the rays' sum over the occupied band B and the span T:
 *
 *     sum of g_i^2 + 2 sum over i > k of g_i g_k sinc(B (t_i - t_k)) sinc((f_i - f_k) T) cos(..),
 *
 * the phases of the middle of the span in the cosine. Worked number: two equal rays 1 us apart in
 * 5.83 MHz: sinc(5.83) = -0.03, so they add to 2 within 3 %. */
#include "physics/ofdm/work.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/complex.h"
#include "base/units.h"
#include "physics/ofdm/doppler.h"
#include "physics/ofdm/meeting.h"

#define WINDOWS_EACH (OFDM_WINDOWS_MOST / 2) /* with interpolation in time and without */
#define COARSE_CARRIERS 512                  /* to choose a window by */
#define TURNED_MOST 8192                     /* 16 MiB */
#define SAME_HZ 1e-9                         /* but for what rounding leaves */
#define SMALL 1e-6                           /* of the received power: changes less than 0.01 dB */

struct ofdm_work *ofdm_work_new(void)
{
    return calloc(1, sizeof(struct ofdm_work));
}

void ofdm_work_free(struct ofdm_work *work)
{
    if (work != NULL) {
        for (int i = 0; i < OFDM_ASKED_MOST; i++) {
            free(work->asked[i].turned);
        }
        free(work->rays_room);
        free(work->look.useful);
        free(work->pairs);
        free(work->passage);
        free(work);
    }
}

static bool make_room(struct ofdm_work *work, int carriers)
{
    carriers = (carriers + PHASORS_BLOCK - 1) / PHASORS_BLOCK * PHASORS_BLOCK;
    if (carriers <= work->room) {
        return true;
    }
    float *room = malloc(4 * (size_t)carriers * sizeof *room);
    if (room == NULL) {
        return false;
    }
    free(work->look.useful);
    work->look.useful = room;
    work->look.self = room + carriers;
    work->look.mistaken = room + 2 * (size_t)carriers;
    work->snrs = room + 3 * (size_t)carriers;
    work->room = carriers;
    return true;
}

/* ---- What phases do not change. ---- */

/* Waves are shifted otherwise at each position, and their mean is not. */
static bool same_shift(const struct channel *a, const struct channel *b, int i)
{
    double a_hz = a->rays[i].doppler_hz + channel_drift_hz(a, i);
    double b_hz = b->rays[i].doppler_hz + channel_drift_hz(b, i);
    return fabs(a_hz - b_hz) < SAME_HZ;
}

static bool same_rays(const struct channel *a, const struct channel *b)
{
    bool same = a->count == b->count && a->spread_hz == b->spread_hz && a->waves == b->waves;
    for (int i = 0; same && i < a->count; i++) {
        const struct ray *x = &a->rays[i], *y = &b->rays[i];
        same = x->gain == y->gain && x->delay_us == y->delay_us &&
               x->transmitter == y->transmitter &&
               (a->waves > 0 ? i % a->waves > 0 || same_shift(a, b, i)
                             : x->doppler_hz == y->doppler_hz);
    }
    return same;
}

static bool same_grid(const struct ofdm_grid *a, const struct ofdm_grid *b)
{
    return a->carriers == b->carriers && a->dx == b->dx && a->dy == b->dy &&
           a->useful_us == b->useful_us && a->guard_us == b->guard_us &&
           a->filter_us == b->filter_us;
}

static bool same_part(const struct ofdm_part *a, const struct ofdm_part *b)
{
    return a->from == b->from && a->to == b->to;
}

/* sin(pi x) / (pi x) */
static double sinc(double x)
{
    return fabs(x) < 1e-9 ? 1.0 : sin(PI * x) / (PI * x);
}

static void fill_pairs(struct ofdm_work *work)
{
    const struct ofdm_rays *rays = &work->rays;
    struct ofdm_pair *pair = work->pairs;
    for (int i = 0; i < rays->count; i++) {
        for (int k = 0; k < i; k++, pair++) {
            const struct ofdm_ray *a = &rays->rays[i], *b = &rays->rays[k];
            double turns = (a->offset_hz - b->offset_hz) * work->span_ms * 1e-3;
            turns =
                rays->waves > 0 ? 0.0 : turns; /* the waves turn, and are looked at as they do */
            double complex common = ofdm_rays_alike(&work->grid, a, b);
            common *= sinc(turns) * 2.0 * cexp(CMPLX(0.0, PI * turns));
            pair->cosine = creal(common);
            pair->sine = -cimag(common);
        }
    }
}

/* Rays that hardly count, and turns too small to see, are no motion. */
static bool rays_turn(const struct ofdm_rays *rays, double span_ms)
{
    double power = 0.0, change = 0.0;
    if (rays->waves > 0) {
        return true;
    }
    for (int i = 0; i < rays->count; i++) {
        double turn = fmin(fabs(2.0 * PI * rays->rays[i].offset_hz * span_ms * 1e-3), 2.0);
        power += rays->rays[i].power;
        change += rays->rays[i].power * turn * turn;
    }
    return change > SMALL * power;
}

static bool pilots_lose_a_ray(const struct ofdm_work *work)
{
    bool lost = work->channel.spread_hz > doppler_pilot_limit_hz(&work->grid);
    for (int i = 0; i < work->rays.count; i++) {
        lost |= work->rays.rays[i].too_fast;
    }
    return lost;
}

/* Windows worth trying. The receiver interpolates in time, as ATSC A/327 models it, and estimates
 * each symbol by itself, with a shorter reach, at most where something is faster than interpolation
 * can follow. */
static void find_windows(struct ofdm_work *work)
{
    struct ofdm_rays *rays = &work->rays;
    int count = ofdm_window_candidates(&work->grid, rays, true, work->windows, WINDOWS_EACH);
    if (work->windows[0].self_interference <= 0.0) {
        count = 1; /* looking further cannot help */
    }
    if (pilots_lose_a_ray(work)) {
        count +=
            ofdm_window_candidates(&work->grid, rays, false, work->windows + count, WINDOWS_EACH);
    }
    work->window_count = count;
}

static void apply(struct ofdm_work *work, const struct ofdm_window *window)
{
    work->window =
        ofdm_window_apply(&work->grid, &work->rays, window->time_interpolation, window->start_us);
}

/* Power of the rays' sum with these amplitudes; pairs as in ofdm_work. */
static double pairs_power(const struct ofdm_work *work, const struct ofdm_pair *pairs,
                          const double *amplitudes)
{
    double cosines[CHANNEL_RAYS_MAX], sines[CHANNEL_RAYS_MAX], sum = 0.0;
    for (int i = 0; i < work->rays.count; i++) {
        double c = cosines[i] = amplitudes[i] * work->rays.rays[i].cosine;
        double s = sines[i] = amplitudes[i] * work->rays.rays[i].sine;
        sum += amplitudes[i] * amplitudes[i];
        for (int k = 0; k < i; k++, pairs++) {
            sum += pairs->cosine * (c * cosines[k] + s * sines[k]) +
                   pairs->sine * (s * cosines[k] - c * sines[k]);
        }
    }
    return sum;
}

/* Mean over the span of what each two rays that have waves are times each other, each against its
 * own mean power. */
static void find_passed(struct ofdm_work *work)
{
    const struct ofdm_passage *passage = work->passage;
    struct ofdm_pair *passed = work->passed;
    for (int i = 0; i < work->rays.count; i++) {
        const double *re = passage->re[i], *im = passage->im[i];
        for (int k = 0; k <= i; k++, passed++) {
            const double *other_re = passage->re[k], *other_im = passage->im[k];
            double scale = 1.0 / sqrt(work->rays.rays[i].power * work->rays.rays[k].power);
            scale /= OFDM_INSTANTS;
            double cosine = 0.0, sine = 0.0;
            for (int at = 0; at < OFDM_INSTANTS; at++) {
                cosine += re[at] * other_re[at] + im[at] * other_im[at];
                sine += im[at] * other_re[at] - re[at] * other_im[at];
            }
            *passed = (struct ofdm_pair){scale * cosine, scale * sine};
        }
    }
}

/* pairs_power of rays that have waves, on an average over the span. */
static double passed_power(const struct ofdm_work *work, const struct ofdm_pair *pairs,
                           const double *amplitudes)
{
    const struct ofdm_pair *passed = work->passed;
    double sum = 0.0;
    for (int i = 0; i < work->rays.count; i++) {
        for (int k = 0; k < i; k++, pairs++, passed++) {
            sum += amplitudes[i] * amplitudes[k] *
                   (pairs->cosine * passed->cosine + pairs->sine * passed->sine);
        }
        sum += amplitudes[i] * amplitudes[i] * passed->cosine;
        passed++;
    }
    return sum;
}

static double mean_power(const struct ofdm_work *work, const struct ofdm_pair *pairs,
                         const double *amplitudes)
{
    return (work->rays.waves > 0 ? passed_power : pairs_power)(work, pairs, amplitudes);
}

/* ---- The most that the carriers may carry through a window.
 *
 * The mean of log2(1 + useful / disturbance) is at most log2(1 + mean useful / least disturbance),
 * as the logarithm bends down: a window of which that is less than another one carries needs no
 * look. The mean useful power of the very carriers that windows are chosen by follows from the
 * means of pairs of rays on them. Rays disturb at least with (2 - d) times the sum of d_k |U_k|^2,
 * d the sum of the d_k, outside the guard interval (carriers.h; by Cauchy's inequality for |V|^2),
 * and a sum of rays is at least what its strongest one has before all others. Worked number: one
 * ray of 0.5 that is 0.1 Tu late disturbs with (2 - 0.1) 0.1 x 0.5 = 0.095, which is 0.5 (1 -
 * 0.9^2). ---- */

#define ROUNDING_BITS 1e-4
#define PASSING_BITS 0.1 /* rays that have waves meet few of the carriers at each instant */

static double least_power(double strongest, double sum)
{
    double left = fmax(2.0 * strongest - sum, 0.0);
    return left * left;
}

/* Of rays outside the guard interval on one side, the furthest of which is `from`. */
static double least_outside(const struct ofdm_work *work, int from, int next)
{
    const struct ofdm_ray *rays = work->rays.rays;
    double strongest = 0.0, sum = 0.0, power = 0.0, outside_us = rays[from].outside_us;
    int i = from;
    while (i >= 0 && i < work->rays.count && rays[i].outside_us * outside_us > 0.0) {
        double amplitude = sqrt(rays[i].power), here_us = rays[i].outside_us;
        sum += amplitude;
        strongest = fmax(strongest, amplitude);
        i += next;
        bool more = i >= 0 && i < work->rays.count && rays[i].outside_us * outside_us > 0.0;
        double longer_us = fabs(here_us - (more ? rays[i].outside_us : 0.0));
        power += longer_us / work->grid.useful_us * least_power(strongest, sum);
    }
    return (2.0 - fabs(outside_us) / work->grid.useful_us) * power;
}

/* With the window applied. */
static double least_disturbance(const struct ofdm_work *work)
{
    const struct ofdm_rays *rays = &work->rays;
    double unknown[2] = {0.0, 0.0}, mistaken[2] = {0.0, 0.0}; /* strongest, sum */
    for (int i = 0; i < rays->count; i++) {
        const struct ofdm_ray *ray = &rays->rays[i];
        double seen = sqrt(ray->power) * (1.0 - fabs(ray->outside_us) / work->grid.useful_us);
        unknown[0] = fmax(unknown[0], seen * (1.0 - ray->known));
        unknown[1] += seen * (1.0 - ray->known);
        mistaken[0] = fmax(mistaken[0], seen * ray->mistaken);
        mistaken[1] += seen * ray->mistaken;
    }
    int last = rays->count - 1;
    double early = rays->rays[0].outside_us < 0.0 ? least_outside(work, 0, 1) : 0.0;
    double late = rays->rays[last].outside_us > 0.0 ? least_outside(work, last, -1) : 0.0;
    return work->window.moved + early + late + least_power(unknown[0], unknown[1]) +
           least_power(mistaken[0], mistaken[1]);
}

/* What phases do not change of it. */
static void keep_bounds(struct ofdm_work *work)
{
    for (int w = 0; w < work->window_count && work->window_count > 1; w++) {
        struct ofdm_bound *bound = &work->bounds[w];
        apply(work, &work->windows[w]);
        bound->disturbance = least_disturbance(work);
        for (int i = 0; i < work->rays.count; i++) {
            const struct ofdm_ray *ray = &work->rays.rays[i];
            bound->useful[i] = sqrt(ray->power * ray->weight * ray->coherent);
        }
    }
}

static double most_bits(const struct ofdm_work *work, int window, double noise)
{
    const struct ofdm_bound *bound = &work->bounds[window];
    double useful = mean_power(work, work->means, bound->useful);
    double more_bits = work->rays.waves > 0 ? PASSING_BITS : ROUNDING_BITS;
    return log2(1.0 + useful / (noise + bound->disturbance)) + more_bits;
}

/* Means of pairs over carriers on which rays stand turned. */
static void find_means(struct ofdm_work *work, const struct phasors *turned, int carriers)
{
    int count = work->rays.count;
    struct ofdm_pair *pair = work->means;
    for (int i = 0; i < count; i++) {
        for (int k = 0; k < i; k++, pair++) {
            double complex sum = 0.0;
            for (int first = 0; first < carriers; first += PHASORS_BLOCK) {
                int here = carriers - first < PHASORS_BLOCK ? carriers - first : PHASORS_BLOCK;
                const struct phasors *block = turned + (ptrdiff_t)first / PHASORS_BLOCK * count;
                sum += phasors_product(&block[i], k > 0 ? &block[k] : NULL, here);
            }
            pair->cosine = 2.0 * creal(sum) / carriers;
            pair->sine = -2.0 * cimag(sum) / carriers;
        }
    }
    work->means_known = true;
}

static enum status make_pairs_room(struct ofdm_work *work, int rays)
{
    int pairs = rays * (rays - 1) / 2;
    if (pairs > work->pair_room || work->pairs == NULL) {
        free(work->pairs);
        work->pairs = malloc((3 * (size_t)pairs + (size_t)rays) * sizeof *work->pairs);
        work->pair_room = work->pairs != NULL ? pairs : 0;
    }
    if (rays > work->ray_room) {
        free(work->rays_room);
        work->rays_room = malloc((size_t)rays * sizeof *work->rays_room);
        work->ray_room = work->rays_room != NULL ? rays : 0;
    }
    work->means = work->pairs + pairs;
    work->passed = work->means + pairs;
    return work->pairs != NULL && pairs <= work->pair_room && rays <= work->ray_room
               ? STATUS_OK
               : STATUS_NO_MEMORY;
}

static enum status keep_channel(struct ofdm_work *work, const struct ofdm_reception *reception,
                                const struct channel *channel)
{
    work->kept = false;
    if (channel->waves > 0 && work->passage == NULL) {
        work->passage = malloc(sizeof *work->passage);
    }
    if (make_pairs_room(work, channel_ray_count(channel)) != STATUS_OK ||
        (channel->waves > 0 && work->passage == NULL)) {
        return STATUS_NO_MEMORY;
    }
    work->asked_count = 0;
    work->part = reception->part;
    work->grid = reception->grid;
    work->span_ms = reception->span_ms;
    work->channel = *channel;
    ofdm_rays_make(&work->grid, channel, &work->rays);
    fill_pairs(work);
    work->turns = reception->span_ms > 0.0 && rays_turn(&work->rays, reception->span_ms);
    find_windows(work);
    keep_bounds(work);
    work->means_known = false;
    work->kept = true;
    return STATUS_OK;
}

/* ---- One position. ---- */

static const struct ofdm_disturbance all_counted = {true, true, true};

static void fill_snrs(struct ofdm_work *work, double noise, const struct ofdm_disturbance *counted);

static enum status look_through(struct ofdm_work *work, int window, double noise, double *bits)
{
    apply(work, &work->windows[window]);
    enum status status = ofdm_work_look(work, COARSE_CARRIERS);
    if (status == STATUS_OK) {
        fill_snrs(work, noise, &all_counted);
        *bits = gain_capacity(work->snrs, work->count);
    }
    return status;
}

/* The window in which the carriers carry most, whatever the code; of equals the first. */
static enum status choose_window(struct ofdm_work *work, double noise)
{
    double bits[OFDM_WINDOWS_MOST] = {0.0}, most[OFDM_WINDOWS_MOST] = {0.0};
    double best_bits = -INFINITY;
    int best = 0, count = work->window_count > 1 ? work->window_count : 0;
    for (int i = 0; i < count; i++) {
        bits[i] = -INFINITY;
        most[i] = work->means_known ? most_bits(work, i, noise) : INFINITY;
    }
    for (;;) {
        int next = -1; /* the most promising that was not looked at */
        for (int i = 0; i < count; i++) {
            if (bits[i] == -INFINITY && (next < 0 || most[i] > most[next])) {
                next = i;
            }
        }
        if (next < 0 || most[next] < best_bits) {
            break;
        }
        enum status status = look_through(work, next, noise, &bits[next]);
        if (status != STATUS_OK) {
            return status;
        }
        best_bits = fmax(best_bits, bits[next]);
    }
    best_bits = -INFINITY;
    for (int i = 0; i < count; i++) {
        if (bits[i] > best_bits + 1e-6) {
            best_bits = bits[i];
            best = i;
        }
    }
    apply(work, &work->windows[best]);
    return STATUS_OK;
}

enum status ofdm_work_keep(struct ofdm_work *work, const struct ofdm_reception *reception,
                           const struct channel *channel)
{
    bool same = work->kept && work->span_ms == reception->span_ms &&
                same_part(&work->part, &reception->part) &&
                same_grid(&work->grid, &reception->grid) && same_rays(&work->channel, channel);
    return same ? STATUS_OK : keep_channel(work, reception, channel);
}

enum status ofdm_work_place(struct ofdm_work *work, const struct ofdm_reception *reception,
                            const struct channel *channel, double snr_db)
{
    enum status status = ofdm_work_keep(work, reception, channel);
    if (status != STATUS_OK) {
        return status;
    }
    double amplitudes[CHANNEL_RAYS_MAX] = {0.0};
    ofdm_rays_stand(&work->rays, channel);
    for (int i = 0; i < work->rays.count; i++) {
        amplitudes[i] = sqrt(work->rays.rays[i].power);
    }
    if (work->rays.waves > 0) {
        ofdm_passage_make(&work->rays, work->turns ? work->span_ms : 0.0, work->passage);
        find_passed(work);
    }
    work->received_power = mean_power(work, work->pairs, amplitudes);
    if (!(work->received_power > 1e-6)) {
        return STATUS_NO_SOLUTION;
    }
    return choose_window(work, work->received_power / ratio_from_db(snr_db));
}

/* For carriers that are asked for a second time; NULL: this is the first, or there is no room. */
static const struct phasors *turned_for(struct ofdm_work *work, int carriers_most,
                                        const struct ofdm_choice *choice)
{
    int i = 0;
    while (i < work->asked_count && work->asked[i].most != carriers_most) {
        i++;
    }
    struct ofdm_asked *asked = &work->asked[i];
    if (i == work->asked_count) {
        if (i < OFDM_ASKED_MOST) {
            work->asked_count++;
            asked->most = carriers_most;
            asked->times = 1;
        }
        return NULL;
    }
    size_t count = ofdm_turned_count(&work->rays, choice);
    if (asked->times == 2 || count > TURNED_MOST) {
        return asked->times == 2 ? asked->turned : NULL;
    }
    if (count > asked->room) {
        free(asked->turned);
        asked->turned = malloc(count * sizeof *asked->turned);
        asked->room = asked->turned != NULL ? count : 0;
    }
    if (asked->turned != NULL) {
        ofdm_turned_make(&work->grid, &work->rays, choice, asked->turned);
        asked->times = 2;
        if (carriers_most == COARSE_CARRIERS) {
            find_means(work, asked->turned, ofdm_choice_count(choice));
        }
    }
    return asked->turned;
}

enum status ofdm_work_look(struct ofdm_work *work, int carriers_most)
{
    /* One carrier stands for all, unless the ray comes and goes with time. */
    bool alike = work->rays.count == 1 && !(work->rays.waves > 0 && work->turns);
    struct ofdm_choice choice = ofdm_choice_of_part(
        &work->grid, work->part, alike ? 1 : carriers_most, work->turns ? work->span_ms : 0.0);
    work->count = ofdm_choice_count(&choice);
    if (!make_room(work, work->count)) {
        return STATUS_NO_MEMORY;
    }
    ofdm_carriers_fill(&work->grid, &work->rays, work->rays.waves > 0 ? work->passage : NULL,
                       &choice, work->rays_room, turned_for(work, carriers_most, &choice),
                       &work->look);
    return STATUS_OK;
}

static void fill_snrs(struct ofdm_work *work, double noise, const struct ofdm_disturbance *counted)
{
    float level = (float)(noise + (counted->moved ? work->window.moved : 0.0));
    phasors_snrs(&work->look, level, counted->self ? 1.0f : 0.0f, counted->mistaken ? 1.0f : 0.0f,
                 work->count, work->snrs);
}

void ofdm_work_spread(struct ofdm_work *work, double noise, const struct ofdm_disturbance *counted,
                      struct gain_spread *spread)
{
    fill_snrs(work, noise, counted);
    gain_spread_clear(spread);
    gain_spread_add(spread, work->snrs, work->count);
    gain_spread_normalise(spread);
}
