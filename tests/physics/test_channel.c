/* The one channel that every system receives. */
#include "support/near.h"

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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_echo_of_equal_strength_gives_peaks_and_notches_of_its_delay),
        cmocka_unit_test(a_ray_turns_with_its_doppler),
        cmocka_unit_test(unknown_phases_are_drawn_evenly_and_hang_on_the_ray_not_on_its_place),
        cmocka_unit_test(given_phases_stay_and_the_last_ray_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
