#include "support/near.h"
#include "support/signals.h"

#include <math.h>

#include "base/random.h"
#include "base/units.h"
#include "physics/ofdm/echo.h"
#include "scenario/scenario.h"
#include "standard/atsc3/grid.h"
#include "system/system.h"

/* What `report` calls the Doppler limit is what an echo study finds in motion from all sides: 40
 * equal rays, evenly from all around, with chance for delays and phases. */

enum { RAYS = 40, DRAWS = 8 };

static struct channel isotropic(double doppler_hz, double longest_us, struct random *random)
{
    struct channel channel = {.count = RAYS};
    double delays_us[RAYS];
    for (int i = 0; i < RAYS; i++) {
        int other = (int)(random_uniform(random) * (i + 1));
        delays_us[i] = delays_us[other];
        delays_us[other] = longest_us * i / RAYS;
    }
    for (int i = 0; i < RAYS; i++) {
        channel.rays[i] = (struct ray){.gain = sqrt(1.0 / RAYS),
                                       .delay_us = delays_us[i],
                                       .phase = 2.0 * PI * random_uniform(random),
                                       .doppler_hz = doppler_hz * cos(2.0 * PI * (i + 0.5) / RAYS)};
    }
    return channel;
}

/* Mean over draws of what the mode needs, while the rays turn by so much within the span. */
static double needed_db(const struct transmission *mode, double doppler_hz, double turns,
                        double longest_us)
{
    struct random random = random_seeded(31, 0);
    double sum = 0.0;
    for (int i = 0; i < DRAWS; i++) {
        struct asked asked = asked_for(mode, NULL, 0, 30.0);
        asked.channel = isotropic(doppler_hz, longest_us, &random);
        asked.reception.span_ms = 1e3 * turns / doppler_hz;
        asked.reception.carriers_most = 8000;
        struct ofdm_echo_result result;
        assert_int_equal(asked_solve(&asked, &result), STATUS_OK);
        sum += result.required_cn_db;
    }
    return sum / DRAWS;
}

/* At rest: so slow that nothing is leaked, over a span in which the code sees the same phases. */
#define SLOW_HZ 0.01
#define TURNS 6.0

static void forty_equal_rays(struct transmission *mode, enum constellation constellation,
                             int rate_15ths)
{
    assumes("40 equal rays evenly from all around, delays and phases drawn; mean of eight draws");
    struct scenario scenario = scenario_default();
    mode->plps[0].code.constellation = constellation;
    mode->plps[0].code.rate_15ths = rate_15ths;
    scenario.transmission = *mode;
    struct facts second;
    assert_int_equal(system_atsc3.describe(&scenario, PIPE_MOST_ROBUST, &second, NULL), STATUS_OK);
    struct ofdm_reception reception = reception_of(mode);
    struct doppler_need need =
        gain_rayleigh_need_of(&reception.curve, second.ideal_snr_db, second.required_snr_db);
    assert_true(second.doppler_hz < second.doppler_pilot_hz);
    for (double longest_us = 5.0; longest_us < second.guard_us; longest_us *= 5.0) {
        double rest_db = needed_db(mode, SLOW_HZ, TURNS, longest_us);
        double moving_db = needed_db(mode, second.doppler_hz, TURNS, longest_us);
        assert_near(rest_db, -db_from_ratio(need.noise), 0.2, "40 rays are nearly Rayleigh");
        assert_near(moving_db - rest_db, db_from_ratio(2.0), 0.3, "the Doppler limit costs 3 dB");
        if (1.4 * second.doppler_hz < second.doppler_pilot_hz) {
            double beyond_db = needed_db(mode, 1.4 * second.doppler_hz, TURNS, longest_us);
            assert_true(beyond_db > moving_db + 3.0);
        }
    }
}

static void the_doppler_limit_costs_three_decibels_in_an_isotropic_channel(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    forty_equal_rays(&mode, QPSK, 7);
    forty_equal_rays(&mode, QAM16, 7);
    forty_equal_rays(&mode, QAM64, 9);
    forty_equal_rays(&mode, QAM256, 9);
    mode.subframes[0].waveform.fft = FFT_8K;
    mode.subframes[0].waveform.pilots = SP6_4;
    forty_equal_rays(&mode, QAM64, 11);
    forty_equal_rays(&mode, QAM256, 7);
}

/* The limit of white noise's need was 46.8 Hz; as rays from all sides fade, nothing decodes there.
 */
static void where_interference_alone_doubles_the_noise_no_snr_suffices(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    mode.plps[0].code.constellation = QAM64;
    mode.plps[0].code.rate_15ths = 9;
    assert_true(isinf(needed_db(&mode, 46.8, TURNS, 25.0)));
    assert_true(isfinite(needed_db(&mode, 27.0, TURNS, 25.0)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_doppler_limit_costs_three_decibels_in_an_isotropic_channel),
        cmocka_unit_test(where_interference_alone_doubles_the_noise_no_snr_suffices),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
