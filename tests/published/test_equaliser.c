#include "support/near.h"
#include "support/signals.h"

#include <lapacke.h>
#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/vsb/echo.h"
#include "standard/vsb/signal.h"

/* The 8-VSB equaliser against published formulas (Cioffi, Dudevoir, Eyuboglu and Forney, IEEE
 * Trans. Commun. 43, 1995; Salz, Bell Syst. Tech. J. 52, 1973), a published receiver, and LAPACK.
 */

static const struct first_receiver indoor_receiver = {.threshold_db = 14.9,
                                                      .equaliser_before_us = 29.5,
                                                      .equaliser_after_us = 38.5,
                                                      .tracking_hz = 10.0,
                                                      .feedback = FEEDBACK_ERROR_FREE};

static struct vsb_echo_result solve(const struct echo *echoes, int count, double snr_db,
                                    const struct first_receiver *receiver)
{
    struct vsb_echo_result result;
    assert_int_equal(vsb_solve_echoes(echoes, count, snr_db, receiver, &result), STATUS_OK);
    return result;
}

static double single(double delay_us, double level_db, double phase_deg, double snr_db)
{
    struct echo echo = {delay_us, level_db, phase_deg, 0.0};
    return solve(&echo, 1, snr_db, &indoor_receiver).output_snr_db;
}

static void no_echo_gives_the_input_snr(void **state)
{
    (void)state;
    assumes("decisions without error");
    for (double snr_db = -10.0; snr_db <= 60.0; snr_db += 7.0) {
        struct vsb_echo_result result = solve(NULL, 0, snr_db, &indoor_receiver);
        assert_near(result.output_snr_db, snr_db, 0.01, "no echo: the input SNR");
        assert_near(result.infinite_snr_db, snr_db, 0.01, "flat channel");
        assert_near(result.linear_snr_db, snr_db, 0.01, "flat channel");
    }
}

/* One echo of amplitude a on a whole symbol: the means over frequency have closed forms (Poisson's
 * and Jensen's integrals): with A = 1 + S (1 + a^2), B = 2 S a, S = (1 + p) SNR / (1 + a^2 +
 * p (1 + a)^2), p = 0.0744 being the pilot, on which both rays add: exp(mean ln(A + B cos)) = (A +
 * sqrt(A^2 - B^2)) / 2, mean 1/(A + B cos) = 1 / sqrt(A^2 - B^2). */
static void one_echo_gives_the_closed_forms(void **state)
{
    (void)state;
    assumes("an equaliser without end, decisions without error; the pilot counts as signal");
    const double levels_db[] = {0.0, -1.0, -3.0, -10.0, -20.0};
    for (size_t i = 0; i < 5; i++) {
        for (int symbols = 1; symbols <= 400; symbols += 133) {
            for (double snr_db = 15.0; snr_db <= 45.0; snr_db += 10.0) {
                double a = pow(10.0, levels_db[i] / 20.0);
                double pilot = 1.25 * 1.25 / 21.0, pilot_db = db_from_ratio(1.0 + pilot);
                double total = 1.0 + a * a + pilot * (1.0 + a) * (1.0 + a);
                double ray_snr = pow(10.0, snr_db / 10.0) / total;
                double large = 1.0 + ray_snr * (1.0 + a * a), small = 2.0 * ray_snr * a;
                double root = sqrt(large * large - small * small);
                struct echo echo = {symbols * vsb_symbol_us(), levels_db[i], 0.0, 0.0};
                struct vsb_echo_result result = solve(&echo, 1, snr_db, &indoor_receiver);
                assert_near(result.infinite_snr_db,
                            db_from_ratio((large + root) / 2.0 - 1.0) + pilot_db, 0.005,
                            "Cioffi et al. 1995, Jensen's formula");
                assert_near(result.linear_snr_db, db_from_ratio(root - 1.0) + pilot_db, 0.005,
                            "Salz 1973, Poisson's formula");
            }
        }
    }
}

