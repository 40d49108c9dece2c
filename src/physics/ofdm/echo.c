/* Idea. With the window placed (window.h), carrier f sees the sum of the rays' useful
 * amplitudes, H(f) = sum of sqrt(power weight) exp(j (phase - 2 pi f delay)), f from the channel's
 * centre; its gain is |H|^2. Noise, self-interference and interference by motion are alike on all
 * carriers. SNR per carrier, then mean mutual information over them (gain_spread.h).
 *
 * Noise follows from the total received power, so a flat loss costs nothing and two rays that
 * cancel on some carriers do. If rays move against each other, the code sees all their phases that
 * occur during the time interleaver's span: gains are gathered at several instants of it.
 *
 * Valid while the response is steady within a symbol up to the first-order leak that is counted,
 * and while cells of a code block are spread evenly over the carriers (A/322's frequency and bit
 * interleavers do that).
 *
 * Worked number: one echo at 0 dB within the guard interval: 64QAM 10/15, ideal threshold 13.0 dB,
 * needs 15.9 dB of total power over noise. */
#include "physics/ofdm/echo.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/complex.h"
#include "base/units.h"
#include "physics/ofdm/gain_spread.h"

#define WINDOWS_TRIED 4
#define COARSE_CARRIERS 1500
#define INSTANTS 16
#define MOVING_CARRIERS 27648 /* at all instants together */

/* sin(pi x) / (pi x) */
static double sinc(double x)
{
    return fabs(x) < 1e-9 ? 1.0 : sin(PI * x) / (PI * x);
}

double ofdm_received_power(const struct ofdm_grid *grid, const struct ofdm_rays *rays,
                           double span_ms)
{
    double occupied_mhz = grid->occupied_mhz, sum = 0.0;
    for (int i = 0; i < rays->count; i++) {
        const struct ofdm_ray *a = &rays->rays[i];
        sum += a->power;
        for (int k = 0; k < i; k++) {
            const struct ofdm_ray *b = &rays->rays[k];
            double turns = (a->offset_hz - b->offset_hz) * span_ms * 1e-3;
            double common = sinc(occupied_mhz * (a->delay_us - b->delay_us)) * sinc(turns);
            sum += 2.0 * sqrt(a->power * b->power) * common * cos(a->phase - b->phase + PI * turns);
        }
    }
    return sum;
}

/* Which carriers are looked at: one out of every `step`, its place in the step drawn at random and
 * anew at each instant. Any regular choice, moved on by the golden ratio too, keeps time with the
 * ripple of some echo, and then misses its notches or sees little else; the error of a random one
 * is the same at all delays and falls with the root of the count. */
#define STEP_MAX 64

struct choice {
    int carriers, step, count;
    uint32_t seed;
};

static struct choice choice_make(const struct ofdm_grid *grid, int most)
{
    int carriers = grid->carriers;
    int step = most > 0 && most < carriers ? (carriers + most - 1) / most : 1;
    step = step < STEP_MAX ? step : STEP_MAX;
    return (struct choice){carriers, step, carriers / step, 0};
}

/* The finaliser of MurmurHash3 as the source of chance: the same places on every machine. */
static int place_in_step(const struct choice *choice, int i)
{
    uint32_t hash = (uint32_t)i + choice->seed * 0x9E3779B9u;
    hash = (hash ^ hash >> 16) * 0x85EBCA6Bu;
    hash = (hash ^ hash >> 13) * 0xC2B2AE35u;
    hash ^= hash >> 16;
    return (int)((uint64_t)hash * (uint64_t)choice->step >> 32);
}

static double complex product(double complex a, double complex b)
{
    return CMPLX(creal(a) * creal(b) - cimag(a) * cimag(b),
                 creal(a) * cimag(b) + cimag(a) * creal(b));
}

/* Adds one ray to the responses; the phasor is renewed now and then so that rounding stays small.
 */
static void add_ray(const struct ofdm_grid *grid, const struct choice *choice,
                    const struct ofdm_ray *ray, double at_ms, double complex *responses)
{
    double turn = -2.0 * PI * grid->spacing_hz * ray->delay_us * 1e-6;
    double start = ray->phase + 2.0 * PI * ray->offset_hz * at_ms * 1e-3;
    double amplitude = sqrt(ray->power * ray->weight * ray->coherent);
    double complex advance = cexp(CMPLX(0.0, turn * choice->step)), phasor = 0.0;
    double complex within[STEP_MAX]; /* from a step's first carrier to its others */
    for (int place = 0; place < choice->step; place++) {
        within[place] = cexp(CMPLX(0.0, turn * place));
    }
    for (int i = 0; i < choice->count; i++) {
        if (i % 256 == 0) {
            int carrier = i * choice->step - (choice->carriers - 1) / 2;
            phasor = amplitude * cexp(CMPLX(0.0, start + turn * carrier));
        }
        responses[i] +=
            choice->step > 1 ? product(phasor, within[place_in_step(choice, i)]) : phasor;
        phasor = product(phasor, advance);
    }
}

