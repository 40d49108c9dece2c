#include "support/near.h"
#include "support/signals.h"

#include <math.h>

#include "base/complex.h"
#include "base/random.h"
#include "base/units.h"
#include "physics/information/information.h"
#include "physics/information/required_snr.h"
#include "physics/ofdm/carriers.h"
#include "physics/ofdm/doppler.h"
#include "physics/ofdm/echo.h"
#include "scenario/scenario.h"
#include "standard/atsc3/grid.h"

#define CARRIERS_TEST_MAX 2000

static struct ofdm_echo_result solve(const struct transmission *mode, const struct echo *echoes,
                                     int count, double snr_db)
{
    struct asked input = asked_for(mode, echoes, count, snr_db);
    struct ofdm_echo_result result;
    assert_int_equal(asked_solve(&input, &result), STATUS_OK);
    return result;
}

static void weights_are_those_of_the_source(void **state)
{
    (void)state;
    assumes("a guard interval of 100 us, a useful part of 1000 us");
    const char *source = "EBU Technical Review 295; ITU-R BT.2254";
    assert_near(ofdm_weight(0.0, 100.0, 1000.0), 1.0, 0.0, source);
    assert_near(ofdm_weight(100.0, 100.0, 1000.0), 1.0, 0.0, source);
    assert_near(ofdm_weight(300.0, 100.0, 1000.0), 0.64, 1e-12, source);
    assert_near(ofdm_weight(-200.0, 100.0, 1000.0), 0.64, 1e-12, source);
    assert_near(ofdm_weight(600.0, 100.0, 1000.0), 0.25, 1e-12, source);
    assert_near(ofdm_weight(1100.0, 100.0, 1000.0), 0.0, 0.0, source);
    assert_near(ofdm_weight(-1000.0, 100.0, 1000.0), 0.0, 0.0, source);
    assert_near(ofdm_weight(5000.0, 100.0, 1000.0), 0.0, 0.0, source);
}

static void without_echoes_the_effective_snr_is_the_input(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    for (int c = QPSK; c <= QAM4096; c++) {
        for (mode.plps[0].code.rate_15ths = 2; mode.plps[0].code.rate_15ths <= 13;
             mode.plps[0].code.rate_15ths++) {
            mode.plps[0].code.constellation = (enum constellation)c;
            for (double snr_db = -10.0; snr_db <= 60.0; snr_db += 7.5) {
                struct ofdm_echo_result result = solve(&mode, NULL, 0, snr_db);
                assert_near(result.effective_snr_db, snr_db, 0.01, "nothing disturbs");
                assert_true(result.inside_guard);
                assert_true(result.self_interference_db == -INFINITY);
                assert_near(result.required_cn_db, receiver_need_db(&mode), 0.01, "steady channel");
                assert_near(result.ideal_required_cn_db,
                            ideal_snr_db(mode.plps[0].code.length, mode.plps[0].code.constellation,
                                         mode.plps[0].code.rate_15ths, FADING_AWGN),
                            0.01, "steady channel");
            }
        }
    }
}

static void one_echo_within_the_guard_interval_only_ripples(void **state)
{
    (void)state;
    assumes("the channel is known at each carrier");
    struct transmission mode = transmission_default();
    double guard_us = waveform_grid(&mode.subframes[0].waveform).guard_us;
    static double snrs[CARRIERS_TEST_MAX];
    for (double share = -1.0; share <= 1.0; share += 0.23) {
        struct echo echo = {.delay_us = share * guard_us, .level_db = -3.0, .phase_deg = 50.0};
        struct asked input = asked_for(&mode, &echo, 1, 22.0);
        struct ofdm_echo_result result;
        assert_int_equal(asked_solve(&input, &result), STATUS_OK);
        assert_true(result.inside_guard);
        assert_true(result.self_interference_db == -INFINITY);
        assert_near(result.self_loss_db, 0.0, 0.0, "no self-interference");
        int count =
            ofdm_echo_carriers(&input.reception.grid, &result, 0.0, 7, snrs, CARRIERS_TEST_MAX);
        int carriers =
            carriers_count(mode.subframes[0].waveform.fft, mode.subframes[0].waveform.reduction);
        assert_int_equal(count, (carriers + 6) / 7);
        double a = sqrt(ratio_from_db(-3.0));
        double mean = result.received_power;
        for (int i = 0; i < count; i++) {
            double hz = (7 * i - (carriers - 1) / 2) *
                        waveform_grid(&mode.subframes[0].waveform).spacing_hz;
            double phase = 50.0 * PI / 180.0 - 2.0 * PI * hz * echo.delay_us * 1e-6;
            double gain = 1.0 + a * a + 2.0 * a * cos(phase);
            assert_near(snrs[i], 22.0 + db_from_ratio(gain / mean), 1e-6, "two-ray closed form");
        }
    }
}

