#include "simulation/vsb/symbols.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "base/units.h"
#include "physics/vsb/adaptation.h"
#include "physics/vsb/channel.h"
#include "simulation/vsb/inner.h"
#include "standard/vsb/signal.h"

/* Idea. All symbols, samples and decisions of a run stand in three arrays; the sample of time n is
 * the main symbol n plus, for each echo, the symbols around n - delay weighed by the pulse's two
 * parts, turned by the echo's phase of that moment. The equaliser is one inner product over
 * samples and one over decisions; learning adds error times the same two stretches to the taps.
 *
 * Pulses are cut PULSE_TAIL symbols from their centre, where they are below 6e-6. */

#define PULSE_TAIL 160
#define PULSE_TAPS (2 * PULSE_TAIL + 1)

/* One echo's pulse, reversed so that it lies along the symbols. */
struct ray {
    int centre;
    double in_phase[PULSE_TAPS], quadrature[PULSE_TAPS];
    double amplitude, phase, turn; /* radians; turn: per symbol */
};

struct arena {
    long first; /* symbols before time 0 */
    long length;
    double *sent, *samples, *decisions;
    struct ray *rays;
    struct vsb_equaliser equaliser;
    struct vsb_channel channel;
};

/* Level i of 0..7 in units of the symbols' root mean square, sqrt(21). */
static double level(int i)
{
    return (2 * i - 7) / sqrt(21.0);
}

static double nearest_level(double value)
{
    double i = floor((value * sqrt(21.0) + 8.0) / 2.0);
    return level((int)fmin(7.0, fmax(0.0, i)));
}

static void add_scaled(double *restrict a, double scale, const double *restrict b, int n)
{
    for (int i = 0; i < n; i++) {
        a[i] += scale * b[i];
    }
}

static void fill_ray(const struct echo *echo, struct ray *ray)
{
    double delay = echo->delay_us / vsb_symbol_us();
    ray->centre = (int)lround(delay);
    ray->amplitude = sqrt(ratio_from_db(echo->level_db));
    ray->phase = echo->phase_deg * PI / 180.0;
    ray->turn = 2.0 * PI * echo->doppler_hz / vsb_symbol_rate_hz();
    for (int i = 0; i < PULSE_TAPS; i++) {
        double at = ray->centre + PULSE_TAIL - i - delay;
        ray->in_phase[i] = vsb_pulse_in_phase(at);
        ray->quadrature[i] = vsb_pulse_quadrature(at);
    }
}

static void make_samples(const struct vsb_symbols_run *run, struct arena *arena, double deviation,
                         struct random *random)
{
    long margin = PULSE_TAIL + 1;
    for (int i = 0; i < run->echo_count; i++) {
        long reach = labs(lround(run->echoes[i].delay_us / vsb_symbol_us())) + PULSE_TAIL + 1;
        margin = reach > margin ? reach : margin;
    }
    for (long n = margin; n < arena->length - margin; n++) {
        double sample = arena->sent[n] + deviation * random_normal(random);
        for (int i = 0; i < run->echo_count; i++) {
            const struct ray *ray = &arena->rays[i];
            const double *symbols = arena->sent + n - ray->centre - PULSE_TAIL;
            double phase = ray->phase + ray->turn * (double)(n - arena->first);
            sample +=
                ray->amplitude * (cos(phase) * inner_product(ray->in_phase, symbols, PULSE_TAPS) -
                                  sin(phase) * inner_product(ray->quadrature, symbols, PULSE_TAPS));
        }
        arena->samples[n] = sample;
    }
}

struct sums {
    double error, cross, sent, output;
    long errors;
};

static void equalise(const struct vsb_symbols_run *run, struct arena *arena, double mu,
                     struct sums *sums)
{
    struct vsb_equaliser *taps = &arena->equaliser;
    int forward = taps->spans.earlier + taps->spans.later + 1, backward = taps->spans.feedback;
    for (long n = arena->first; n < arena->first + run->settle + run->symbols; n++) {
        const double *samples = arena->samples + n - taps->spans.earlier;
        const double *decisions = arena->decisions + n - backward;
        double output = inner_product(taps->forward, samples, forward) -
                        inner_product(taps->backward, decisions, backward);
        double sent = arena->sent[n], decided = nearest_level(output);
        double wanted = run->decided ? decided : sent;
        arena->decisions[n] = wanted;
        if (mu > 0.0) {
            double change = mu * (wanted - output);
            add_scaled(taps->forward, change, samples, forward);
            add_scaled(taps->backward, -change, decisions, backward);
        }
        if (n >= arena->first + run->settle) {
            sums->error += (output - sent) * (output - sent);
            sums->cross += output * sent;
            sums->sent += sent * sent;
            sums->output += output * output;
            sums->errors += fabs(decided - sent) > 1e-9;
        }
    }
}

