#include "support/near.h"
#include "support/signals.h"

#include <math.h>
#include <stdlib.h>

#include <lapacke.h>

#include "base/units.h"
#include "physics/vsb/adaptation.h"
#include "physics/vsb/echo.h"
#include "standard/vsb/signal.h"

static struct vsb_adaptation solve(const struct echo *echoes, int count, double noise,
                                   struct vsb_equaliser_spans spans, double step)
{
    struct vsb_adaptation adaptation;
    assert_int_equal(vsb_adaptation_solve(echoes, count, noise, spans, NULL, step, &adaptation),
                     STATUS_OK);
    return adaptation;
}

static void the_noise_of_adaptation_is_the_textbook_s(void **state)
{
    (void)state;
    struct vsb_equaliser_spans spans = {20, 30, 40};
    struct vsb_adaptation a = solve(NULL, 0, 0.01, spans, 0.2);
    assert_near(a.mu, 0.2 / (51 * 1.01 + 40), 1e-12, "step over mean square norm");
    assert_near(a.time_constant_us, vsb_symbol_us() / a.mu, 1e-9, "1 / mu symbols");
    assert_near(a.least_error, 1.0 / 101.0, 1e-9, "20 dB");
    assert_near(a.noise_error_at_rest, a.least_error * 0.1 / 0.9, 1e-12,
                "Haykin: misadjustment step / (2 - step)");
    assert_near(a.lag_error, 0.0, 0.0, "nothing moves");
    assert_near(db_from_ratio(vsb_adaptation_snr(a.least_error, a.noise_error)), 19.54, 0.005,
                "worked number");
    assert_near(vsb_adaptation_snr(1.0 / 101.0, 0.0), 100.0, 1e-9, "nothing added");
}

static void lag_grows_with_the_square_of_doppler_and_falls_with_the_square_of_step(void **state)
{
    (void)state;
    struct vsb_equaliser_spans spans = {20, 30, 60};
    struct echo echo = {3.0, -10.0, 20.0, 0.02};
    double slow = solve(&echo, 1, 0.1, spans, 0.1).lag_error;
    echo.doppler_hz *= 3.0;
    double faster = solve(&echo, 1, 0.1, spans, 0.1).lag_error;
    double bolder = solve(&echo, 1, 0.1, spans, 0.3).lag_error;
    assert_near(faster / slow, 9.0, 0.05, "(omega / mu)^2 where the lag is small");
    assert_near(faster / bolder, 9.0, 0.05, "(omega / mu)^2 where the lag is small");
}

/* A feedback tap alone, an echo it must follow, nothing else: the scalar case has a closed form. */
static void one_tap_lags_as_the_closed_form_says(void **state)
{
    (void)state;
    const int delay = 30;
    struct echo echo = {delay * vsb_symbol_us(), -20.0, 0.0, 100.0};
    struct vsb_equaliser_spans spans = {0, 0, 60};
    double noise = 0.2;
    struct vsb_adaptation a = solve(&echo, 1, noise, spans, 0.5);
    double s = 2.0 * PI * 100.0 / vsb_symbol_rate_hz() / a.mu;
    /* Weak echo: forward tap still, feedback taps turn with amplitude 0.1 times the forward tap's
     * gain; their inputs have power 1. p and q carry 1 and 0.94 of the power. */
    double gain = 1.0 / (1.0 + noise);
    double expected = gain * gain * 0.01 * 0.971 * s * s / (1.0 + s * s);
    assert_near(a.lag_error, expected, 0.04 * expected, "first-order tracking of a turning tap");
}

/* The same quantity by the eigenvalues of R, dense. */
static double dense_lag(const struct vsb_channel *channel, double noise,
                        struct vsb_equaliser_spans spans, const double *velocity, double s,
                        double mu)
{
    int forward = spans.earlier + spans.later + 1, n = forward + spans.feedback;
    double *r = calloc((size_t)n * (size_t)n, sizeof *r);
    double *values = calloc((size_t)n, sizeof *values);
    assert_true(r != NULL && values != NULL);
    for (int i = 0; i < forward; i++) {
        for (int j = 0; j < forward; j++) {
            double sum = i == j ? noise : 0.0;
            for (int k = channel->first; k < channel->first + channel->count; k++) {
                sum += vsb_channel_tap(channel, k) * vsb_channel_tap(channel, k + j - i);
            }
            r[i * n + j] = sum;
        }
        for (int j = 0; j < spans.feedback; j++) {
            r[i * n + forward + j] = r[(forward + j) * n + i] =
                -vsb_channel_tap(channel, i - spans.earlier + 1 + j);
        }
    }
    for (int j = forward; j < n; j++) {
        r[j * n + j] = 1.0;
    }
    assert_int_equal(LAPACKE_dsyev(LAPACK_COL_MAJOR, 'V', 'U', n, r, n, values), 0);
    double lag = 0.0;
    for (int i = 0; i < n; i++) {
        double part = 0.0;
        for (int t = 0; t < n; t++) {
            part += r[i * n + t] * velocity[t];
        }
        lag += part * part * values[i] / (values[i] * values[i] + s * s) / (mu * mu);
    }
    free(r);
    free(values);
    return lag;
}