static void fill_responses(const struct ofdm_grid *grid, const struct choice *choice,
                           const struct ofdm_rays *rays, double at_ms, double complex *responses)
{
    for (int i = 0; i < choice->count; i++) {
        responses[i] = 0.0;
    }
    for (int i = 0; i < rays->count; i++) {
        if (rays->rays[i].weight > 0.0) {
            add_ray(grid, choice, &rays->rays[i], at_ms, responses);
        }
    }
}

static bool anything_moves(const struct ofdm_rays *rays)
{
    for (int i = 0; i < rays->count; i++) {
        if (fabs(rays->rays[i].offset_hz) > 1e-12) {
            return true;
        }
    }
    return false;
}

/* Gains of the carriers, at several instants of the span where something moves; of fewer carriers
 * then, so that it takes as long. */
static void gather_gains(const struct ofdm_reception *reception, const struct ofdm_rays *rays,
                         int carriers_most, double complex *responses, struct gain_spread *spread)
{
    int instants = reception->span_ms > 0.0 && anything_moves(rays) ? INSTANTS : 1;
    if (instants > 1) {
        carriers_most = (carriers_most > 0 ? carriers_most : MOVING_CARRIERS) / instants;
    }
    struct choice choice = choice_make(&reception->grid, carriers_most);
    gain_spread_clear(spread);
    for (int k = 0; k < instants; k++) {
        double at_ms = instants > 1 ? reception->span_ms * (k + 0.5) / instants : 0.0;
        choice.seed = (uint32_t)k;
        fill_responses(&reception->grid, &choice, rays, at_ms, responses);
        for (int i = 0; i < choice.count; i++) {
            double re = creal(responses[i]), im = cimag(responses[i]);
            gain_spread_add(spread, re * re + im * im, 1.0);
        }
    }
    gain_spread_normalise(spread);
}

struct work {
    double complex *responses; /* room for all carriers */
    struct gain_spread *spread;
};

static double effective_db(const struct ofdm_reception *reception, const struct gain_spread *spread,
                           double disturbance)
{
    return gain_spread_effective_db(spread, &reception->curve, reception->ideal_db,
                                    -db_from_ratio(disturbance));
}

/* The best window of those with most useful power, by a coarse look at the carriers: the one in
 * which they carry most, whatever the code. */
static void choose_window(const struct ofdm_reception *reception, const struct work *work,
                          double noise, struct ofdm_echo_result *result)
{
    double best_bits = -INFINITY;
    struct ofdm_window best = {0};
    for (int interpolation = 1; interpolation >= 0; interpolation--) {
        struct ofdm_window windows[WINDOWS_TRIED];
        int count = ofdm_window_candidates(&reception->grid, &result->rays, interpolation, windows,
                                           WINDOWS_TRIED);
        for (int i = 0; i < count; i++) {
            struct ofdm_window window = ofdm_window_apply(&reception->grid, &result->rays,
                                                          interpolation, windows[i].start_us);
            gather_gains(reception, &result->rays, COARSE_CARRIERS, work->responses, work->spread);
            double disturbance = noise + window.self_interference + window.moved;
            double bits = gain_spread_capacity(work->spread, -db_from_ratio(disturbance));
            if (!(bits <= best_bits + 1e-6)) {
                best_bits = bits;
                best = window;
            }
        }
        if (interpolation && best.self_interference <= 0.0) {
            break; /* nothing is lost: looking further cannot help */
        }
    }
    result->window =
        ofdm_window_apply(&reception->grid, &result->rays, best.time_interpolation, best.start_us);
}

/* Total received power over noise at which the mode reaches a threshold. */
static double required_cn_db(const struct ofdm_reception *reception,
                             const struct gain_spread *spread,
                             const struct ofdm_echo_result *result, double threshold_db)
{
    double offset_db =
        gain_spread_required_db(spread, &reception->curve, reception->ideal_db, threshold_db);
    double noise =
        ratio_from_db(-offset_db) - result->window.self_interference - result->window.moved;
    return noise > 0.0 ? db_from_ratio(result->received_power / noise) : INFINITY;
}

