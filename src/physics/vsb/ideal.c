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
 * that quarter is not negligible, a longer transform is tried, and in the end the finite equaliser
 * is solved.
 *
 * Validity: the spectral answer errs by VSB_IDEAL_ERROR_DB at most; single precision in the taps
 * sends SNRs above some 70 dB to the finite solution. Worked number: h = (1, 0.5), noise 0.1: Phi =
 * 13.5 + 10 cos w, gamma = (13.5 + sqrt(13.5^2 - 10^2)) / 2 = 11.285, SNR 10.12 dB, G = (1, 5 /
 * 11.285), unbiased feedback tap 5 / 10.285 = 0.486. */
#include "physics/vsb/ideal.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "standard/vsb/signal.h"

#define SIZE_LEAST 1024
#define SIZES 3                  /* that one, twice, four times as many */
#define NEGLIGIBLE_CEPSTRUM 1e-4 /* in the logarithm of power, root sum of squares */
#define MEANS_SIZE_LEAST 8192    /* of means without taps */
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

/* Leaves the phase of G, the imaginary part of its logarithm, in `im`; the real part is half the
 * logarithm of Phi. False where the cepstrum is too long for the transform. */
static bool find_phase(const struct spectrum *s, struct fourier *fourier, float *re, float *im)
{
    int size = s->size, half = size / 2;
    for (int i = 0; i <= half; i++) {
        re[i] = (float)(log(s->phi[i]) - s->log_mean);
        re[(size - i) % size] = re[i];
    }
    for (int i = 0; i < size; i++) {
        im[i] = 0.0F;
    }
    fourier_forward(fourier, re, im); /* an even spectrum: forward is backward */
    double late = 0.0;
    for (int n = 0; n < size; n++) {
        re[n] = n == 0 || n > half ? 0.0F : re[n] / (float)size;
        im[n] = 0.0F;
        late += n >= size / 4 ? (double)re[n] * re[n] : 0.0;
    }
    re[half] *= 0.5F;
    fourier_forward(fourier, re, im);
    return sqrt(late) < NEGLIGIBLE_CEPSTRUM;
}

/* Turns the phase of G in `im` into the taps of G in `re` and those of F in `im`. Both are real, so
 * one transform of G + j F gives both. */
static void find_taps(const struct spectrum *s, struct fourier *fourier, float *re, float *im)
{
    int size = s->size, half = size / 2;
    double scale = 1.0 / size, inverse_gamma = exp(-s->log_mean);
    for (int i = 0; i <= half; i++) {
        double phase = im[i], magnitude = scale * sqrt(s->phi[i] * inverse_gamma);
        double gr = magnitude * cos(phase), gi = magnitude * sin(phase);
        double weight = 1.0 / (s->noise * s->phi[i]); /* F = H* G / (noise Phi) */
        double fr = weight * (s->re[i] * gr + s->im[i] * gi);
        double fi = weight * (s->re[i] * gi - s->im[i] * gr);
        int mirrored = (size - i) % size;
        re[mirrored] = (float)(gr + fi);
        im[mirrored] = (float)(fr - gi);
        re[i] = (float)(gr - fi);
        im[i] = (float)(gi + fr);
    }
    fourier_backward(fourier, re, im);
}

