#include "physics/vsb/channel.h"

#include <complex.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "standard/vsb/signal.h"

/* Idea. A vestigial-sideband signal is sum over n of d[n] v(t - nT) with real symbols d and the
 * complex pulse v = p + jq. Its spectrum is a raised cosine of total width 1/(2T), roll-off 0.1152,
 * centred on 1/(4T) above the carrier (ATSC A/53 Part 2: 5.38 MHz between the half-power points, 6
 * MHz in all, the carrier 309.44 kHz above the channel's edge). So, with t in symbol periods T,
 *
 *     v(t) = g(t) exp(j pi t / 2),   g the raised-cosine pulse of period 2T,
 *     p(t) = sinc(t) C(t),   q(t) = (1 - cos pi t) / (pi t) C(t),
 *     C(t) = cos(pi alpha t / 2) / (1 - (alpha t)^2).
 *
 * p is a Nyquist pulse of period T. q would be p's Hilbert transform if the lower sideband were cut
 * off at the carrier; the vestige that A/53 leaves around the carrier makes the difference, and
 * makes q fall off with the cube of time. An echo a exp(j phi) at t_k adds
 * Re{a exp(j phi) v(n - t_k)} to tap n.
 *
 * The receiving filter is the other half of the raised cosine, so that white noise comes out with
 * the autocorrelation p(n): white at the symbol rate, of variance half the complex one's. Signal
 * to noise at the decision without echoes is therefore the received power over the noise power
 * in 5.38 MHz.
 *
 * Validity: pulses are cut TAIL symbols from their centre, where they are below 2e-7, or where
 * |v|^2
 * <= 4 / (pi t)^2 / ((alpha t)^2 - 1)^2 has as little energy left as is asked for. Worked number:
 * p(0.5) = 0.6366 C(0.5), C(0.5) = 0.99923: 0.63613; q(1) = 2/pi C(1) = 0.6346. */

#define TAIL 512 /* symbols */
#define TAIL_LEAST 18
#define TAIL_ENERGY \
    820.0         /* beyond t, over t^-5: 4 (4 / 3)^2 / (5 pi^2 alpha^4) from TAIL_LEAST on */
#define NEAR 1e-3 /* to where the formulas divide by 0 */

static double sinc(double x)
{
    return fabs(x) < 1e-8 ? 1.0 : sin(PI * x) / (PI * x);
}

/* C(t), written so that neither t = 0 nor t = 1 / alpha is singular: with e = alpha |t| - 1,
 * cos(pi (1 + e) / 2) = -sin(pi e / 2) and 1 - (1 + e)^2 = -e (2 + e). */
static double roll_off_factor(double symbols)
{
    double e = VSB_ROLL_OFF * fabs(symbols) - 1.0;
    return PI / 2.0 * sinc(e / 2.0) / (2.0 + e);
}

double vsb_pulse_in_phase(double symbols)
{
    return sinc(symbols) * roll_off_factor(symbols);
}

double vsb_pulse_quadrature(double symbols)
{
    /* (1 - cos pi t) / (pi t) = sin(pi t / 2) sinc(t / 2) */
    return sin(PI * symbols / 2.0) * sinc(symbols / 2.0) * roll_off_factor(symbols);
}

int vsb_echoes_of(const struct channel *channel, struct echo *echoes)
{
    const struct ray *main_ray = &channel->rays[0];
    for (int i = 1; i < channel->count; i++) {
        const struct ray *ray = &channel->rays[i];
        double turns = vsb_pilot_below_hz() * 1e-6 * (ray->delay_us - main_ray->delay_us);
        echoes[i - 1] = (struct echo){
            .delay_us = ray->delay_us - main_ray->delay_us,
            .level_db = 2.0 * db_from_ratio(ray->gain / main_ray->gain),
            .phase_deg = (ray->phase - main_ray->phase) * 180.0 / PI + 360.0 * fmod(turns, 1.0),
            .doppler_hz = ray->doppler_hz - main_ray->doppler_hz,
        };
    }
    return channel->count - 1;
}

static double delay_symbols(const struct echo *echo)
{
    return echo->delay_us / vsb_symbol_us();
}

static double complex amplitude(const struct echo *echo)
{
    double phase = echo->phase_deg * PI / 180.0;
    return sqrt(ratio_from_db(echo->level_db)) * (cos(phase) + I * sin(phase));
}

static void add_echo(struct vsb_channel *channel, const struct echo *echo, int tail)
{
    double delay = delay_symbols(echo);
    double complex a = amplitude(echo);
    int centre = (int)lround(delay);
    double sine = sin(PI * (centre - delay)), cosine = cos(PI * (centre - delay));
    double complex roll = cexp(I * PI * VSB_ROLL_OFF / 2.0 * (centre - tail - delay));
    const double complex on = cexp(I * PI * VSB_ROLL_OFF / 2.0);
    for (int n = -tail; n <= tail; n++, roll *= on) {
        double at = n + centre - delay, sign = n % 2 == 0 ? 1.0 : -1.0;
        double edge = 1.0 - VSB_ROLL_OFF * at * VSB_ROLL_OFF * at;
        double in_phase, quadrature;
        if (fabs(at) < NEAR || fabs(edge) < NEAR) {
            in_phase = vsb_pulse_in_phase(at);
            quadrature = vsb_pulse_quadrature(at);
        } else { /* the same by steps of whole symbols */
            double rest = creal(roll) / (edge * PI * at);
            in_phase = sign * sine * rest;
            quadrature = (1.0 - sign * cosine) * rest;
        }
        channel->taps[n + centre - channel->first] += creal(a) * in_phase - cimag(a) * quadrature;
    }
}