static void an_echo_as_late_as_symbol_and_guard_is_all_interference(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    double far_us = waveform_grid(&mode.subframes[0].waveform).guard_us +
                    waveform_grid(&mode.subframes[0].waveform).useful_us;
    struct echo echo = {.delay_us = far_us, .level_db = -10.0};
    struct ofdm_echo_result result = solve(&mode, &echo, 1, 25.0);
    assert_false(result.inside_guard);
    assert_near(result.window.useful, 1.0, 1e-12, "the main signal is whole");
    assert_near(result.self_interference_db, -10.0, 1e-9, "all of the echo");
    assert_near(result.rays.rays[1].weight, 0.0, 0.0, "EBU Technical Review 295");
    /* Interference and noise: no carrier is weaker than another. */
    double power = 1.0 + ratio_from_db(-10.0);
    double sinr = 1.0 / (power / ratio_from_db(25.0) + 0.1);
    assert_near(result.effective_snr_db, db_from_ratio(sinr), 0.01, "sum of noise powers");
}

static void just_beyond_the_guard_interval_the_weight_rules(void **state)
{
    (void)state;
    assumes("the window begins at the first ray; the pilots' reach is longer than the echo");
    struct transmission mode = transmission_default();
    mode.subframes[0].waveform.pilots = SP6_2; /* reach 395 us */
    double guard_us = waveform_grid(&mode.subframes[0].waveform).guard_us,
           useful_us = waveform_grid(&mode.subframes[0].waveform).useful_us;
    for (double late_us = 10.0; late_us <= 200.0; late_us += 30.0) {
        struct echo echo = {.delay_us = guard_us + late_us, .level_db = -6.0};
        struct ofdm_echo_result result = solve(&mode, &echo, 1, 25.0);
        double weight = pow((useful_us - late_us) / useful_us, 2.0);
        double echo_power = ratio_from_db(-6.0);
        assert_near(result.rays.rays[1].weight, weight, 1e-12, "EBU Technical Review 295");
        assert_near(result.self_interference_db,
                    db_from_ratio(echo_power * (1.0 - weight) / (1.0 + echo_power * weight)), 1e-9,
                    "EBU Technical Review 295");
        assert_true(result.self_loss_db > 0.0);
    }
}

static void pre_echoes_and_post_echoes_mirror_each_other(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    for (double delay_us = 20.0; delay_us < 600.0; delay_us += 61.0) {
        struct echo post = {.delay_us = delay_us, .level_db = -8.0};
        struct echo pre = {.delay_us = -delay_us, .level_db = -8.0};
        struct ofdm_echo_result a = solve(&mode, &post, 1, 25.0), b = solve(&mode, &pre, 1, 25.0);
        assert_near(a.effective_snr_db, b.effective_snr_db, 0.01, "weights are symmetric");
    }
}

/* No window on a fine grid collects more useful power than the one chosen. */
static void no_other_window_is_better(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    mode.subframes[0].waveform.pilots = SP3_2;
    struct random random = random_seeded(4, 0);
    for (int trial = 0; trial < 30; trial++) {
        struct echo echoes[5];
        for (int i = 0; i < 5; i++) {
            echoes[i] = (struct echo){.delay_us = (random_uniform(&random) - 0.5) * 700.0,
                                      .level_db = -12.0 * random_uniform(&random)};
        }
        struct ofdm_rays rays;
        struct ofdm_window windows[4];
        struct channel channel = channel_of(echoes, 5);
        struct ofdm_grid grid = waveform_grid(&mode.subframes[0].waveform);
        ofdm_rays_make(&grid, &channel, &rays);
        int count = ofdm_window_candidates(&grid, &rays, true, windows, 4);
        assert_true(count >= 1);
        for (double start_us = -600.0; start_us <= 600.0; start_us += 0.9) {
            struct ofdm_window window = ofdm_window_apply(&grid, &rays, true, start_us);
            assert_true(window.useful <= windows[0].useful * (1.0 + 1e-9));
        }
        for (int i = 1; i < count; i++) {
            assert_true(windows[i].useful < windows[i - 1].useful);
        }
    }
}

