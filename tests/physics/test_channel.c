/* The one channel that every system receives. */
#include "support/near.h"

#include <math.h>

#include "base/units.h"
#include "physics/channel.h"

static struct channel two_rays(double delay_us, double level_db, double phase_deg)
{
    struct channel channel;
    channel_start(&channel, 189e6);
    struct echo echo = {.delay_us = delay_us, .level_db = level_db, .phase_deg = phase_deg};
    assert_true(channel_add(&channel, &echo, "wall"));
    return channel;
}

static void one_echo_of_equal_strength_gives_peaks_and_notches_of_its_delay(void **state)
{
    (void)state;
    struct channel channel = two_rays(0.5, 0.0, 0.0);
    const char *closed = "2 |cos(pi f delay)|, two equal rays";
    assert_near(cabs(channel_response(&channel, 0.0, 0.0)), 2.0, 1e-12, closed);
    assert_near(cabs(channel_response(&channel, 1e6, 0.0)), 0.0, 1e-12, closed);
    assert_near(cabs(channel_response(&channel, -0.7e6, 0.0)), 2.0 * cos(PI * 0.35), 1e-12, closed);
    assert_near(channel_power(&channel), 2.0, 1e-12, "1 + 1");
}

static void a_ray_turns_with_its_doppler(void **state)
{
    (void)state;
    struct channel channel = two_rays(3.0, -6.0, 30.0), later;
    channel.rays[1].doppler_hz = 7.0;
    assert_true(channel_moves(&channel));
    channel_advance(&channel, 0.41, &later);
    double complex here = channel_response(&channel, 1.2e6, 0.41);
    double complex there = channel_response(&later, 1.2e6, 0.0);
    assert_near(cabs(here - there), 0.0, 1e-9, "H(f, t) of a channel started later");
}

static void unknown_phases_are_drawn_evenly_and_hang_on_the_ray_not_on_its_place(void **state)
{
    (void)state;
    struct channel one, other, a, b;
    struct echo wall = {.delay_us = 0.3, .level_db = -3.0, .phase_deg = NAN};
    struct echo hill = {.delay_us = 9.0, .level_db = -9.0, .phase_deg = NAN};
    channel_start(&one, 189e6);
    channel_start(&other, 189e6);
    assert_true(channel_add(&one, &wall, "wall") && channel_add(&one, &hill, "hill"));
    assert_true(channel_add(&other, &hill, "hill") && channel_add(&other, &wall, "wall"));
    assert_true(channel_has_positions(&one));
    double re = 0.0, im = 0.0, joint = 0.0;
    enum { POSITIONS = 4000 };
    for (uint64_t n = 0; n < POSITIONS; n++) {
        channel_draw(&one, n, &a);
        channel_draw(&other, n, &b);
        assert_near(a.rays[1].phase, b.rays[2].phase, 0.0, "the same name");
        assert_near(a.rays[2].phase, b.rays[1].phase, 0.0, "the same name");
        assert_false(channel_has_positions(&a));
        re += cos(a.rays[1].phase) / POSITIONS;
        im += sin(a.rays[1].phase) / POSITIONS;
        joint += cos(a.rays[1].phase - a.rays[2].phase) / POSITIONS;
    }
    /* Means of 4000 draws of variance 1/2: standard error 0.0112. */
    assert_near(re, 0.0, 0.045, "four standard errors");
    assert_near(im, 0.0, 0.045, "four standard errors");
    assert_near(joint, 0.0, 0.045, "four standard errors, independent rays");
}

static void given_phases_stay_and_the_last_ray_is_refused(void **state)
{
    (void)state;
    struct channel channel = two_rays(1.0, -10.0, 90.0), drawn;
    assert_false(channel_has_positions(&channel));
    assert_false(channel_moves(&channel));
    channel_draw(&channel, 5, &drawn);
    assert_near(drawn.rays[1].phase, PI / 2.0, 1e-15, "given");
    struct echo echo = {.delay_us = 1.0};
    while (channel.count < CHANNEL_RAYS_MAX) {
        assert_true(channel_add(&channel, &echo, "more"));
    }
    assert_false(channel_add(&channel, &echo, "one too many"));
}

/* ---- The receiver moves. ---- */

enum { FIELDS = 4000 };

static struct channel moving_channel(void)
{
    struct channel channel;
    struct echo wall = {.delay_us = 0.3, .level_db = -3.0, .phase_deg = NAN};
    struct echo tram = {.delay_us = 2.0, .level_db = -9.0, .phase_deg = 40.0, .doppler_hz = 1.5};
    channel_start(&channel, 189e6);
    assert_true(channel_add(&channel, &wall, "wall") && channel_add(&channel, &tram, "tram"));
    channel.spread_hz = 4.0;
    return channel;
}

static double complex waves_sum(const struct channel *channel, int ray)
{
    double complex sum = 0.0;
    for (int k = 0; k < channel->waves; k++) {
        const struct ray *wave = &channel->rays[ray * channel->waves + k];
        sum += wave->gain * cexp(CMPLX(0.0, wave->phase));
    }
    return sum;
}

