/* Idea. With Phi(f) = 1 + |H(f)|^2 / noise over the folded spectrum, write Phi = gamma |G|^2, where
 * G is monic and of minimum phase. The decision-feedback equaliser of infinite length then feeds
 * back G - 1, filters with F = H* / (noise gamma G*), and its error is white, of power 1 / gamma
 * (Cioffi et al., "MMSE decision-feedback equalizers and coding, part I", IEEE Trans. Commun. 43,
 * 1995): SNR gamma - 1 without bias, and the unbiased taps are gamma / (gamma - 1) as large. The
 * cepstrum c[n] of Phi, the Fourier series of its logarithm, gives gamma = exp(c[0]) and, with the
 * terms n > 0 alone, the logarithm of G (Oppenheim and Schafer, Discrete-Time Signal Processing).
 * Sums of squares need no taps: that of G's is the mean of Phi over gamma.
 *
 * A finite equaliser could use the same taps as far as its spans go. The infinite one's error is
 * orthogonal to all samples and decided symbols, so leaving out taps adds just the power of what
 * they contributed, at most
 *
 *     (sqrt(noise max Phi |F outside|^2) + sqrt(|G outside|^2))^2,
 *
 * noise Phi being the spectrum of the samples. The best finite equaliser lies between the two.
 *
 * The transform has at least twice as many points as the longest span, so that taps outside show.
 * What it folds back is no larger than the second quarter of the cepstrum, as cepstra fall off at
 * least as 1 / n between the multiples of a delay, and no delay is longer than a quarter: where
 * that quarter is not negligible, a longer transform is tried. Where the infinite equaliser cannot
 * stand for the finite one, it still tells which taps of that are worth solving for: F is a filter
 * of later samples but for what H* adds, so that they are seldom more than half.
 *
 * Validity: the spectral answer errs by VSB_IDEAL_ERROR_DB at most; single precision in the taps
 * sends SNRs above some 70 dB to the finite solution. Worked number: h = (1, 0.5), noise 0.1: Phi =
 * 13.5 + 10 cos w, gamma = (13.5 + sqrt(13.5^2 - 10^2)) / 2 = 11.285, SNR 10.12 dB, G = (1, 5 /
 * 11.285), unbiased feedback tap 5 / 10.285 = 0.486. */
#include "physics/vsb/ideal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/many.h"
#include "base/units.h"
#include "standard/vsb/signal.h"

#define SIZE_LEAST 1024
#define SIZES 3                  /* that one, twice, four times as many */
#define NEGLIGIBLE_CEPSTRUM 1e-4 /* in the logarithm of power, root sum of squares */
#define NEGLIGIBLE_SHARE 1e-6
/* Where feedback taps of this share of the least error lie beyond the reach, the forward taps of
 * the finite equaliser stand in for them, and are longer than the infinite one's. */
#define SHORT_SHARE 1e-4
#define SOME_MORE 16          /* taps to either side of those that are not negligible */
#define MEANS_SIZE_LEAST 8192 /* of means without taps */
#define MEANS_SIZE_MOST 1048576
#define POINTS_PER_RIPPLE 256

/* Phi and H at frequencies i / size, i = 0..size / 2: all there is of a real channel. */
struct spectrum {
    int size;
    double noise;
    double *re, *im, *phi; /* size / 2 + 1 each, of the room */
    double log_mean, mean, inverse_mean, most;
};

/* Adds up means over the whole circle; the ends of the half count half. */
static void take_means(struct spectrum *s)
{
    int half = s->size / 2;
    double log_sum = 0.0, sum = 0.0, inverse_sum = 0.0, product = 1.0;
    s->most = 0.0;
    for (int i = 1; i < half; i++) {
        double phi = s->phi[i];
        sum += phi;
        inverse_sum += 1.0 / phi;
        s->most = phi > s->most ? phi : s->most;
        product *= phi;
        if (i % 8 == 0 || i == half - 1) { /* a logarithm for every eighth point */
            log_sum += log(product);
            product = 1.0;
        }
    }
    double low = s->phi[0], high = s->phi[half];
    s->most = fmax(s->most, fmax(low, high));
    s->mean = (sum + 0.5 * (low + high)) / half;
    s->inverse_mean = (inverse_sum + 0.5 * (1.0 / low + 1.0 / high)) / half;
    s->log_mean = (log_sum + 0.5 * log(low * high)) / half;
}