static void continued_fractions_agree_with_lapack_s_eigenvalues(void **state)
{
    (void)state;
    struct vsb_equaliser_spans spans = {25, 30, 45};
    int forward = spans.earlier + spans.later + 1, n = forward + spans.feedback;
    const double noise = 0.02, step = 0.1;
    const double dopplers_hz[] = {3.0, 30.0, 300.0};
    for (size_t d = 0; d < 3; d++) {
        struct echo echo = {2.0, -5.0, 33.0, dopplers_hz[d]};
        struct vsb_adaptation a = solve(&echo, 1, noise, spans, step);
        double turn = 2.0 * PI * echo.doppler_hz / vsb_symbol_rate_hz(), lag = 0.0;
        double *velocity = calloc((size_t)n, sizeof *velocity);
        assert_non_null(velocity);
        for (int position = 0; position < 4; position++) {
            for (int side = -1; side <= 1; side += 2) {
                struct echo turned = echo;
                turned.phase_deg += 90.0 * position + 45.0 * side;
                struct vsb_channel channel;
                struct vsb_equaliser best;
                assert_int_equal(vsb_channel_make(&turned, 1, &channel), STATUS_OK);
                assert_int_equal(vsb_equaliser_design(&channel, noise, spans, NULL, &best),
                                 STATUS_OK);
                double weight = side * best.snr / (1.0 + best.snr) * turn / sqrt(2.0);
                for (int i = 0; i < n; i++) {
                    velocity[i] +=
                        weight * (i < forward ? best.forward[i] : best.backward[i - forward]);
                }
                vsb_equaliser_free(&best);
                vsb_channel_free(&channel);
            }
            struct echo turned = echo;
            turned.phase_deg += 90.0 * position;
            struct vsb_channel channel;
            assert_int_equal(vsb_channel_make(&turned, 1, &channel), STATUS_OK);
            lag += dense_lag(&channel, noise, spans, velocity, turn / a.mu, a.mu) / 4.0;
            vsb_channel_free(&channel);
            for (int i = 0; i < n; i++) {
                velocity[i] = 0.0;
            }
        }
        free(velocity);
        assert_near(a.lag_error, lag, 0.03 * lag, "LAPACK dsyev");
    }
}

static void an_echo_s_lag_stands_on_its_own_line(void **state)
{
    (void)state;
    struct first_receiver receiver = {.threshold_db = 14.9,
                                      .equaliser_before_us = 20.0,
                                      .equaliser_after_us = 20.0,
                                      .tracking_hz = 100.0,
                                      .adaptation_step = 0.1};
    struct echo echo = {5.0, -10.0, 0.0, 0.0};
    struct vsb_echo_result still, moving;
    assert_int_equal(vsb_solve_echoes(&echo, 1, 20.0, &receiver, &still), STATUS_OK);
    assert_near(still.adaptation_loss_db, 0.22, 0.02, "0.1 / 1.9 more error");
    assert_near(still.lag_loss_db, 0.0, 0.0, "at rest");
    echo.doppler_hz = 20.0;
    assert_int_equal(vsb_solve_echoes(&echo, 1, 20.0, &receiver, &moving), STATUS_OK);
    assert_near(moving.adaptation_loss_db, still.adaptation_loss_db, 1e-9, "the same noise");
    assert_between(moving.lag_loss_db, 0.05, 2.0, "20 Hz costs something");
    assert_near(moving.output_snr_db, still.output_snr_db - moving.lag_loss_db, 1e-9, "the sum");
}

static void steps_out_of_range_are_refused(void **state)
{
    (void)state;
    struct vsb_equaliser_spans spans = {1, 1, 1};
    struct vsb_adaptation a;
    const double bad[] = {0.0, -0.1, 1.1, NAN};
    for (size_t i = 0; i < 4; i++) {
        assert_int_equal(vsb_adaptation_solve(NULL, 0, 0.1, spans, NULL, bad[i], &a),
                         STATUS_OUT_OF_RANGE);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_noise_of_adaptation_is_the_textbook_s),
        cmocka_unit_test(lag_grows_with_the_square_of_doppler_and_falls_with_the_square_of_step),
        cmocka_unit_test(one_tap_lags_as_the_closed_form_says),
        cmocka_unit_test(continued_fractions_agree_with_lapack_s_eigenvalues),
        cmocka_unit_test(an_echo_s_lag_stands_on_its_own_line),
        cmocka_unit_test(steps_out_of_range_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