static double energy(const float *taps, int from, int to)
{
    double sum = 0.0;
    for (int i = from; i < to; i++) {
        sum += (double)taps[i] * taps[i];
    }
    return sum;
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

/* Where the infinite equaliser may stand for the finite one (TAPS_FIT) or nearly so, `re` is left
 * with the taps of G and `im` with those of F. */
static enum fit fit_taps(const struct spectrum *s, struct vsb_equaliser_spans spans,
                         struct fourier *fourier, bool anyway, float *re, float *im)
{
    bool long_enough = find_phase(s, fourier, re, im);
    if (!long_enough && !anyway) {
        return TRANSFORM_TOO_SHORT;
    }
    find_taps(s, fourier, re, im);
    if (!long_enough) {
        return TAPS_EXCEED;
    }
    double least_error = exp(-s->log_mean), added = truncation(s, spans, re, im);
    double infinite = 1.0 / least_error - 1.0, finite = 1.0 / (least_error + added) - 1.0;
    return finite * ratio_from_db(VSB_IDEAL_ERROR_DB) > infinite ? TAPS_FIT : TAPS_EXCEED;
}

/* Unless the transform is too short, `backward` is filled. */
static enum status find_fit(const struct spectrum *s, struct vsb_equaliser_spans spans, bool anyway,
                            struct vsb_room *room, enum fit *fit, double *backward)
{
    struct fourier *fourier = vsb_room_fourier(room, s->size);
    float *re = vsb_room_array(room, ROOM_CEPSTRUM, 2 * (size_t)s->size * sizeof *re);
    if (fourier == NULL || re == NULL) {
        return STATUS_NO_MEMORY;
    }
    *fit = fit_taps(s, spans, fourier, anyway, re, re + s->size);
    double gamma = exp(s->log_mean), unbias = gamma / expm1(s->log_mean);
    for (int j = 0; j < spans.feedback && *fit != TRANSFORM_TOO_SHORT; j++) {
        backward[j] = unbias * re[j + 1];
    }
    return STATUS_OK;
}

static int longest(struct vsb_equaliser_spans spans)
{
    int most = spans.earlier > spans.later ? spans.earlier : spans.later;
    return most > spans.feedback ? most : spans.feedback;
}

/* What the spectrum alone tells. */
static void fill_infinite(const struct spectrum *s, struct vsb_ideal *ideal)
{
    double gamma = exp(s->log_mean), unbias = gamma / expm1(s->log_mean);
    ideal->snr = ideal->infinite_snr = expm1(s->log_mean);
    ideal->linear_snr = 1.0 / s->inverse_mean - 1.0;
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

/* The whole answer where the infinite equaliser may stand for the finite one; else only
 * ideal->spectral, false. */
static enum status try_spectral(const struct echo *echoes, int count, double noise,
                                struct vsb_equaliser_spans spans, bool anyway,
                                struct vsb_room *room, struct vsb_ideal *ideal)
{
    int size = SIZE_LEAST;
    while (size < 2 * longest(spans)) {
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
        status = spectrum_make(echoes, count, noise, size, room, &spectrum);
        if (status == STATUS_OK) {
            fill_infinite(&spectrum, ideal);
            status =
                find_fit(&spectrum, spans, anyway && i == SIZES - 1, room, &fit, ideal->backward);
        }
    }
    ideal->spectral = status == STATUS_OK && fit == TAPS_FIT;
    ideal->cut = status == STATUS_OK && fit == TAPS_EXCEED;
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
        fill_infinite(&spectrum, ideal);
    }
    return status;
}

/* The finite equaliser's part of `ideal`. */
static enum status solve_finite(const struct echo *echoes, int count, double noise,
                                struct vsb_equaliser_spans spans, struct vsb_ideal *ideal)
{
    struct vsb_channel channel;
    struct vsb_equaliser equaliser;
    enum status status = vsb_channel_make(echoes, count, &channel);
    if (status == STATUS_OK) {
        status = vsb_equaliser_design(&channel, noise, spans, NULL, &equaliser);
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

static enum status solve_without_spectrum(const struct echo *echoes, int count, double noise,
                                          struct vsb_equaliser_spans spans, struct vsb_room *room,
                                          struct vsb_ideal *ideal)
{
    ideal->cut = false;
    enum status status = find_means(echoes, count, noise, room, ideal);
    return status == STATUS_OK ? solve_finite(echoes, count, noise, spans, ideal) : status;
}

/* With `anyway` the longest transform is taken even where it is too short. */
static enum status solve(const struct echo *echoes, int count, double noise,
                         struct vsb_equaliser_spans spans, bool anyway, struct vsb_room *room,
                         struct vsb_ideal *ideal)
{
    *ideal = (struct vsb_ideal){.infinite_snr = NAN, .linear_snr = NAN};
    enum status status = echoes_check(echoes, count, NULL);
    if (status == STATUS_OK) {
        ideal->backward = vsb_room_array(room, ROOM_FEEDBACK,
                                         ((size_t)spans.feedback + 1) * sizeof *ideal->backward);
        status = ideal->backward != NULL
                     ? try_spectral(echoes, count, noise, spans, anyway, room, ideal)
                     : STATUS_NO_MEMORY;
    }
    bool known = ideal->spectral || (ideal->cut && anyway);
    return status == STATUS_OK && !known
               ? solve_without_spectrum(echoes, count, noise, spans, room, ideal)
               : status;
}

enum status vsb_ideal_solve(const struct echo *echoes, int count, double noise,
                            struct vsb_equaliser_spans spans, struct vsb_room *room,
                            struct vsb_ideal *ideal)
{
    return solve(echoes, count, noise, spans, false, room, ideal);
}

enum status vsb_ideal_estimate(const struct echo *echoes, int count, double noise,
                               struct vsb_equaliser_spans spans, struct vsb_room *room,
                               struct vsb_ideal *ideal)
{
    return solve(echoes, count, noise, spans, true, room, ideal);
}
