/* Transmitters that meet, with filters of their own and without; and a part of the carriers. */
#include "support/near.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/ofdm/carriers.h"
#include "physics/ofdm/meeting.h"

static struct phasors room[CHANNEL_RAYS_MAX];

static const struct ofdm_grid plain = {.sample_rate_hz = 6.912e6,
                                       .useful_us = 2370.37,
                                       .guard_us = 148.1,
                                       .symbol_us = 2518.5,
                                       .spacing_hz = 421.875,
                                       .carriers = 13825,
                                       .occupied_mhz = 5.832422,
                                       .dx = 12,
                                       .dy = 2,
                                       .pilot_power = 3.0,
                                       .mean_power = 1.04};

static struct ofdm_grid filtered(double filter_us)
{
    struct ofdm_grid grid = plain;
    grid.filter_us = filter_us;
    return grid;
}

/* As many transmitters as said, each so late and so weak. */
static void meet(struct channel *channel, int others, double later_us, double level_db)
{
    channel_start(channel, 600e6);
    for (int i = 0; i < others; i++) {
        const struct echo echo = {.delay_us = (i + 1) * later_us, .level_db = level_db};
        assert_true(channel_add(channel, &echo, "other"));
        channel->rays[i + 1].transmitter = i + 1;
    }
}

static void two_equal_transmitters_cancel_as_their_phases_say(void **state)
{
    (void)state;
    struct channel channel;
    meet(&channel, 1, 0.0, 0.0);
    for (double percent = 50.0; percent < 99.5; percent += 7.0) {
        double expected_db = db_from_ratio(1.0 + cos(PI * percent / 100.0));
        assert_near(ofdm_meeting_db(&plain, &channel, percent), expected_db,
                    percent > 95.0 ? 1.0 : 0.2, "1 + cos(phase)");
    }
    meet(&channel, 1, 0.0, -200.0);
    assert_near(ofdm_meeting_db(&plain, &channel, 99.0), 0.0, 1e-6, "one alone");
    channel_start(&channel, 600e6);
    assert_true(isnan(ofdm_meeting_db(&plain, &channel, 99.0)));
}

static void filters_keep_the_power_where_equal_signals_meet(void **state)
{
    (void)state;
    static const double lengths_us[] = {64 / 6.912, 256 / 6.912};
    for (int i = 0; i < 2; i++) {
        struct ofdm_grid grid = filtered(lengths_us[i]);
        for (int others = 1; others <= 3; others++) {
            for (double later_us = 0.0; later_us < 20.0; later_us += 3.3) {
                struct channel channel;
                meet(&channel, others, later_us, 0.0);
                assert_between(ofdm_meeting_db(&grid, &channel, 99.0), -3.0, 0.0,
                               "phases spread over the channel");
            }
        }
    }
}

/* Both ways to fill carriers agree, and what rays have in common is their mean. */
static void filtered_rays_add_up_on_every_carrier(void **state)
{
    (void)state;
    struct ofdm_grid grid = filtered(64 / 6.912);
    struct channel channel;
    struct ofdm_rays rays;
    meet(&channel, 2, 1.7, -1.0);
    ofdm_rays_make(&grid, &channel, &rays);
    ofdm_window_apply(&grid, &rays, true, 0.0);
    struct ofdm_choice choice = ofdm_choice_make(&grid, 0, 0.0);
    int count = ofdm_choice_count(&choice);
    size_t each = (size_t)(count + PHASORS_BLOCK); /* whole blocks */
    float *powers = malloc(3 * each * sizeof *powers);
    const struct ofdm_look look = {powers, powers + each, powers + 2 * each};
    ofdm_carriers_fill(&grid, &rays, NULL, &choice, room, NULL, &look);
    double sum = 0.0, alike = 0.0;
    for (int i = 0; i < count; i++) {
        sum += (double)look.useful[i] / count;
        if (i % 97 == 0) {
            double hz = (i - (grid.carriers - 1) / 2) * grid.spacing_hz;
            assert_near((double)look.useful[i], ofdm_carrier_powers(&grid, &rays, hz, 0.0).useful,
                        1e-4, "carrier by carrier");
        }
    }
    for (int i = 0; i < rays.count; i++) {
        alike += rays.rays[i].power;
        for (int k = 0; k < i; k++) {
            const struct ofdm_ray *a = &rays.rays[i], *b = &rays.rays[k];
            alike += 2.0 * sqrt(a->power * b->power) * creal(ofdm_rays_alike(&grid, a, b));
        }
    }
    assert_near(sum, alike, 0.03, "mean over the carriers");
    free(powers);
}

static void a_part_of_the_carriers_is_that_part(void **state)
{
    (void)state;
    struct channel channel;
    struct ofdm_rays rays;
    meet(&channel, 1, 0.1, 0.0); /* a notch about half of the channel wide */
    ofdm_rays_make(&plain, &channel, &rays);
    ofdm_window_apply(&plain, &rays, true, 0.0);
    for (int most = 0; most <= 800; most += 800) {
        const struct ofdm_part part = {0.25, 0.5};
        struct ofdm_choice choice = ofdm_choice_of_part(&plain, part, most, 0.0);
        int count = ofdm_choice_count(&choice);
        size_t each = (size_t)(count + PHASORS_BLOCK); /* whole blocks */
        float *powers = malloc(3 * each * sizeof *powers);
        const struct ofdm_look look = {powers, powers + each, powers + 2 * each};
        ofdm_carriers_fill(&plain, &rays, NULL, &choice, room, NULL, &look);
        double sum = 0.0, expected = 0.0;
        for (int i = 0; i < count; i++) {
            sum += (double)look.useful[i] / count;
        }
        for (int i = 0; i < 1000; i++) { /* 2 + 2 cos(2 pi f delay) over the part */
            double hz = plain.occupied_mhz * 1e6 * (0.25 + 0.25 * (i + 0.5) / 1000 - 0.5);
            expected += (2.0 + 2.0 * cos(2.0 * PI * hz * 0.1e-6)) / 1000;
        }
        assert_near(sum, expected, most > 0 ? 0.05 : 1e-3, "mean over that part");
        free(powers);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_equal_transmitters_cancel_as_their_phases_say),
        cmocka_unit_test(filters_keep_the_power_where_equal_signals_meet),
        cmocka_unit_test(filtered_rays_add_up_on_every_carrier),
        cmocka_unit_test(a_part_of_the_carriers_is_that_part),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