static void fill_losses(const struct ofdm_reception *reception, const struct gain_spread *spread,
                        double noise, struct ofdm_echo_result *result)
{
    const struct ofdm_window *window = &result->window;
    double self = window->self_interference, moved = window->moved;
    double faded_db = effective_db(reception, spread, noise);
    double self_db = self > 0.0 ? effective_db(reception, spread, noise + self) : faded_db;
    double all_db = moved > 0.0 ? effective_db(reception, spread, noise + self + moved) : self_db;
    result->fading_loss_db = result->input_snr_db - faded_db;
    result->self_loss_db = faded_db - self_db;
    result->motion_loss_db = self_db - all_db;
    result->effective_snr_db = all_db;
    result->self_interference_db = self > 0.0 ? db_from_ratio(self / window->useful) : -INFINITY;
    result->motion_interference_db =
        moved > 0.0 ? db_from_ratio(moved / window->useful) : -INFINITY;
    result->mean_information_bits =
        gain_spread_information(spread, &reception->curve, -db_from_ratio(noise + self + moved));
    result->ideal_margin_db = all_db - reception->ideal_db;
    result->margin_db = all_db - reception->needed_db;
    result->ideal_required_cn_db = required_cn_db(reception, spread, result, reception->ideal_db);
    result->required_cn_db = required_cn_db(reception, spread, result, reception->needed_db);
    result->inside_guard = true;
    for (int i = 0; i < result->rays.count; i++) {
        result->inside_guard &= result->rays.rays[i].fate == OFDM_RAY_WHOLE;
    }
}

/* Up to the gains of the carriers in `work`, and the noise over the main signal's power. */
static enum status place_window(const struct ofdm_reception *reception,
                                const struct channel *channel, double snr_db,
                                const struct work *work, struct ofdm_echo_result *result,
                                double *noise)
{
    ofdm_rays_make(channel, &result->rays);
    result->input_snr_db = snr_db;
    result->received_power =
        ofdm_received_power(&reception->grid, &result->rays, reception->span_ms);
    if (!(result->received_power > 1e-6)) {
        return STATUS_NO_SOLUTION;
    }
    *noise = result->received_power / ratio_from_db(result->input_snr_db);
    choose_window(reception, work, *noise, result);
    gather_gains(reception, &result->rays, reception->carriers_most, work->responses, work->spread);
    return STATUS_OK;
}

static enum status check(const struct ofdm_reception *reception, const struct channel *channel,
                         double snr_db)
{
    enum status status = channel_check(channel);
    if (status != STATUS_OK) {
        return status;
    }
    if (!(snr_db >= -30.0 && snr_db <= 100.0) || !isfinite(reception->ideal_db) ||
        isnan(reception->needed_db) || !(reception->span_ms >= 0.0)) {
        return STATUS_OUT_OF_RANGE;
    }
    return STATUS_OK;
}

enum status ofdm_echo_spread(const struct ofdm_reception *reception, const struct channel *channel,
                             double snr_db, struct ofdm_echo_result *result,
                             struct gain_spread *spread, double *disturbance)
{
    enum status status = check(reception, channel, snr_db);
    if (status != STATUS_OK) {
        return status;
    }
    int carriers = reception->grid.carriers;
    struct work work = {.responses = malloc((size_t)carriers * sizeof *work.responses),
                        .spread = spread};
    double noise = 0.0;
    status = work.responses != NULL
                 ? place_window(reception, channel, snr_db, &work, result, &noise)
                 : STATUS_NO_MEMORY;
    free(work.responses);
    if (status == STATUS_OK) {
        *disturbance = noise + result->window.self_interference + result->window.moved;
    }
    return status;
}

enum status ofdm_echo_solve(const struct ofdm_reception *reception, const struct channel *channel,
                            double snr_db, struct ofdm_echo_result *result)
{
    struct gain_spread *spread = malloc(sizeof *spread);
    double disturbance;
    enum status status =
        spread != NULL ? ofdm_echo_spread(reception, channel, snr_db, result, spread, &disturbance)
                       : STATUS_NO_MEMORY;
    if (status == STATUS_OK) {
        double noise = result->received_power / ratio_from_db(result->input_snr_db);
        fill_losses(reception, spread, noise, result);
    }
    free(spread);
    return status;
}

int ofdm_echo_carriers(const struct ofdm_grid *grid, const struct ofdm_echo_result *result,
                       int step, double *snr_db, int most)
{
    int carriers = grid->carriers, count = 0;
    double disturbance = result->received_power / ratio_from_db(result->input_snr_db) +
                         result->window.self_interference + result->window.moved;
    int middle = (carriers - 1) / 2;
    for (int k = 0; k < carriers && count < most; k += step) {
        double mhz = (k - middle) * grid->spacing_hz * 1e-6;
        double complex response = 0.0;
        for (int i = 0; i < result->rays.count; i++) {
            const struct ofdm_ray *ray = &result->rays.rays[i];
            double phase = ray->phase - 2.0 * PI * mhz * ray->delay_us;
            response += sqrt(ray->power * ray->weight * ray->coherent) * cexp(CMPLX(0.0, phase));
        }
        double re = creal(response), im = cimag(response);
        snr_db[count++] = db_from_ratio((re * re + im * im) / disturbance);
    }
    return count;
}
