#include "support/near.h"
#include "support/signals.h"

#include <math.h>

#include "base/complex.h"
#include "base/units.h"
#include "physics/ofdm/doppler.h"
#include "physics/ofdm/gain_spread.h"
#include "scenario/scenario.h"
#include "standard/atsc3/grid.h"

static struct ofdm_grid grid_of(enum fft_size fft, enum guard guard, enum pilots pilots)
{
    struct transmission mode = transmission_default();
    mode.subframes[0].waveform.fft = fft;
    mode.subframes[0].waveform.guard = guard;
    mode.subframes[0].waveform.pilots = pilots;
    return waveform_grid(&mode.subframes[0].waveform);
}

static void pilots_follow_half_their_own_rate(void **state)
{
    (void)state;
    /* 10240 samples of 6.912 MHz a symbol, a pilot every second one. */
    struct ofdm_grid grid = grid_of(FFT_8K, GI7_2048, SP3_2);
    assert_near(doppler_pilot_limit_hz(&grid), 6.912e6 / 10240.0 / 4.0, 1e-9, "sampling theorem");
    grid = grid_of(FFT_8K, GI7_2048, SP3_4);
    assert_near(doppler_pilot_limit_hz(&grid), 6.912e6 / 10240.0 / 8.0, 1e-9, "sampling theorem");
}

static void a_shifted_ray_leaks_what_sinc_leaves(void **state)
{
    (void)state;
    for (double product = 1e-5; product <= 1.5; product *= 1.7) {
        double x = PI * product;
        assert_near(doppler_leak(product * 1e3, 0.0, 1000.0), 1.0 - sin(x) / x * sin(x) / x, 1e-12,
                    "1 - sinc^2");
    }
    assert_near(doppler_leak(0.0, 0.0, 1000.0), 0.0, 0.0, "at rest");
    double both =
        1.0 - (1.0 - doppler_leak(30.0, 0.0, 1000.0)) * (1.0 - doppler_leak(0.0, 40.0, 1000.0));
    assert_near(doppler_leak(30.0, 40.0, 1000.0), both, 1e-12, "what both leave");
}

/* A cluster of many rays from all sides is the sum of its shifted rays. */
static void a_spread_leaks_as_rays_from_all_sides(void **state)
{
    (void)state;
    enum { RAYS = 4000 };
    for (double hz = 1.0; hz <= 2000.0; hz *= 2.3) {
        double sum = 0.0;
        for (int i = 0; i < RAYS; i++) {
            sum += doppler_leak(hz * cos(PI * (i + 0.5) / RAYS), 0.0, 1000.0);
        }
        double z = PI * hz * 1e-3, tolerance = z > 8.0 ? 3e-3 : 1e-9;
        assert_near(doppler_leak(0.0, hz, 1000.0), sum / RAYS, tolerance, "mean of 1 - sinc^2");
    }
}

/* The error itself, from phasors at the pilots and between. */
static double drawn_error(const struct ofdm_grid *grid, double hz)
{
    double turn = 2.0 * PI * hz * grid->symbol_us * 1e-6, sum = 0.0;
    double complex second = cexp(CMPLX(0.0, turn * grid->dy));
    for (int n = 1; n < grid->dy; n++) {
        double a = (double)n / grid->dy;
        double complex error = cexp(CMPLX(0.0, turn * n)) - (1.0 - a) - a * second;
        sum += creal(error) * creal(error) + cimag(error) * cimag(error);
    }
    return sum / (grid->dy - 1);
}

static void a_straight_line_between_pilots_errs_as_drawn(void **state)
{
    (void)state;
    enum { RAYS = 500 };
    struct ofdm_grid grids[] = {grid_of(FFT_16K, GI5_1024, SP12_2),
                                grid_of(FFT_8K, GI5_1024, SP6_4)};
    for (size_t g = 0; g < 2; g++) {
        for (double hz = 0.5; hz <= 300.0; hz *= 1.9) {
            assert_near(doppler_estimation_error(&grids[g], hz, 0.0), drawn_error(&grids[g], hz),
                        1e-12, "phasors at the pilots and between");
            double sum = 0.0;
            for (int i = 0; i < RAYS; i++) {
                sum += drawn_error(&grids[g], 7.0 + hz * cos(PI * (i + 0.5) / RAYS));
            }
            assert_near(doppler_estimation_error(&grids[g], 7.0, hz), sum / RAYS, 1e-9,
                        "mean over rays from all sides");
        }
    }
    assert_near(doppler_estimation_error(&grids[0], 0.0, 0.0), 0.0, 0.0, "at rest");
}