static void power_is_useful_or_interference(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    struct echo echoes[] = {{.delay_us = 300.0, .level_db = -5.0, .doppler_hz = 7.0},
                            {.delay_us = -90.0, .level_db = -9.0}};
    struct ofdm_echo_result result = solve(&mode, echoes, 2, 25.0);
    double all = 1.0 + ratio_from_db(-5.0) + ratio_from_db(-9.0);
    assert_near(result.window.useful + result.window.self_interference + result.window.moved, all,
                1e-12, "nothing is lost from the account");
    assert_true(result.estimation_loss_db > 0.0); /* one echo is beyond the reach */
    assert_near(result.input_snr_db - result.fading_loss_db - result.self_loss_db -
                    result.motion_loss_db - result.estimation_loss_db,
                result.effective_snr_db, 1e-9, "the losses add up");
}

static void pilots_reach_further_with_interpolation_in_time(void **state)
{
    (void)state;
    struct transmission mode = transmission_default(); /* SP12_2: 197.5 us with, 98.8 us without */
    struct ofdm_rays rays;
    struct echo echo = {.delay_us = 140.0, .level_db = -3.0};
    struct channel channel = channel_of(&echo, 1);
    struct ofdm_grid grid = waveform_grid(&mode.subframes[0].waveform);
    ofdm_rays_make(&grid, &channel, &rays);
    struct ofdm_window with = ofdm_window_apply(&grid, &rays, true, 0.0);
    assert_near(with.reach_to_us - with.reach_from_us,
                waveform_grid(&mode.subframes[0].waveform).useful_us / 12.0, 1e-9, "Tu / Dx");
    assert_int_equal(rays.rays[1].fate, OFDM_RAY_WHOLE);
    assert_near(rays.rays[1].weight, 1.0, 1e-12, "nine tenths of the reach pass wholly");
    struct ofdm_window without = ofdm_window_apply(&grid, &rays, false, 0.0);
    assert_near(without.reach_to_us - without.reach_from_us,
                waveform_grid(&mode.subframes[0].waveform).useful_us / 24.0, 1e-9, "Tu / (Dx Dy)");
    assert_int_equal(rays.rays[1].fate, OFDM_RAY_OUT_OF_REACH);
    assert_near(without.self_interference, ratio_from_db(-3.0), 1e-12, "all of it disturbs");
    /* Between nine and eleven tenths a part passes, and that is said: all is not within reach. */
    struct echo further = {.delay_us = 190.0, .level_db = -3.0};
    channel = channel_of(&further, 1);
    grid.guard_us = 200.0;
    ofdm_rays_make(&grid, &channel, &rays);
    (void)ofdm_window_apply(&grid, &rays, true, 0.0);
    for (int i = 0; i < 2; i++) {
        bool whole = rays.rays[i].known >= 1.0;
        assert_int_equal(rays.rays[i].fate, whole ? OFDM_RAY_WHOLE : OFDM_RAY_AT_EDGE);
    }
    assert_true(rays.rays[0].known < 1.0 || rays.rays[1].known < 1.0);
}

/* An echo too fast for pilots two symbols apart, near enough for those of one symbol. */
static void a_fast_echo_is_better_taken_without_interpolation_in_time(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    mode.plps[0].code.constellation = QPSK;
    mode.plps[0].code.rate_15ths = 5;
    struct ofdm_grid grid = waveform_grid(&mode.subframes[0].waveform);
    double limit_hz = doppler_pilot_limit_hz(&grid);
    struct echo echo = {.delay_us = 30.0, .level_db = 0.0, .doppler_hz = 2.2 * limit_hz};
    struct ofdm_echo_result result = solve(&mode, &echo, 1, 15.0);
    assert_false(result.window.time_interpolation);
    echo.delay_us = 140.0;
    result = solve(&mode, &echo, 1, 15.0);
    assert_true(result.self_interference_db > -1.0); /* lost either way */
}

