/* Idea. The best equaliser of given spans is designed (equaliser.h) for the channel but for the
 * ends of its pulses, which drown in the noise: what is left out is NEGLIGIBLE_ENDS of the noise at
 * either end, and costs or saves a thousandth of a dB. Echoes beyond the spans are noise as well, a
 * hundredth of them at the very least: no sample holds what they repeat but as such an echo.
 *
 * What endless ones would leave follows from means over frequency. With Phi(f) = 1 + |H(f)|^2 /
 * noise over the folded spectrum, write Phi = gamma |G|^2, where G is monic and of minimum phase.
 * The decision-feedback equaliser of infinite length then feeds back G - 1, and its error is white,
 * of power 1 / gamma (Cioffi et al., "MMSE decision-feedback equalizers and coding, part I", IEEE
 * Trans. Commun. 43, 1995): SNR gamma - 1 without bias, and the unbiased taps are gamma / (gamma -
 * 1) as large. The cepstrum c[n] of Phi, the Fourier series of its logarithm, gives gamma =
 * exp(c[0]) (Oppenheim and Schafer, Discrete-Time Signal Processing): the mean of the logarithm.
 * The linear one's error is the mean of 1 / Phi.
 *
 * Validity: that of equaliser.h. Worked number: h = (1, 0.5), noise 0.1: Phi = 13.5 + 10 cos w,
 * gamma = (13.5 + sqrt(13.5^2 - 10^2)) / 2 = 11.285, SNR 10.12 dB, G = (1, 5 / 11.285), unbiased
 * feedback tap 5 / 10.285 = 0.486. */
#include "physics/vsb/ideal.h"

#include <math.h>
#include <stdbool.h>

#include "base/units.h"
#include "standard/vsb/signal.h"

#define NEGLIGIBLE_ENDS 3e-6
#define LEFT_OUTSIDE 0.01 /* of echoes beyond the spans, as noise */
#define SURE 1e-7 /* of the SNR, of taps that doubt: feedback's are certain to a hundredth */
#define MEANS_SIZE_LEAST 8192
#define MEANS_SIZE_MOST 1048576
#define POINTS_PER_RIPPLE 256

/* What no equaliser of these spans takes out. */
static double left_outside(const struct echo *echoes, int count, struct vsb_equaliser_spans spans)
{
    double power = 0.0;
    for (int i = 0; i < count; i++) {
        double delay = echoes[i].delay_us / vsb_symbol_us();
        bool outside = delay > spans.feedback + 1.0 || delay < -spans.later - 1.0;
        power += outside ? LEFT_OUTSIDE * ratio_from_db(echoes[i].level_db) : 0.0;
    }
    return power;
}

static enum status keep_lean(const struct vsb_equaliser *trusting,
                             const struct vsb_equaliser *doubting, struct vsb_room *room,
                             struct vsb_lean *lean)
{
    int forward = trusting->spans.earlier + trusting->spans.later + 1;
    int feedback = trusting->spans.feedback;
    double *taps =
        vsb_room_array(room, ROOM_LEAN, ((size_t)forward + (size_t)feedback + 1) * sizeof *taps);
    if (taps == NULL) {
        return STATUS_NO_MEMORY;
    }
    for (int i = 0; i < forward; i++) {
        taps[i] = doubting->forward[i] - trusting->forward[i];
    }
    for (int j = 0; j < feedback; j++) {
        taps[forward + j] = doubting->backward[j] - trusting->backward[j];
    }
    *lean = (struct vsb_lean){taps, taps + forward};
    return STATUS_OK;
}