static enum status arena_make(const struct vsb_symbols_run *run, struct arena *arena)
{
    long before = run->spans.earlier + run->spans.feedback, after = run->spans.later;
    for (int i = 0; i < run->echo_count; i++) {
        long reach = labs(lround(run->echoes[i].delay_us / vsb_symbol_us()));
        arena->first = reach > arena->first ? reach : arena->first;
    }
    arena->first += before + after + 2 * PULSE_TAIL + 4;
    arena->length = 2 * arena->first + run->settle + run->symbols;
    arena->sent = calloc((size_t)arena->length, sizeof *arena->sent);
    arena->samples = calloc((size_t)arena->length, sizeof *arena->samples);
    arena->decisions = calloc((size_t)arena->length, sizeof *arena->decisions);
    arena->rays = calloc((size_t)run->echo_count + 1, sizeof *arena->rays);
    return arena->sent != NULL && arena->samples != NULL && arena->decisions != NULL &&
                   arena->rays != NULL
               ? STATUS_OK
               : STATUS_NO_MEMORY;
}

static void arena_free(struct arena *arena)
{
    free(arena->sent);
    free(arena->samples);
    free(arena->decisions);
    free(arena->rays);
    vsb_equaliser_free(&arena->equaliser);
    vsb_channel_free(&arena->channel);
}

static void reverse(double *values, int n)
{
    for (int i = 0; i < n / 2; i++) {
        double kept = values[i];
        values[i] = values[n - 1 - i];
        values[n - 1 - i] = kept;
    }
}

/* Designed taps; the feedback taps turned round to lie along the decisions. Learning ends at the
 * taps of least mean square error, which are the unbiased ones times SNR / (1 + SNR). */
static enum status design(const struct vsb_symbols_run *run, double noise, struct arena *arena)
{
    enum status status = vsb_channel_make(run->echoes, run->echo_count, &arena->channel);
    if (status == STATUS_OK) {
        status = vsb_equaliser_design(&arena->channel, noise, run->spans, NULL, &arena->equaliser);
    }
    if (status == STATUS_OK) {
        reverse(arena->equaliser.backward, run->spans.feedback);
        double least = arena->equaliser.snr / (1.0 + arena->equaliser.snr);
        for (int i = 0; run->step > 0.0 && i <= run->spans.earlier + run->spans.later; i++) {
            arena->equaliser.forward[i] *= least;
        }
        for (int i = 0; run->step > 0.0 && i < run->spans.feedback; i++) {
            arena->equaliser.backward[i] *= least;
        }
    }
    return status;
}

static enum status check(const struct vsb_symbols_run *run)
{
    const int span_most = 1 << 16;
    if (!(run->snr_db >= -30.0 && run->snr_db <= 100.0) ||
        !(run->step >= 0.0 && run->step <= VSB_ADAPTATION_STEP_MAX) || run->settle < 0 ||
        run->symbols < 1 || run->settle > VSB_SYMBOLS_MOST ||
        run->symbols > VSB_SYMBOLS_MOST - run->settle || run->spans.earlier < 0 ||
        run->spans.later < 0 || run->spans.feedback < 0 || run->spans.earlier > span_most ||
        run->spans.later > span_most || run->spans.feedback > span_most) {
        return STATUS_OUT_OF_RANGE;
    }
    return vsb_echoes_check(run->echoes, run->echo_count, NULL);
}

static void run_arena(const struct vsb_symbols_run *run, double noise, struct arena *arena,
                      struct vsb_symbols_result *result)
{
    struct random symbols = random_seeded(run->seed, 0), noises = random_seeded(run->seed, 1);
    for (long n = 0; n < arena->length; n++) {
        arena->sent[n] = arena->decisions[n] = level((int)(random_bits(&symbols) >> 61));
    }
    for (int i = 0; i < run->echo_count; i++) {
        fill_ray(&run->echoes[i], &arena->rays[i]);
    }
    make_samples(run, arena, sqrt(noise), &noises);
    double mu = 0.0;
    if (run->step > 0.0) {
        mu = run->step / vsb_adaptation_norm(&arena->channel, noise, run->spans, NULL);
    }
    struct sums sums = {0};
    equalise(run, arena, mu, &sums);
    double gain = sums.cross / sums.sent;
    result->symbols = run->symbols;
    result->errors = sums.errors;
    result->mean_square_error = sums.error / sums.sent;
    result->snr_db = db_from_ratio(gain * sums.cross / (sums.output - gain * sums.cross));
}

enum status vsb_symbols_simulate(const struct vsb_symbols_run *run,
                                 struct vsb_symbols_result *result)
{
    *result = (struct vsb_symbols_result){0};
    enum status status = check(run);
    if (status != STATUS_OK) {
        return status;
    }
    double noise = vsb_received_power(run->echoes, run->echo_count) / ratio_from_db(run->snr_db);
    struct arena arena = {0};
    status = arena_make(run, &arena);
    if (status == STATUS_OK) {
        status = design(run, noise, &arena);
    }
    if (status == STATUS_OK) {
        run_arena(run, noise, &arena, result);
        status = isfinite(result->mean_square_error) ? STATUS_OK : STATUS_NO_SOLUTION;
    }
    arena_free(&arena);
    return status;
}