static void two_moving_rays_leak_as_published(void **state)
{
    (void)state;
    assumes("both rays alike; leak between carriers alike on all");
    struct transmission mode = transmission_default();
    for (double hz = 2.0; hz <= 20.0; hz += 6.0) {
        struct echo echo = {.delay_us = 10.0, .level_db = 0.0, .doppler_hz = 2.0 * hz};
        struct ofdm_echo_result result = solve(&mode, &echo, 1, 25.0);
        double turn = PI * hz * waveform_grid(&mode.subframes[0].waveform).useful_us * 1e-6;
        double bound = turn * turn / 3.0;
        double leak = result.window.moved / (result.window.moved + result.window.useful);
        assert_near(leak / bound, 1.0, bound, "Li and Cimini 2001, two rays, next order");
        assert_true(result.motion_loss_db > 0.0);
    }
}

/* Gains of two rays are 1 + a^2 + 2 a cos(phase), phase uniform where many ripples fit. */
static void mean_information_agrees_with_the_integral_over_phase(void **state)
{
    (void)state;
    assumes("the channel is known at each carrier; ripples are many");
    struct transmission mode = transmission_default();
    static const enum constellation sets[] = {QPSK, QAM64, QAM1024};
    for (int i = 0; i < 3; i++) {
        mode.plps[0].code.constellation = sets[i];
        for (mode.plps[0].code.rate_15ths = 4; mode.plps[0].code.rate_15ths <= 12;
             mode.plps[0].code.rate_15ths += 4) {
            double ideal_db =
                ideal_snr_db(mode.plps[0].code.length, mode.plps[0].code.constellation,
                             mode.plps[0].code.rate_15ths, FADING_AWGN);
            struct echo echo = {.delay_us = 77.7, .level_db = -1.0};
            struct ofdm_echo_result result = solve(&mode, &echo, 1, ideal_db + 2.0);
            double a = sqrt(ratio_from_db(-1.0)), sum = 0.0;
            for (int k = 0; k < 5000; k++) {
                double gain = 1.0 + a * a + 2.0 * a * cos(PI * (k + 0.5) / 5000);
                sum +=
                    information_awgn(mode.plps[0].code.constellation, mode.plps[0].code.rate_15ths,
                                     ideal_db + 2.0 + db_from_ratio(gain / (1.0 + a * a)));
            }
            assert_near(result.mean_information_bits, sum / 5000, 2.5e-3,
                        "integral over phase; 452.9 ripples end in part of one");
            assert_near(result.effective_snr_db,
                        information_inverse_db(mode.plps[0].code.constellation,
                                               mode.plps[0].code.rate_15ths, sum / 5000),
                        0.01, "inverse of the mean");
        }
    }
}

static void at_the_required_snr_the_margin_is_nothing(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    struct echo echoes[] = {{.delay_us = 3.0, .level_db = -4.0},
                            {.delay_us = 170.0, .level_db = -18.0}};
    struct ofdm_echo_result result = solve(&mode, echoes, 2, 20.0);
    assert_true(isfinite(result.required_cn_db));
    struct ofdm_echo_result there = solve(&mode, echoes, 2, result.required_cn_db);
    assert_near(there.margin_db, 0.0, 0.005, "definition");
    there = solve(&mode, echoes, 2, result.ideal_required_cn_db);
    assert_near(there.ideal_margin_db, 0.0, 0.005, "definition");
    echoes[1] = (struct echo){.delay_us = 250.0, .level_db = -3.0}; /* beyond the reach */
    result = solve(&mode, echoes, 2, 60.0);
    assert_true(result.required_cn_db == INFINITY);
    assert_true(result.margin_db < 0.0);
}

static void more_echo_beyond_the_guard_leaves_less(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    double before_db = INFINITY;
    for (double level_db = -40.0; level_db <= -1.0; level_db += 1.5) {
        struct echo echo = {.delay_us = 500.0, .level_db = level_db};
        double db = solve(&mode, &echo, 1, 30.0).effective_snr_db;
        assert_true(db < before_db);
        before_db = db;
    }
}

