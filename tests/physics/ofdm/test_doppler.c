#include "support/near.h"

#include <math.h>

#include "base/units.h"
#include "physics/ofdm/doppler.h"
#include "scenario/scenario.h"
#include "standard/atsc3/grid.h"
#include "standard/atsc3/transmission.h"

static double pilot_limit_hz(const struct transmission *mode)
{
    struct ofdm_grid grid = waveform_grid(&mode->subframes[0].waveform);
    return doppler_pilot_limit_hz(&grid);
}

static double useful_us(const struct transmission *mode)
{
    return waveform_grid(&mode->subframes[0].waveform).useful_us;
}

static void pilots_follow_half_their_own_rate(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    mode.subframes[0].waveform.fft = FFT_8K;
    mode.subframes[0].waveform.guard = GI7_2048;
    mode.subframes[0].waveform.pilots = SP3_2;
    /* 10240 samples of 6.912 MHz a symbol, a pilot every second one. */
    assert_near(pilot_limit_hz(&mode), 6.912e6 / 10240.0 / 4.0, 1e-9, "sampling theorem");
    mode.subframes[0].waveform.pilots = SP3_4;
    assert_near(pilot_limit_hz(&mode), 6.912e6 / 10240.0 / 8.0, 1e-9, "sampling theorem");
    mode.subframes[0].waveform.bandwidth_mhz = 8;
    assert_near(pilot_limit_hz(&mode), 9.216e6 / 10240.0 / 8.0, 1e-9, "sampling theorem");
}

/* The bound is the first term of the exact interference 1 - integral of sinc^2(f Tu) over the
 * Doppler spectrum: for two rays at +-fd, 1 - sinc^2(fd Tu). */
static void two_rays_interfere_as_their_sinc_says(void **state)
{
    (void)state;
    for (double product = 0.005; product <= 0.1; product *= 1.5) {
        double x = PI * product;
        double exact = 1.0 - sin(x) / x * sin(x) / x;
        double bound = doppler_interference_ratio(product * 1e3, 1000.0, 1);
        assert_between(bound / exact, 1.0, 1.0 + 0.15 * x * x, "1 - sinc^2, next term 2/45 x^4");
        assert_near(doppler_interference_ratio(product * 1e3, 1000.0, 0), bound / 2.0, 1e-15,
                    "classical spectrum: half the mean square Doppler");
    }
    assert_near(doppler_interference_ratio(0.0, 1000.0, 0), 0.0, 0.0, "at rest");
}

static void the_limit_costs_three_decibels(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    for (double snr_db = -5.0; snr_db <= 35.0; snr_db += 5.0) {
        double limit_hz = doppler_interference_limit_hz(useful_us(&mode), snr_db);
        assert_near(doppler_loss_db(useful_us(&mode), snr_db, limit_hz), db_from_ratio(2.0), 1e-9,
                    "ratio 1 / (2 gamma) doubles the required C/N");
        assert_near(doppler_loss_db(useful_us(&mode), snr_db, 0.0), 0.0, 0.0, "at rest");
        assert_true(doppler_loss_db(useful_us(&mode), snr_db, 1.5 * limit_hz) == INFINITY);
        assert_true(doppler_loss_db(useful_us(&mode), snr_db, 0.5 * limit_hz) <
                    doppler_loss_db(useful_us(&mode), snr_db, 0.6 * limit_hz));
    }
}

static void longer_symbols_bear_less_doppler(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    double limits[FFT_COUNT];
    for (int f = FFT_8K; f < FFT_COUNT; f++) {
        mode.subframes[0].waveform.fft = (enum fft_size)f;
        limits[f] = doppler_interference_limit_hz(useful_us(&mode), 15.0);
    }
    assert_near(limits[FFT_8K] / limits[FFT_16K], 2.0, 1e-12, "fd Tu is what counts");
    assert_near(limits[FFT_8K] / limits[FFT_32K], 4.0, 1e-12, "fd Tu is what counts");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pilots_follow_half_their_own_rate),
        cmocka_unit_test(two_rays_interfere_as_their_sinc_says),
        cmocka_unit_test(the_limit_costs_three_decibels),
        cmocka_unit_test(longer_symbols_bear_less_doppler),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