static enum status make(const struct echo *echoes, int count, int tail, struct vsb_channel *channel)
{
    int first = 0, last = 0;
    for (int i = 0; i < count; i++) {
        int centre = (int)lround(delay_symbols(&echoes[i]));
        first = centre - tail < first ? centre - tail : first;
        last = centre + tail > last ? centre + tail : last;
    }
    channel->taps = calloc((size_t)(unsigned)(last - first) + 1, sizeof *channel->taps);
    if (channel->taps == NULL) {
        return STATUS_NO_MEMORY;
    }
    channel->first = first;
    channel->count = last - first + 1;
    channel->taps[-first] = 1.0;
    for (int i = 0; i < count; i++) {
        add_echo(channel, &echoes[i], tail);
    }
    return STATUS_OK;
}

enum status vsb_channel_make(const struct echo *echoes, int count, struct vsb_channel *channel)
{
    *channel = (struct vsb_channel){0};
    enum status status = echoes_check(echoes, count, NULL);
    return status == STATUS_OK ? make(echoes, count, TAIL, channel) : status;
}

/* Leaves out the ends that are weaker. */
static void cut_ends(struct vsb_channel *channel, double least)
{
    double *taps = channel->taps, left = 0.0;
    int from = 0, to = channel->count;
    while (to > from + 1 && left + taps[from] * taps[from] < least) {
        left += taps[from] * taps[from];
        from++;
    }
    left = 0.0;
    while (to > from + 1 && left + taps[to - 1] * taps[to - 1] < least) {
        left += taps[to - 1] * taps[to - 1];
        to--;
    }
    channel->first += from;
    channel->count = to - from;
    memmove(taps, taps + from, (size_t)channel->count * sizeof *taps);
}

enum status vsb_channel_make_above(const struct echo *echoes, int count, double least,
                                   struct vsb_channel *channel)
{
    *channel = (struct vsb_channel){0};
    enum status status = echoes_check(echoes, count, NULL);
    if (status != STATUS_OK) {
        return status;
    }
    double sum = 0.0;
    for (int i = 0; i < count; i++) {
        sum += sqrt(ratio_from_db(echoes[i].level_db));
    }
    double tail = ceil(pow(TAIL_ENERGY * sum * sum / least, 0.2));
    status = make(echoes, count, (int)fmin(fmax(tail, TAIL_LEAST), TAIL), channel);
    if (status == STATUS_OK) {
        cut_ends(channel, least);
    }
    return status;
}

void vsb_channel_free(struct vsb_channel *channel)
{
    free(channel->taps);
    *channel = (struct vsb_channel){0};
}

double vsb_channel_tap(const struct vsb_channel *channel, int k)
{
    int i = k - channel->first;
    return i >= 0 && i < channel->count ? channel->taps[i] : 0.0;
}

#define VESTIGE (0.25 * VSB_ROLL_OFF) /* cycles per symbol, to either side of 0 and of 1/2 */

/* The raised cosine around a quarter of the symbol rate: 1 inside, 1/2 at 0 and 1/2. */
static double spectrum_shape(double frequency)
{
    double x = (fabs(frequency - 0.25) - 0.25 * (1.0 - VSB_ROLL_OFF)) / (0.5 * VSB_ROLL_OFF);
    return x <= 0.0 ? 1.0 : x >= 1.0 ? 0.0 : 0.5 * (1.0 + cos(PI * x));
}

static double complex response(const struct echo *echoes, int count, double frequency)
{
    double complex sum = 1.0;
    for (int i = 0; i < count; i++) {
        double turn = -2.0 * PI * frequency * delay_symbols(&echoes[i]);
        sum += amplitude(&echoes[i]) * (cos(turn) + I * sin(turn));
    }
    return sum;
}

double vsb_channel_gain(const struct echo *echoes, int count, double frequency)
{
    /* Keeping the real part mirrors the spectrum about 0, sampling mirrors it about 1/2; only the
     * vestiges meet their images. */
    double complex sum = spectrum_shape(frequency) * response(echoes, count, frequency);
    const double images[] = {-frequency, 1.0 - frequency};
    for (int i = 0; i < 2; i++) {
        double shape = spectrum_shape(images[i]);
        if (shape > 0.0) {
            sum += shape * conj(response(echoes, count, images[i]));
        }
    }
    return creal(sum * conj(sum));
}

/* Neighbouring points are turned side by side, so that none waits for the one before it. */
#define LANES 4

/* One ray's rotation from some points to the next ones, and its weights: its own, and its images'.
 */