static void received_power_is_the_mean_over_the_carriers(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    int carriers =
        carriers_count(mode.subframes[0].waveform.fft, mode.subframes[0].waveform.reduction);
    for (double delay_us = 0.0; delay_us <= 0.5; delay_us += 0.04) {
        struct echo echo = {.delay_us = delay_us, .level_db = -2.0, .phase_deg = 160.0};
        double a = sqrt(ratio_from_db(-2.0)), sum = 0.0;
        for (int k = 0; k < carriers; k++) {
            double hz =
                (k - (carriers - 1) / 2) * waveform_grid(&mode.subframes[0].waveform).spacing_hz;
            sum +=
                1.0 + a * a + 2.0 * a * cos(160.0 * PI / 180.0 - 2.0 * PI * hz * delay_us * 1e-6);
        }
        assert_near(solve(&mode, &echo, 1, 20.0).received_power, sum / carriers, 1e-4,
                    "mean of the two-ray gain");
    }
}

static void a_choice_of_carriers_comes_close_to_all(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    mode.subframes[0].waveform.fft = FFT_32K;
    mode.subframes[0].waveform.guard = GI8_2432;
    mode.subframes[0].waveform.pilots = SP6_2;
    struct random random = random_seeded(9, 0);
    for (int trial = 0; trial < 20; trial++) {
        struct echo echoes[6];
        for (int i = 0; i < 6; i++) {
            echoes[i] = (struct echo){.delay_us = random_uniform(&random) * 340.0,
                                      .level_db = -10.0 * random_uniform(&random),
                                      .phase_deg = 360.0 * random_uniform(&random)};
        }
        struct asked input = asked_for(&mode, echoes, 6, 25.0);
        struct ofdm_echo_result all, some;
        assert_int_equal(asked_solve(&input, &all), STATUS_OK);
        input.reception.carriers_most = 3000;
        assert_int_equal(asked_solve(&input, &some), STATUS_OK);
        /* Information spreads by 1.2 bit over carriers and grows by 0.3 bit a dB: 2764 of them,
         * were they chosen at random, would err by 0.076 dB; three times that. */
        assert_near(some.effective_snr_db, all.effective_snr_db, 0.23, "all carriers");
    }
}

/* An even choice, also one moved on by the golden ratio, keeps time with the ripple of some delays
 * and errs there by up to 5.1 dB with this echo; chance errs by 0.10 dB rms at all delays alike. */
static void no_delay_keeps_time_with_the_choice_of_carriers(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    for (double delay_us = 1.0; delay_us < 148.0; delay_us += 0.37) {
        struct echo echo = {.delay_us = delay_us, .level_db = -2.0, .phase_deg = 60.0};
        struct asked input = asked_for(&mode, &echo, 1, 25.0);
        struct ofdm_echo_result all, some;
        assert_int_equal(asked_solve(&input, &all), STATUS_OK);
        input.reception.carriers_most = 1500;
        assert_int_equal(asked_solve(&input, &some), STATUS_OK);
        assert_near(some.effective_snr_db, all.effective_snr_db, 0.6, "all carriers");
    }
}

static void slow_motion_shows_every_phase_that_the_span_sees(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    /* Two rays so close that all carriers fade together: at rest the phase decides. */
    struct echo echo = {.delay_us = 0.0, .level_db = -6.0, .phase_deg = 180.0, .doppler_hz = 5.0};
    struct asked input = asked_for(&mode, &echo, 1, 25.0);
    struct ofdm_echo_result at_rest, spread;
    input.reception.span_ms = 0.0;
    assert_int_equal(asked_solve(&input, &at_rest), STATUS_OK);
    assert_near(at_rest.fading_loss_db, 0.0, 0.01, "a flat channel costs nothing");
    input.reception.span_ms = 200.0; /* one turn */
    assert_int_equal(asked_solve(&input, &spread), STATUS_OK);
    assert_near(spread.received_power, 1.0 + ratio_from_db(-6.0), 1e-6, "a full turn averages");
    assert_true(spread.fading_loss_db > 1.0);
}

/* ---- Motion. ---- */