static enum status spectrum_make(const struct echo *echoes, int count, double noise, int size,
                                 struct vsb_room *room, struct spectrum *s)
{
    int points = size / 2 + 1;
    *s = (struct spectrum){.size = size, .noise = noise};
    s->re = vsb_room_array(room, ROOM_SPECTRUM, 3 * (size_t)points * sizeof *s->re);
    if (s->re == NULL) {
        return STATUS_NO_MEMORY;
    }
    s->im = s->re + points;
    s->phi = s->im + points;
    vsb_channel_spectrum(echoes, count, size / 2, s->re, s->im);
    for (int i = 0; i < points; i++) {
        s->phi[i] = 1.0 + (s->re[i] * s->re[i] + s->im[i] * s->im[i]) / noise;
    }
    take_means(s);
    return STATUS_OK;
}

/* Arrays on the way to the taps, of the room: `size` each and one more. */
struct cepstrum {
    struct fourier *fourier;
    float *re, *im; /* in the end the taps of G and of F */
    float *values;  /* what is transformed, real */
    float *cosines, *sines;
};

static enum status cepstrum_make(int size, struct vsb_room *room, struct cepstrum *c)
{
    size_t each = (size_t)size + 1;
    float *re = vsb_room_array(room, ROOM_CEPSTRUM, 5 * each * sizeof *re);
    *c = (struct cepstrum){
        vsb_room_fourier(room, size), re, re + each, re + 2 * each, re + 3 * each, re + 4 * each};
    return c->fourier != NULL && re != NULL ? STATUS_OK : STATUS_NO_MEMORY;
}

/* The transform of a spectrum that is its own mirror image, given as far as the middle. */
static void transform_even(struct cepstrum *c, int size)
{
    for (int i = 1; i < size / 2; i++) {
        c->values[size - i] = c->values[i];
    }
    fourier_forward_real(c->fourier, c->values, c->re, c->im);
}

/* The cepstrum, `size` times as large, in `re`. False where it is too long for the transform. */
static bool find_cepstrum(const struct spectrum *s, struct cepstrum *c)
{
    int size = s->size, half = size / 2;
    for (int i = 0; i <= half; i++) {
        c->values[i] = (float)s->phi[i];
    }
    many_log2(c->values, c->values, half + 1);
    for (int i = 0; i <= half; i++) {
        c->values[i] = (float)log(2.0) * c->values[i] - (float)s->log_mean;
    }
    transform_even(c, size);
    double late = 0.0;
    for (int n = size / 4; n <= half; n++) {
        late += (double)c->re[n] * c->re[n];
    }
    return sqrt(late) < NEGLIGIBLE_CEPSTRUM * size;
}

/* The phase of G, the imaginary part of its logarithm, in turns, in `values`, from the cepstrum in
 * `re`. The real part is half the logarithm of Phi. */
static void find_phase(struct cepstrum *c, int size)
{
    int half = size / 2;
    float scale = 1.0f / (float)size;
    c->values[0] = 0.0f;
    for (int n = 1; n < half; n++) {
        c->values[n] = scale * c->re[n];
    }
    c->values[half] = 0.5f * scale * c->re[half];
    memset(c->values + half + 1, 0, (size_t)(half - 1) * sizeof *c->values);
    fourier_forward_real(c->fourier, c->values, c->re, c->im);
    for (int k = 0; k <= half; k++) {
        c->values[k] = (float)(0.5 / PI) * c->im[k];
    }
}

/* Turns the phase of G into the taps of G in `re` and those of F in `im`. Both are real, so one
 * transform of G + j F gives both. */
static void find_taps(const struct spectrum *s, struct cepstrum *c)
{
    int size = s->size, half = size / 2;
    float scale = 1.0f / (float)size, inverse_gamma = (float)exp(-s->log_mean);
    float over_noise = (float)(1.0 / s->noise);
    many_turns(c->values, c->cosines, c->sines, half + 1);
    for (int i = 0; i <= half; i++) {
        float phi = (float)s->phi[i], magnitude = scale * sqrtf(phi * inverse_gamma);
        float gr = magnitude * c->cosines[i], gi = magnitude * c->sines[i];
        float hr = (float)s->re[i], hi = (float)s->im[i];
        float weight = over_noise / phi; /* F = H* G / (noise Phi) */
        float fr = weight * (hr * gr + hi * gi), fi = weight * (hr * gi - hi * gr);
        int mirrored = (size - i) % size;
        c->re[mirrored] = gr + fi;
        c->im[mirrored] = fr - gi;
        c->re[i] = gr - fi;
        c->im[i] = gi + fr;
    }
    fourier_backward(c->fourier, c->re, c->im);
}

static double energy(const float *taps, int from, int to)
{
    double sums[4] = {0.0, 0.0, 0.0, 0.0}; /* so that no addition waits for the one before */
    int i = from;
    for (; i + 4 <= to; i += 4) {
        for (int k = 0; k < 4; k++) {
            sums[k] += (double)taps[i + k] * taps[i + k];
        }
    }
    for (; i < to; i++) {
        sums[0] += (double)taps[i] * taps[i];
    }
    return sums[0] + sums[1] + (sums[2] + sums[3]);
}