static void each_ray_is_rayleigh_around_its_level(void **state)
{
    (void)state;
    struct channel channel = moving_channel(), drawn;
    assert_true(channel_has_positions(&channel));
    double powers[3] = {0.0}, joint = 0.0, weak = 0.0, squares = 0.0;
    for (uint64_t n = 0; n < FIELDS; n++) {
        channel_draw(&channel, n, &drawn);
        assert_false(channel_has_positions(&drawn));
        assert_int_equal(channel_ray_count(&drawn), 3);
        assert_near(channel_power(&drawn), channel_power(&channel), 1e-9, "waves share the power");
        double complex sums[3];
        for (int ray = 0; ray < 3; ray++) {
            sums[ray] = waves_sum(&drawn, ray);
            powers[ray] += pow(cabs(sums[ray]), 2.0) / FIELDS;
        }
        joint += creal(sums[0] * conj(sums[1])) / FIELDS;
        double power = pow(cabs(sums[0]), 2.0);
        weak += (power < 0.1) / (double)FIELDS;
        squares += power * power / FIELDS;
    }
    assert_near(powers[0], 1.0, 0.06, "four standard errors of an exponential power");
    assert_near(powers[1], ratio_from_db(-3.0), 0.03, "four standard errors");
    assert_near(powers[2], ratio_from_db(-9.0), 0.008, "four standard errors");
    assert_near(joint, 0.0, 0.045, "rays fade each for itself");
    assert_near(weak, 1.0 - exp(-0.1), 0.019, "Rayleigh: 1 - exp(-0.1)");
    assert_near(squares, 2.0 - 1.0 / 8.0, 0.25, "eight equal waves: 2 - 1/8 of the power squared");
}

/* From all sides: shifts of mean 0 and mean square of half the greatest one's. */
static void waves_are_shifted_as_from_all_sides(void **state)
{
    (void)state;
    struct channel channel = moving_channel(), drawn, later;
    for (uint64_t n = 0; n < 50; n++) {
        channel_draw(&channel, n, &drawn);
        for (int ray = 0; ray < 3; ray++) {
            double square = 0.0, own_hz = ray == 2 ? 1.5 : 0.0, nearest = -INFINITY;
            double complex sum = waves_sum(&drawn, ray);
            int first = ray * drawn.waves;
            for (int k = first; k < first + drawn.waves; k++) {
                double shift_hz = drawn.rays[k].doppler_hz - own_hz;
                assert_true(fabs(shift_hz) <= 4.0 + 1e-9);
                square += shift_hz * shift_hz / drawn.waves;
                nearest = fmax(nearest, cos(drawn.rays[k].phase - carg(sum)));
                assert_near(drawn.rays[k].doppler_hz + channel_drift_hz(&drawn, k), own_hz, 1e-9,
                            "means of the waves");
            }
            assert_near(square, 8.0, 1e-9, "half of 4 Hz squared");
            assert_near(cos(drawn.rays[first].phase - carg(sum)), nearest, 1e-12, "the first");
        }
        channel_advance(&drawn, 0.3, &later);
        assert_int_equal(later.waves, drawn.waves);
        assert_near(cabs(channel_response(&drawn, 1e6, 0.3) - channel_response(&later, 1e6, 0.0)),
                    0.0, 1e-9, "what comes later is in the waves");
    }
}

static void the_strongest_ray_is_that_of_the_strongest_sum(void **state)
{
    (void)state;
    struct channel channel = moving_channel(), drawn;
    int others = 0;
    assert_int_equal(channel_strongest(&channel), 0);
    for (uint64_t n = 0; n < 200; n++) {
        channel_draw(&channel, n, &drawn);
        int strongest = channel_strongest(&drawn) / drawn.waves;
        for (int ray = 0; ray < 3; ray++) {
            assert_true(cabs(waves_sum(&drawn, ray)) <=
                        cabs(waves_sum(&drawn, strongest)) * (1.0 + 1e-6));
        }
        others += strongest > 0;
    }
    /* The weaker of two exponential powers of 1 and 0.5 is the stronger at 1/3. */
    assert_in_range(others, 45, 110);
}

static void as_many_waves_as_there_is_room_for(void **state)
{
    (void)state;
    struct channel channel, drawn;
    struct echo echo = {.delay_us = 1.0, .level_db = -20.0};
    channel_start(&channel, 189e6);
    channel.spread_hz = 1.0;
    for (int waves = 8; channel.count <= ECHOES_MAX; waves = drawn.waves) {
        channel_draw(&channel, 0, &drawn);
        assert_true(drawn.waves >= 1 && drawn.waves <= waves);
        assert_true(drawn.count == channel.count * drawn.waves && drawn.count <= ECHOES_MAX + 1);
        assert_true(channel_add(&channel, &echo, "more"));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_ray_is_rayleigh_around_its_level),
        cmocka_unit_test(waves_are_shifted_as_from_all_sides),
        cmocka_unit_test(the_strongest_ray_is_that_of_the_strongest_sum),
        cmocka_unit_test(as_many_waves_as_there_is_room_for),
        cmocka_unit_test(one_echo_of_equal_strength_gives_peaks_and_notches_of_its_delay),
        cmocka_unit_test(a_ray_turns_with_its_doppler),
        cmocka_unit_test(unknown_phases_are_drawn_evenly_and_hang_on_the_ray_not_on_its_place),
        cmocka_unit_test(given_phases_stay_and_the_last_ray_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