static void a_moving_receiver_pays_without_any_echo(void **state)
{
    (void)state;
    assumes("rays from all sides, a flat channel, estimates as straight lines between pilots");
    struct transmission mode = transmission_default();
    struct ofdm_grid grid = waveform_grid(&mode.subframes[0].waveform);
    double before_db = INFINITY;
    for (double hz = 0.0; hz < 90.0; hz += 10.0) {
        struct asked asked = asked_for(&mode, NULL, 0, 22.0);
        asked.channel.spread_hz = hz;
        struct ofdm_echo_result result;
        assert_int_equal(asked_solve(&asked, &result), STATUS_OK);
        double leak = doppler_leak(0.0, hz, grid.useful_us);
        double error = doppler_estimation_error(&grid, 0.0, hz);
        double sinr = (1.0 - leak) / (ratio_from_db(-22.0) + leak + (1.0 - leak) * error);
        assert_near(result.effective_snr_db, db_from_ratio(sinr), 0.01,
                    "closed forms of a flat channel");
        assert_true(result.effective_snr_db < before_db);
        assert_true(hz == 0.0 || (result.motion_loss_db > 0.0 && result.estimation_loss_db > 0.0));
        before_db = result.effective_snr_db;
    }
}

/* A cluster that is spread and shifted leaks what both do, whatever else arrives. */
static void a_spread_adds_to_the_rays_own_shifts(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    struct echo echo = {.delay_us = 40.0, .level_db = -3.0, .doppler_hz = 12.0};
    struct asked asked = asked_for(&mode, &echo, 1, 25.0);
    struct ofdm_echo_result shifted, both;
    assert_int_equal(asked_solve(&asked, &shifted), STATUS_OK);
    asked.channel.spread_hz = 9.0;
    assert_int_equal(asked_solve(&asked, &both), STATUS_OK);
    double leak = doppler_leak(0.0, 9.0, asked.reception.grid.useful_us);
    assert_near(both.window.useful, shifted.window.useful * (1.0 - leak), 1e-12,
                "what the spread leaves of every ray");
    assert_true(both.window.mistaken > shifted.window.mistaken);
    assert_true(both.effective_snr_db < shifted.effective_snr_db);
}

/* ---- The pilots' reach. ---- */

static void no_wall_stands_at_the_reach_of_the_pilots(void **state)
{
    (void)state;
    assumes("the reach rolls off as a raised cosine from 0.9 to 1.1 of Tu/Dx");
    struct transmission mode = transmission_default(); /* reach 16384 / 12 = 1365.3 samples */
    double before_db[2] = {0.0, 0.0};
    for (int samples = 1200; samples <= 1540; samples += 2) {
        for (int i = 0; i < 2; i++) {
            struct echo echo = {.delay_us = samples / 6.912, .level_db = i ? -20.0 : -10.0};
            double db = solve(&mode, &echo, 1, 30.0).effective_snr_db;
            if (samples > 1200) {
                assert_between(before_db[i] - db, -0.1, 0.75, "0.75 dB for two samples");
            }
            before_db[i] = db;
        }
    }
    /* Fully outside: the echo disturbs once, its image in the estimate once more. */
    struct echo echo = {.delay_us = 1540 / 6.912, .level_db = -10.0};
    struct ofdm_grid grid = waveform_grid(&mode.subframes[0].waveform);
    struct ofdm_echo_result result = solve(&mode, &echo, 1, 60.0);
    double outside_us = result.rays.rays[1].outside_us; /* at least by how much it is too late */
    assert_true(outside_us >= echo.delay_us - grid.guard_us - 1e-9);
    double seen = 0.1 * pow(1.0 - outside_us / grid.useful_us, 2.0);
    assert_near(result.window.self_interference, 0.1, 1e-12, "all of the echo");
    assert_near(result.window.mistaken, seen, 1e-12, "what the window holds of it");
    assert_near(result.effective_snr_db, -db_from_ratio(0.1 + seen + 1.1e-6), 0.01,
                "one ray is useful, one disturbs");
}

/* Above the ideal SNR and 4.5 dB the margin goes on dB for dB; what is told below is the mean
 * information itself, which says no more there than that all bits arrive. */
static void far_above_the_threshold_the_literal_mean_tells_less(void **state)
{
    (void)state;
    assumes("the channel is known at each carrier");
    struct transmission mode = transmission_default();
    mode.plps[0].code.constellation = QAM16;
    mode.plps[0].code.rate_15ths = 9;
    double a = sqrt(ratio_from_db(-3.0)), sum = 0.0;
    for (int k = 0; k < 5000; k++) {
        double gain = 1.0 + a * a + 2.0 * a * cos(PI * (k + 0.5) / 5000);
        sum += information_awgn(QAM16, 9, 30.0 + db_from_ratio(gain / (1.0 + a * a)));
    }
    assert_near(information_inverse_db(QAM16, 9, sum / 5000), 20.59, 0.02,
                "issue 13: 16QAM 9/15, one echo of -3 dB, 30 dB; literal");
    struct echo echo = {.delay_us = 77.7, .level_db = -3.0};
    assert_near(solve(&mode, &echo, 1, 30.0).effective_snr_db, 26.25, 0.03,
                "issue 13: the same as a margin");
}