/* Most that the error can grow by when the taps outside the spans are left out. F's tap n weighs
 * the sample n before, G's the symbol n before; negative indices lie at the end. */
static double truncation(const struct spectrum *s, struct vsb_equaliser_spans spans,
                         const float *feedback, const float *forward)
{
    double lost = s->noise * s->most * energy(forward, spans.earlier + 1, s->size - spans.later);
    double left = energy(feedback, spans.feedback + 1, s->size);
    double sum = sqrt(lost) + sqrt(left);
    return sum * sum;
}

enum fit { TAPS_FIT, TAPS_EXCEED, TRANSFORM_TOO_SHORT };

/* The spans that taps of the infinite equaliser fill: what lies beyond adds NEGLIGIBLE_SHARE of the
 * least error at most to either side, and the finite one's taps fall off like those. */
static struct vsb_equaliser_spans filled(const struct spectrum *s, struct vsb_equaliser_spans spans,
                                         const float *forward)
{
    double most = NEGLIGIBLE_SHARE * exp(-s->log_mean) / (s->noise * s->most);
    struct vsb_equaliser_spans least = spans;
    double beyond = 0.0;
    while (least.earlier > 0 && beyond + energy(forward, least.earlier, least.earlier + 1) < most) {
        beyond += energy(forward, least.earlier, least.earlier + 1);
        least.earlier--;
    }
    beyond = 0.0;
    while (least.later > 0 &&
           beyond + energy(forward, s->size - least.later, s->size - least.later + 1) < most) {
        beyond += energy(forward, s->size - least.later, s->size - least.later + 1);
        least.later--;
    }
    least.earlier = (int)fmin(least.earlier + SOME_MORE, spans.earlier);
    least.later = (int)fmin(least.later + SOME_MORE, spans.later);
    return least;
}

/* Whether the infinite equaliser may stand for the finite one: if so `backward` is filled, if not
 * `spans` are narrowed to what it needs, where that can be told. */
static enum fit fit_taps(const struct spectrum *s, struct vsb_equaliser_spans *spans,
                         struct cepstrum *c, double *backward)
{
    if (!find_cepstrum(s, c)) {
        return TRANSFORM_TOO_SHORT;
    }
    find_phase(c, s->size);
    find_taps(s, c);
    double least_error = exp(-s->log_mean), added = truncation(s, *spans, c->re, c->im);
    double infinite = 1.0 / least_error - 1.0, finite = 1.0 / (least_error + added) - 1.0;
    if (!(finite * ratio_from_db(VSB_IDEAL_ERROR_DB) > infinite)) {
        if (energy(c->re, spans->feedback + 1, s->size) <= SHORT_SHARE * least_error) {
            *spans = filled(s, *spans, c->im);
        }
        return TAPS_EXCEED;
    }
    double unbias = exp(s->log_mean) / expm1(s->log_mean);
    for (int j = 0; j < spans->feedback; j++) {
        backward[j] = unbias * c->re[j + 1];
    }
    return TAPS_FIT;
}

static int longest(struct vsb_equaliser_spans spans)
{
    int most = spans.earlier > spans.later ? spans.earlier : spans.later;
    return most > spans.feedback ? most : spans.feedback;
}

/* What the spectrum alone tells. */
static void fill_means(const struct spectrum *s, struct vsb_ideal *ideal)
{
    ideal->infinite_snr = expm1(s->log_mean);
    ideal->linear_snr = 1.0 / s->inverse_mean - 1.0;
}

static void fill_infinite(const struct spectrum *s, struct vsb_ideal *ideal)
{
    double gamma = exp(s->log_mean), unbias = gamma / expm1(s->log_mean);
    fill_means(s, ideal);
    ideal->snr = ideal->infinite_snr;
    ideal->feedback_energy = unbias * unbias * fmax(s->mean / gamma - 1.0, 0.0);
}

static double spread_symbols(const struct echo *echoes, int count)
{
    double low = 0.0, high = 0.0;
    for (int i = 0; i < count; i++) {
        low = fmin(low, echoes[i].delay_us);
        high = fmax(high, echoes[i].delay_us);
    }
    return (high - low) / vsb_symbol_us();
}

/* The whole answer where the infinite equaliser may stand for the finite one; else ideal->spectral
 * is false, `spans` are those that the finite one needs, and the rest is filled where a transform
 * was long enough, NAN where none was. */