static void long_spans_approach_the_infinite_equaliser(void **state)
{
    (void)state;
    assumes("190 us before and after the main ray, decisions without error");
    struct first_receiver patient = indoor_receiver;
    patient.equaliser_before_us = 190.0;
    patient.equaliser_after_us = 190.0;
    const struct echo sets[][3] = {
        {{1.0, 0.0, 0.0, 0.0}, {2.0, 0.0, 0.0, 0.0}, {0.3, -80.0, 0.0, 0.0}},
        {{5.03, -1.0, 90.0, 0.0}, {-3.3, -6.0, 20.0, 0.0}, {0.07, -3.0, 250.0, 0.0}},
        {{-8.0, 0.0, 45.0, 0.0}, {8.0, -4.0, 200.0, 0.0}, {1.7, -12.0, 10.0, 0.0}},
        {{0.05, -0.5, 180.0, 0.0}, {0.11, -5.0, 30.0, 0.0}, {12.0, 0.0, 300.0, 0.0}},
    };
    for (size_t i = 0; i < 4; i++) {
        struct vsb_echo_result result = solve(sets[i], 3, 20.0, &patient);
        assert_near(result.static_snr_db, result.infinite_snr_db, 0.05,
                    "the infinite equaliser, Cioffi et al. 1995");
        assert_true(result.static_snr_db <= result.infinite_snr_db + 1e-3);
    }
}

static void three_equal_rays_at_20_db_leave_16_db(void **state)
{
    (void)state;
    assumes("decisions without error; 20 dB are those of the data, without the pilot");
    const struct echo echoes[] = {{1.0, 0.0, 0.0, 0.0}, {2.0, 0.0, 0.0, 0.0}};
    /* 20 dB of the data, whose power is threefold; that of the pilot is ninefold. */
    double share = 1.25 * 1.25 / 21.0,
           snr_db = 20.0 + db_from_ratio((3.0 + 9.0 * share) / (3.0 + 3.0 * share));
    struct vsb_echo_result result = solve(echoes, 2, snr_db, &indoor_receiver);
    assert_near(result.output_snr_db, 16.0, 0.1, "three equal rays at 20 dB leave 16 dB");
    assert_near(result.infinite_snr_db, 16.0, 0.1, "the same, infinite equaliser");
}

/* "An 8-VSB DTV receiver for indoor and distributed transmission environments" (IEEE, abstract):
 * a single -10 dB echo from -29.5 to +38.5 us is withstood. */
static void a_published_receiver_withstands_what_its_abstract_says(void **state)
{
    (void)state;
    assumes("a reach of 29.5 and 38.5 us, decisions without error, a threshold of 14.9 dB, 3 dB of "
            "margin");
    for (double delay_us = -29.4; delay_us < 38.5; delay_us += 2.26) {
        for (double phase_deg = 0.0; phase_deg < 360.0; phase_deg += 120.0) {
            double output_db = single(delay_us, -10.0, phase_deg, 14.9 + 3.0);
            /* The echo may weaken the pilot alone, by 0.2 dB of all that is received. */
            assert_between(output_db, 14.9, 17.9 + 0.2, "withstood 3 dB above the threshold");
        }
    }
    assert_between(single(38.0, -10.0, 30.0, 17.9), 17.0, 17.9, "38 us is withstood");
}

static void the_same_receiver_withstands_0_db_within_12_us(void **state)
{
    (void)state;
    assumes("the same receiver at an SNR of 19.5 dB");
    for (double delay_us = -12.0; delay_us <= 12.0; delay_us += 1.5) {
        if (delay_us != 0.0) {
            assert_between(single(delay_us, 0.0, 60.0, 19.5), 14.9, 19.5,
                           "0 dB within 12 us (the same abstract)");
        }
    }
}

static void an_echo_beyond_the_reach_stays_as_interference(void **state)
{
    (void)state;
    assumes("the echo is white noise of its power");
    const double delays_us[] = {-60.0, -35.0, 45.0, 70.0};
    for (size_t i = 0; i < 4; i++) {
        for (double snr_db = 17.9; snr_db < 60.0; snr_db += 20.0) {
            /* The pilot is no interference; rays of phase 0 at the pilot add there. */
            double pilot = 1.25 * 1.25 / 21.0, pilot_db = db_from_ratio(1.0 + pilot);
            double power = 1.1 + pilot * pow(1.0 + sqrt(0.1), 2.0);
            double ray_noise = power / pow(10.0, snr_db / 10.0);
            /* The echo is a white interference of a tenth of the power, but for the last fraction
             * of a dB: half a symbol's delay and the band's edge give the filter a little to work
             * with. */
            assert_near(single(delays_us[i], -10.0, 0.0, snr_db),
                        pilot_db - db_from_ratio(0.1 + ray_noise), 0.35,
                        "all of its power is interference");
        }
    }
    assert_true(single(45.0, -10.0, 30.0, 17.9) < 14.9);
}