/* Of two late rays that cancel in the channel's middle, carriers there see neither. */
static void late_rays_that_cancel_disturb_less_where_they_do(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    mode.subframes[0].waveform.pilots = SP6_2;
    struct ofdm_grid grid = waveform_grid(&mode.subframes[0].waveform);
    double late_us = 1.5 * grid.guard_us;
    struct echo echoes[] = {
        {.delay_us = late_us, .level_db = -4.0},
        {.delay_us = late_us + 1.0 / 6.912, .level_db = -4.0, .phase_deg = 180.0}};
    struct ofdm_echo_result apart = solve(&mode, echoes, 1, 30.0);
    struct ofdm_echo_result together = solve(&mode, echoes, 2, 30.0);
    struct ofdm_powers middle = ofdm_carrier_powers(&grid, &together.rays, 0.0, 0.0);
    struct ofdm_powers edge = ofdm_carrier_powers(&grid, &together.rays, 2.8e6, 0.0);
    assert_near(middle.self, 2.0 / 16384.0 * ratio_from_db(-4.0), 1e-6,
                "the one sample by which one outlasts the other, twice");
    assert_true(edge.self > 3.0 * apart.window.self_interference);
    /* Were it alike on all carriers it would cost more. */
    assert_true(together.self_loss_db < apart.self_loss_db + 1.5);
}

/* The same channel by the definition: of each carrier the double sum over both late rays of what
 * their symbols' pieces have in common, and the mean of the information of all carriers. */
static void late_rays_together_cost_what_the_double_sum_says(void **state)
{
    (void)state;
    assumes("the channel is known at each carrier; symbols are independent of each other");
    struct transmission mode = transmission_default();
    mode.subframes[0].waveform.pilots = SP6_2;
    const struct ofdm_grid grid = waveform_grid(&mode.subframes[0].waveform);
    const double late_us = 1.5 * grid.guard_us, snr_db = 20.0, a = sqrt(ratio_from_db(-3.0));
    struct echo echoes[] = {
        {.delay_us = late_us, .level_db = -3.0},
        {.delay_us = late_us + 1.0 / 6.912, .level_db = -3.0, .phase_deg = 180.0}};
    struct ofdm_echo_result result = solve(&mode, echoes, 2, snr_db);
    const double x[2] = {(echoes[0].delay_us - grid.guard_us) / grid.useful_us,
                         (echoes[1].delay_us - grid.guard_us) / grid.useful_us};
    double sum = 0.0, level = 0.0, self_mean = 0.0;
    const double noise = result.received_power / ratio_from_db(snr_db);
    for (int round = 0; round < 2; round++) {
        for (int k = 0; k < grid.carriers; k++) {
            double hz = (k - 0.5 * (grid.carriers - 1)) / grid.useful_us * 1e6;
            double p[2] = {-2.0 * PI * hz * echoes[0].delay_us * 1e-6,
                           PI - 2.0 * PI * hz * echoes[1].delay_us * 1e-6};
            double complex gap =
                a * x[0] * cexp(CMPLX(0.0, p[0])) + a * x[1] * cexp(CMPLX(0.0, p[1]));
            double useful =
                pow(cabs(1.0 + a * cexp(CMPLX(0.0, p[0])) + a * cexp(CMPLX(0.0, p[1])) - gap), 2.0);
            double self =
                2.0 * a * a * (x[0] + x[1] + 2.0 * cos(p[0] - p[1]) * x[0]) - pow(cabs(gap), 2.0);
            self_mean += round == 0 ? self / grid.carriers : 0.0;
            double here = round == 0 ? self : self_mean;
            *(round == 0 ? &sum : &level) +=
                information_awgn(QAM256, 10, db_from_ratio(useful / (here + noise))) /
                grid.carriers;
        }
    }
    double effective_db = information_inverse_db(QAM256, 10, sum);
    assert_near(result.effective_snr_db, effective_db, 0.001, "double sum over the rays");
    assert_true(fabs(effective_db - information_inverse_db(QAM256, 10, level)) > 0.1);
}