/* Designs the taps. */
static enum status design(const struct vsb_channel *channel, double noise,
                          struct vsb_equaliser_spans spans, vsb_doubts_at *doubts_at,
                          double least_snr, struct vsb_room *room, struct vsb_ideal *ideal)
{
    struct vsb_equaliser trusting, doubting = {.forward = NULL};
    enum status status = doubts_at != NULL
                             ? vsb_equaliser_design_doubting(channel, noise, spans, doubts_at, SURE,
                                                             least_snr, &trusting, &doubting)
                             : vsb_equaliser_design(channel, noise, spans, &trusting);
    if (status != STATUS_OK) {
        return status;
    }
    bool doubts = doubting.forward != NULL;
    const struct vsb_equaliser *taken = doubts ? &doubting : &trusting;
    ideal->snr = trusting.snr;
    ideal->taken_snr = taken->trusting_snr;
    for (int j = 0; j < spans.feedback; j++) {
        ideal->backward[j] = taken->backward[j];
        ideal->feedback_energy += trusting.backward[j] * trusting.backward[j];
    }
    if (doubts) {
        status = keep_lean(&trusting, &doubting, room, &ideal->lean);
    }
    vsb_equaliser_free(&trusting);
    vsb_equaliser_free(&doubting);
    return status;
}

enum status vsb_ideal_solve_briefly(const struct echo *echoes, int count, double noise,
                                    struct vsb_equaliser_spans spans, vsb_doubts_at *doubts_at,
                                    double least_snr, struct vsb_room *room,
                                    struct vsb_ideal *ideal)
{
    *ideal = (struct vsb_ideal){.infinite_snr = NAN, .linear_snr = NAN};
    ideal->backward =
        vsb_room_array(room, ROOM_FEEDBACK, ((size_t)spans.feedback + 1) * sizeof *ideal->backward);
    if (ideal->backward == NULL) {
        return STATUS_NO_MEMORY;
    }
    struct vsb_channel channel;
    double least = NEGLIGIBLE_ENDS * fmin(noise + left_outside(echoes, count, spans), 1.0);
    enum status status = vsb_channel_make_above(echoes, count, least, &channel);
    if (status == STATUS_OK) {
        status = design(&channel, noise, spans, doubts_at, least_snr, room, ideal);
        vsb_channel_free(&channel);
    }
    return status;
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

/* Phi at `half` + 1 points over half the circle, all there is of a real channel, and its means; the
 * ends count half. */
static void take_means(const double *re, const double *im, int half, double noise,
                       struct vsb_ideal *ideal)
{
    double log_sum = 0.0, inverse_sum = 0.0, product = 1.0;
    for (int i = 0; i <= half; i++) {
        double phi = 1.0 + (re[i] * re[i] + im[i] * im[i]) / noise;
        bool end = i == 0 || i == half;
        product *= end ? sqrt(phi) : phi;
        inverse_sum += (end ? 0.5 : 1.0) / phi;
        if (i % 8 == 0 || i == half) { /* a logarithm for every eighth point */
            log_sum += log(product);
            product = 1.0;
        }
    }
    ideal->infinite_snr = expm1(log_sum / half);
    ideal->linear_snr = half / inverse_sum - 1.0;
}

/* The gain repeats its ripple once for each 1 / delay; means over equally spaced points of a whole
 * period converge exponentially once each ripple has enough of them. */
static enum status find_means(const struct echo *echoes, int count, double noise,
                              struct vsb_room *room, struct vsb_ideal *ideal)
{
    double ripples = spread_symbols(echoes, count) / 2.0;
    int half = (int)fmin(MEANS_SIZE_MOST, MEANS_SIZE_LEAST + POINTS_PER_RIPPLE * ripples) / 2;
    double *re = vsb_room_array(room, ROOM_SPECTRUM, 2 * ((size_t)half + 1) * sizeof *re);
    if (re == NULL) {
        return STATUS_NO_MEMORY;
    }
    double *im = re + half + 1;
    vsb_channel_spectrum(echoes, count, half, re, im);
    take_means(re, im, half, noise, ideal);
    return STATUS_OK;
}

enum status vsb_ideal_solve(const struct echo *echoes, int count, double noise,
                            struct vsb_equaliser_spans spans, vsb_doubts_at *doubts_at,
                            double least_snr, struct vsb_room *room, struct vsb_ideal *ideal)
{
    enum status status =
        vsb_ideal_solve_briefly(echoes, count, noise, spans, doubts_at, least_snr, room, ideal);
    return status == STATUS_OK ? find_means(echoes, count, noise, room, ideal) : status;
}