/* With two pilots that hear no noise the best weights are equal where the symbol is half-way. */
static void wieners_filter_beats_the_straight_line(void **state)
{
    (void)state;
    struct ofdm_grid grid = grid_of(FFT_16K, GI5_1024, SP12_2);
    for (double hz = 5.0; hz < 90.0; hz += 12.0) {
        double turn = 2.0 * PI * hz * grid.symbol_us * 1e-6;
        double best = 1.0 - 2.0 * j0(turn) * j0(turn) / (1.0 + j0(2.0 * turn));
        assert_near(doppler_wiener_error(&grid, hz, 2, 0.0), best, 2e-8, "two equal weights");
        double before = doppler_estimation_error(&grid, 0.0, hz);
        for (int pilots = 2; pilots <= DOPPLER_WIENER_PILOTS; pilots += 2) {
            double error = doppler_wiener_error(&grid, hz, pilots, 0.0);
            assert_true(error <= before + 1e-9);
            assert_true(doppler_wiener_error(&grid, hz, pilots, 0.01) > error);
            before = error;
        }
    }
    /* Noise alone: twelve pilots that say the same average it. */
    assert_near(doppler_wiener_error(&grid, 0.0, 12, 0.12), 0.01 / 1.01, 1e-6, "mean of 12");
}

static struct doppler_need need_of(double snr_db)
{
    return (struct doppler_need){ratio_from_db(-snr_db), 0.7};
}

static void the_limit_costs_three_decibels(void **state)
{
    (void)state;
    struct ofdm_grid grid = grid_of(FFT_16K, GI5_1024, SP12_2);
    struct doppler_limits limits;
    doppler_limits_make(&grid, &limits);
    for (double snr_db = 2.0; snr_db <= 35.0; snr_db += 3.0) {
        struct doppler_need need = need_of(snr_db);
        double limit_hz = doppler_limit_hz(&limits, &need);
        assert_near(doppler_loss_db(&grid, &need, limit_hz), db_from_ratio(2.0), 0.005,
                    "half is left for noise");
        assert_near(doppler_loss_db(&grid, &need, 0.0), 0.0, 0.0, "at rest");
        assert_true(doppler_loss_db(&grid, &need, 2.0 * limit_hz) == INFINITY);
        assert_true(doppler_interference_limit_hz(grid.useful_us, &need) > limit_hz);
    }
}

static void the_limit_ends_where_pilots_no_longer_follow(void **state)
{
    (void)state;
    struct ofdm_grid grid = grid_of(FFT_8K, GI5_1024, SP6_4);
    struct doppler_limits limits;
    doppler_limits_make(&grid, &limits);
    struct doppler_need robust = need_of(-8.0), none = need_of(INFINITY), unknown = need_of(NAN);
    assert_near(doppler_limit_hz(&limits, &robust), doppler_pilot_limit_hz(&grid), 0.0, "robust");
    assert_near(doppler_limit_hz(&limits, &none), 0.0, 0.0, "no SNR suffices");
    assert_near(doppler_interference_limit_hz(grid.useful_us, &none), 0.0, 0.0, "no SNR suffices");
    assert_true(isnan(doppler_limit_hz(&limits, &unknown)));
}

static void longer_symbols_bear_less_doppler(void **state)
{
    (void)state;
    for (double snr_db = 5.0; snr_db < 30.0; snr_db += 4.0) {
        struct doppler_need need = need_of(snr_db);
        double short_hz = doppler_interference_limit_hz(1000.0, &need);
        assert_near(short_hz / doppler_interference_limit_hz(2000.0, &need), 2.0, 1e-6,
                    "fd Tu is what counts");
        double leak = doppler_leak(0.0, short_hz, 1000.0);
        assert_near((1.0 - leak) * need.noise - leak, 0.5 * need.noise, 1e-6 * need.noise,
                    "half is left for noise");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pilots_follow_half_their_own_rate),
        cmocka_unit_test(a_shifted_ray_leaks_what_sinc_leaves),
        cmocka_unit_test(a_spread_leaks_as_rays_from_all_sides),
        cmocka_unit_test(a_straight_line_between_pilots_errs_as_drawn),
        cmocka_unit_test(wieners_filter_beats_the_straight_line),
        cmocka_unit_test(the_limit_costs_three_decibels),
        cmocka_unit_test(the_limit_ends_where_pilots_no_longer_follow),
        cmocka_unit_test(longer_symbols_bear_less_doppler),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