/* All of sample and decision covariance, solved whole. */
static double dense_snr(const struct vsb_channel *channel, double noise,
                        struct vsb_equaliser_spans spans)
{
    int forward = spans.earlier + spans.later + 1, n = forward + spans.feedback;
    double *r = calloc((size_t)n * (size_t)n, sizeof *r), *c = calloc((size_t)n, sizeof *c);
    double *w = calloc((size_t)n, sizeof *w);
    assert_true(r != NULL && c != NULL && w != NULL);
    int last = channel->first + channel->count - 1;
    for (int i = 0; i < forward; i++) {
        c[i] = w[i] = vsb_channel_tap(channel, i - spans.earlier);
        for (int j = 0; j < forward; j++) {
            double sum = i == j ? noise : 0.0;
            for (int k = channel->first; k <= last; k++) {
                sum += vsb_channel_tap(channel, k) * vsb_channel_tap(channel, k + j - i);
            }
            r[i * n + j] = sum;
        }
        for (int j = 0; j < spans.feedback; j++) {
            r[i * n + forward + j] = r[(forward + j) * n + i] =
                vsb_channel_tap(channel, i - spans.earlier + j + 1);
        }
    }
    for (int j = forward; j < n; j++) {
        r[j * n + j] = 1.0;
    }
    assert_int_equal(LAPACKE_dposv(LAPACK_ROW_MAJOR, 'U', n, 1, r, n, w, 1), 0);
    double useful = 0.0;
    for (int i = 0; i < n; i++) {
        useful += c[i] * w[i];
    }
    free(r);
    free(c);
    free(w);
    return useful / (1.0 - useful);
}

static void lapack_solves_the_whole_system_alike(void **state)
{
    (void)state;
    assumes("the same covariances: only the solution differs");
    const struct vsb_equaliser_spans spans[] = {{0, 0, 0},    {0, 10, 0},   {5, 0, 12},
                                                {20, 30, 40}, {40, 40, 15}, {0, 60, 60}};
    const struct echo sets[][3] = {
        {{1.0, 0.0, 0.0, 0.0}, {2.0, 0.0, 0.0, 0.0}, {0.3, -10.0, 0.0, 0.0}},
        {{5.03, -1.0, 90.0, 0.0}, {-3.3, -6.0, 20.0, 0.0}, {0.07, -3.0, 250.0, 0.0}},
        {{-4.0, 3.0, 45.0, 0.0}, {4.0, 10.0, 200.0, 0.0}, {1.7, -12.0, 10.0, 0.0}},
    };
    for (size_t s = 0; s < 3; s++) {
        struct vsb_channel channel;
        assert_int_equal(vsb_channel_make(sets[s], 3, &channel), STATUS_OK);
        for (size_t i = 0; i < 6; i++) {
            for (double noise = 1.0; noise > 1e-5; noise /= 30.0) {
                double snr = 0.0;
                assert_int_equal(vsb_equaliser_snr(&channel, noise, spans[i], &snr), STATUS_OK);
                assert_near(db_from_ratio(snr), db_from_ratio(dense_snr(&channel, noise, spans[i])),
                            1e-6, "LAPACK dposv");
            }
        }
        vsb_channel_free(&channel);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_echo_gives_the_input_snr),
        cmocka_unit_test(one_echo_gives_the_closed_forms),
        cmocka_unit_test(long_spans_approach_the_infinite_equaliser),
        cmocka_unit_test(three_equal_rays_at_20_db_leave_16_db),
        cmocka_unit_test(a_published_receiver_withstands_what_its_abstract_says),
        cmocka_unit_test(the_same_receiver_withstands_0_db_within_12_us),
        cmocka_unit_test(an_echo_beyond_the_reach_stays_as_interference),
        cmocka_unit_test(lapack_solves_the_whole_system_alike),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