static enum status try_spectral(const struct echo *echoes, int count, double noise,
                                struct vsb_equaliser_spans *spans, struct vsb_room *room,
                                struct vsb_ideal *ideal)
{
    int size = SIZE_LEAST;
    while (size < 2 * longest(*spans)) {
        size *= 2;
    }
    enum status status = STATUS_OK;
    enum fit fit = TRANSFORM_TOO_SHORT;
    for (int i = 0; i < SIZES && fit == TRANSFORM_TOO_SHORT && status == STATUS_OK;
         i++, size *= 2) {
        if (spread_symbols(echoes, count) > size / 4.0) {
            continue;
        }
        struct spectrum spectrum;
        struct cepstrum cepstrum;
        status = spectrum_make(echoes, count, noise, size, room, &spectrum);
        if (status == STATUS_OK) {
            status = cepstrum_make(size, room, &cepstrum);
        }
        if (status == STATUS_OK) {
            fit = fit_taps(&spectrum, spans, &cepstrum, ideal->backward);
        }
        if (fit != TRANSFORM_TOO_SHORT) {
            fill_infinite(&spectrum, ideal);
        }
    }
    ideal->spectral = fit == TAPS_FIT;
    return status;
}

/* The gain repeats its ripple once for each 1 / delay; means over equally spaced points of a whole
 * period converge exponentially once each ripple has enough of them. */
static enum status find_means(const struct echo *echoes, int count, double noise,
                              struct vsb_room *room, struct vsb_ideal *ideal)
{
    double ripples = spread_symbols(echoes, count) / 2.0;
    double size = fmin(MEANS_SIZE_MOST, MEANS_SIZE_LEAST + POINTS_PER_RIPPLE * ripples);
    struct spectrum spectrum;
    enum status status = spectrum_make(echoes, count, noise, (int)size / 2 * 2, room, &spectrum);
    if (status == STATUS_OK) {
        fill_means(&spectrum, ideal);
    }
    return status;
}

/* The channel but for the ends of its pulses, which drown in the noise. */
static struct vsb_channel above_noise(const struct vsb_channel *channel, double noise)
{
    struct vsb_channel part = *channel;
    double most = NEGLIGIBLE_SHARE * noise, left = 0.0;
    while (part.count > 1 && left + part.taps[0] * part.taps[0] < most) {
        left += part.taps[0] * part.taps[0];
        part.taps++;
        part.first++;
        part.count--;
    }
    left = 0.0;
    while (part.count > 1 && left + part.taps[part.count - 1] * part.taps[part.count - 1] < most) {
        left += part.taps[part.count - 1] * part.taps[part.count - 1];
        part.count--;
    }
    return part;
}

/* The finite equaliser's part of `ideal`. */
static enum status solve_finite(const struct echo *echoes, int count, double noise,
                                struct vsb_equaliser_spans spans, struct vsb_ideal *ideal)
{
    struct vsb_channel channel;
    struct vsb_equaliser equaliser;
    enum status status = vsb_channel_make(echoes, count, &channel);
    if (status == STATUS_OK) {
        struct vsb_channel part = above_noise(&channel, noise);
        status = vsb_equaliser_design(&part, noise, spans, NULL, &equaliser);
        vsb_channel_free(&channel);
    }
    if (status == STATUS_OK) {
        ideal->snr = equaliser.snr;
        ideal->feedback_energy = 0.0;
        for (int j = 0; j < spans.feedback; j++) {
            ideal->backward[j] = equaliser.backward[j];
            ideal->feedback_energy += equaliser.backward[j] * equaliser.backward[j];
        }
        vsb_equaliser_free(&equaliser);
    }
    return status;
}

enum status vsb_ideal_solve_briefly(const struct echo *echoes, int count, double noise,
                                    struct vsb_equaliser_spans spans, struct vsb_room *room,
                                    struct vsb_ideal *ideal)
{
    *ideal = (struct vsb_ideal){.infinite_snr = NAN, .linear_snr = NAN};
    enum status status = echoes_check(echoes, count, NULL);
    if (status != STATUS_OK) {
        return status;
    }
    ideal->backward =
        vsb_room_array(room, ROOM_FEEDBACK, ((size_t)spans.feedback + 1) * sizeof *ideal->backward);
    status = ideal->backward != NULL ? try_spectral(echoes, count, noise, &spans, room, ideal)
                                     : STATUS_NO_MEMORY;
    return status == STATUS_OK && !ideal->spectral
               ? solve_finite(echoes, count, noise, spans, ideal)
               : status;
}

enum status vsb_ideal_solve(const struct echo *echoes, int count, double noise,
                            struct vsb_equaliser_spans spans, struct vsb_room *room,
                            struct vsb_ideal *ideal)
{
    enum status status = vsb_ideal_solve_briefly(echoes, count, noise, spans, room, ideal);
    return status == STATUS_OK && isnan(ideal->infinite_snr)
               ? find_means(echoes, count, noise, room, ideal)
               : status;
}