static void bad_echoes_and_numbers_are_refused(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    struct ofdm_echo_result result;
    static const struct echo bad[] = {{.level_db = INFINITY},  {.delay_us = 1e6},
                                      {.delay_us = NAN},       {.level_db = NAN},
                                      {.phase_deg = INFINITY}, {.doppler_hz = NAN}};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct asked input = asked_for(&mode, &bad[i], 1, 20.0);
        assert_int_equal(asked_solve(&input, &result), STATUS_OUT_OF_RANGE);
    }
    struct asked input = asked_for(&mode, NULL, 0, 20.0);
    input.channel.count = CHANNEL_RAYS_MAX + 1;
    assert_int_equal(asked_solve(&input, &result), STATUS_OUT_OF_RANGE);
    input = asked_for(&mode, NULL, 0, NAN);
    assert_int_equal(asked_solve(&input, &result), STATUS_OUT_OF_RANGE);
    struct echo opposite = {.level_db = 0.0, .phase_deg = 180.0};
    input = asked_for(&mode, &opposite, 1, 20.0);
    assert_int_equal(asked_solve(&input, &result), STATUS_NO_SOLUTION);
}

static void as_many_echoes_as_allowed_are_handled(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    static struct echo echoes[ECHOES_MAX];
    struct random random = random_seeded(3, 0);
    for (int i = 0; i < ECHOES_MAX; i++) {
        echoes[i] = (struct echo){.delay_us = (random_uniform(&random) - 0.5) * 20000.0,
                                  .level_db = -80.0 + 100.0 * random_uniform(&random),
                                  .phase_deg = 1e4 * random_normal(&random),
                                  .doppler_hz = 100.0 * random_normal(&random)};
    }
    struct asked input = asked_for(&mode, echoes, ECHOES_MAX, 20.0);
    struct ofdm_echo_result result;
    input.reception.span_ms = 100.0;
    assert_int_equal(asked_solve(&input, &result), STATUS_OK);
    assert_true(isfinite(result.effective_snr_db));
    assert_int_equal(result.rays.count, ECHOES_MAX + 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(weights_are_those_of_the_source),
        cmocka_unit_test(without_echoes_the_effective_snr_is_the_input),
        cmocka_unit_test(one_echo_within_the_guard_interval_only_ripples),
        cmocka_unit_test(an_echo_as_late_as_symbol_and_guard_is_all_interference),
        cmocka_unit_test(just_beyond_the_guard_interval_the_weight_rules),
        cmocka_unit_test(pre_echoes_and_post_echoes_mirror_each_other),
        cmocka_unit_test(no_other_window_is_better),
        cmocka_unit_test(power_is_useful_or_interference),
        cmocka_unit_test(pilots_reach_further_with_interpolation_in_time),
        cmocka_unit_test(a_fast_echo_is_better_taken_without_interpolation_in_time),
        cmocka_unit_test(two_moving_rays_leak_as_published),
        cmocka_unit_test(mean_information_agrees_with_the_integral_over_phase),
        cmocka_unit_test(at_the_required_snr_the_margin_is_nothing),
        cmocka_unit_test(more_echo_beyond_the_guard_leaves_less),
        cmocka_unit_test(received_power_is_the_mean_over_the_carriers),
        cmocka_unit_test(a_choice_of_carriers_comes_close_to_all),
        cmocka_unit_test(no_delay_keeps_time_with_the_choice_of_carriers),
        cmocka_unit_test(slow_motion_shows_every_phase_that_the_span_sees),
        cmocka_unit_test(a_moving_receiver_pays_without_any_echo),
        cmocka_unit_test(a_spread_adds_to_the_rays_own_shifts),
        cmocka_unit_test(no_wall_stands_at_the_reach_of_the_pilots),
        cmocka_unit_test(far_above_the_threshold_the_literal_mean_tells_less),
        cmocka_unit_test(late_rays_together_cost_what_the_double_sum_says),
        cmocka_unit_test(late_rays_that_cancel_disturb_less_where_they_do),
        cmocka_unit_test(bad_echoes_and_numbers_are_refused),
        cmocka_unit_test(as_many_echoes_as_allowed_are_handled),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