struct turning {
    double re[LANES], im[LANES], step_re, step_im;
    double direct_re, direct_im, around_re, around_im;
};

static struct turning turning_of(const struct echo *echo, int points)
{
    double cycle = 2.0 * PI * delay_symbols(echo), step = cycle * 0.5 / points;
    double complex direct = amplitude(echo), around = conj(direct) * cexp(I * cycle);
    struct turning turning = {.step_re = cos(LANES * step),
                              .step_im = -sin(LANES * step),
                              .direct_re = creal(direct),
                              .direct_im = cimag(direct),
                              .around_re = creal(around),
                              .around_im = cimag(around)};
    for (int lane = 0; lane < LANES; lane++) {
        turning.re[lane] = cos(lane * step);
        turning.im[lane] = -sin(lane * step);
    }
    return turning;
}

/* Turns a ray on to the next points. */
static void turn_on(struct turning *t)
{
    for (int lane = 0; lane < LANES; lane++) {
        double turned = t->re[lane] * t->step_re - t->im[lane] * t->step_im;
        t->im[lane] = t->re[lane] * t->step_im + t->im[lane] * t->step_re;
        t->re[lane] = turned;
    }
}

/* Adds up the rays inside of the band, where no image stands, and turns them on. */
static void add_inside(struct turning *rays, int count, double *restrict re, double *restrict im)
{
    for (int i = 0; i < count; i++) {
        struct turning *t = &rays[i];
        for (int lane = 0; lane < LANES; lane++) {
            re[lane] += t->direct_re * t->re[lane] - t->direct_im * t->im[lane];
            im[lane] += t->direct_re * t->im[lane] + t->direct_im * t->re[lane];
        }
        turn_on(t);
    }
}

/* The same anywhere; `f` of the first point, `step` to the next. What a vestige leaves its image
 * has: the two add up to 1. */
static void add_anywhere(struct turning *rays, int count, double f, double step,
                         double *restrict re, double *restrict im)
{
    double own[LANES], below[LANES], above[LANES];
    for (int lane = 0; lane < LANES; lane++) {
        double at = f + lane * step;
        own[lane] = spectrum_shape(at);
        below[lane] = at < VESTIGE ? 1.0 - own[lane] : 0.0;
        above[lane] = at > 0.5 - VESTIGE ? 1.0 - own[lane] : 0.0;
    }
    for (int i = 0; i < count; i++) {
        struct turning *t = &rays[i];
        for (int lane = 0; lane < LANES; lane++) {
            double wr = (own[lane] + below[lane]) * t->direct_re + above[lane] * t->around_re;
            double wi = (own[lane] - below[lane]) * t->direct_im + above[lane] * t->around_im;
            re[lane] += wr * t->re[lane] - wi * t->im[lane];
            im[lane] += wr * t->im[lane] + wi * t->re[lane];
        }
        turn_on(t);
    }
}

/* Keeping the real part and sampling turn each ray's images into the ray's own rotation with other
 * weights: V(f) a + (V(-f) + V(1 - f) exp(j 2 pi tau)) conj(a). The rotation advances by a fixed
 * step from points to points. */
void vsb_channel_spectrum(const struct echo *echoes, int count, int points, double *restrict re,
                          double *restrict im)
{
    const struct echo main_signal = {0};
    struct turning rays[ECHOES_MAX + 1];
    rays[0] = turning_of(&main_signal, points);
    for (int i = 0; i < count; i++) {
        rays[1 + i] = turning_of(&echoes[i], points);
    }
    double step = 0.5 / points;
    for (int n = 0; n <= points; n += LANES) {
        double sum_re[LANES] = {0.0}, sum_im[LANES] = {0.0};
        double f = n * step, last = f + (LANES - 1) * step;
        if (f > VESTIGE && last < 0.5 - VESTIGE) {
            add_inside(rays, 1 + count, sum_re, sum_im);
        } else {
            add_anywhere(rays, 1 + count, f, step, sum_re, sum_im);
        }
        for (int lane = 0; lane < LANES && n + lane <= points; lane++) {
            re[n + lane] = sum_re[lane];
            im[n + lane] = sum_im[lane];
        }
    }
}

double vsb_received_power(const struct echo *echoes, int count)
{
    double power = 1.0;
    for (int i = 0; i < count; i++) {
        double complex a = amplitude(&echoes[i]);
        double delay = delay_symbols(&echoes[i]);
        power += creal(a * conj(a));
        for (int j = -1; j < i; j++) { /* -1: the main signal */
            double complex b = j < 0 ? 1.0 : amplitude(&echoes[j]);
            double apart = (j < 0 ? 0.0 : delay_symbols(&echoes[j])) - delay;
            if (fabs(apart) <= TAIL) {
                double complex pulse = vsb_pulse_in_phase(apart) + I * vsb_pulse_quadrature(apart);
                power += 2.0 * creal(a * conj(b) * pulse);
            }
        }
    }
    return power;
}

double vsb_pilot_power(const struct echo *echoes, int count)
{
    double complex sum = 1.0;
    for (int i = 0; i < count; i++) {
        sum += amplitude(&echoes[i]);
    }
    return creal(sum * conj(sum));
}
