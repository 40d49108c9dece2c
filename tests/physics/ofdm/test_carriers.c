#include "support/near.h"
#include "support/signals.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/complex.h"
#include "base/random.h"
#include "base/units.h"
#include "physics/ofdm/carriers.h"
#include "scenario/scenario.h"
#include "standard/atsc3/grid.h"

static struct phasors room[CHANNEL_RAYS_MAX];

#define MOST 4096
/* Eight rays, each to 6e-8 of its amplitude: 16 of the largest power, 8, times that. */
#define SINGLE 1e-5

static double between(struct random *random, double low, double high)
{
    return low + (high - low) * random_uniform(random);
}

/* Rays on both sides of the window, some beyond the reach, some that move. */
static struct ofdm_rays some_rays(const struct ofdm_grid *grid, struct random *random)
{
    struct channel channel = channel_of(NULL, 0);
    channel.spread_hz = between(random, 0.0, 10.0);
    for (int i = 0; i < 7; i++) {
        struct echo echo = {.delay_us = between(random, -300.0, 300.0),
                            .level_db = between(random, -20.0, 0.0),
                            .phase_deg = between(random, 0.0, 360.0),
                            .doppler_hz = between(random, -60.0, 60.0)};
        channel_add(&channel, &echo, "ray");
    }
    struct ofdm_rays rays;
    ofdm_rays_make(grid, &channel, &rays);
    ofdm_window_apply(grid, &rays, true, between(random, -50.0, 50.0));
    return rays;
}

static void the_fast_twin_equals_the_plain_one(void **state)
{
    (void)state;
    static float useful[MOST], self[MOST], mistaken[MOST];
    struct transmission mode = transmission_default();
    mode.subframes[0].waveform.pilots = SP6_2;
    struct ofdm_grid grid = waveform_grid(&mode.subframes[0].waveform);
    grid.carriers = 3000;
    struct random random = random_seeded(3, 0);
    for (int trial = 0; trial < 20; trial++) {
        struct ofdm_rays rays = some_rays(&grid, &random);
        struct ofdm_choice choice = ofdm_choice_make(&grid, 0, 0.0);
        assert_int_equal(ofdm_choice_count(&choice), 3000);
        ofdm_carriers_fill(&grid, &rays, NULL, &choice, room, NULL,
                           &(struct ofdm_look){useful, self, mistaken});
        for (int i = 0; i < 3000; i += 7) {
            struct ofdm_powers plain =
                ofdm_carrier_powers(&grid, &rays, (i - 1499) * grid.spacing_hz, 0.0);
            assert_near((double)useful[i], plain.useful, SINGLE, "plain twin");
            assert_near((double)self[i], plain.self, SINGLE, "plain twin");
            assert_near((double)mistaken[i], plain.mistaken, SINGLE, "plain twin");
        }
    }
}

/* Rays that were turned before, where they move too, add up to the same numbers. */
static void what_is_kept_of_rays_changes_no_bit(void **state)
{
    (void)state;
    static float anew[3][MOST], kept[3][MOST];
    struct transmission mode = transmission_default();
    struct ofdm_grid grid = waveform_grid(&mode.subframes[0].waveform);
    struct random random = random_seeded(5, 0);
    for (int trial = 0; trial < 8; trial++) {
        struct ofdm_rays rays = some_rays(&grid, &random);
        struct ofdm_choice choice = ofdm_choice_make(&grid, 1500, trial % 2 ? 70.0 : 0.0);
        size_t size = (size_t)ofdm_choice_count(&choice) * sizeof(float);
        struct phasors *turned = malloc(ofdm_turned_count(&rays, &choice) * sizeof *turned);
        assert_non_null(turned);
        ofdm_turned_make(&grid, &rays, &choice, turned);
        for (int i = 0; i < rays.count; i++) { /* another position through another window */
            rays.rays[i].phase += 0.7 * i;
        }
        ofdm_window_apply(&grid, &rays, true, 30.0);
        ofdm_carriers_fill(&grid, &rays, NULL, &choice, room, NULL,
                           &(struct ofdm_look){anew[0], anew[1], anew[2]});
        ofdm_carriers_fill(&grid, &rays, NULL, &choice, NULL, turned,
                           &(struct ofdm_look){kept[0], kept[1], kept[2]});
        for (int i = 0; i < 3; i++) {
            assert_memory_equal(kept[i], anew[i], size);
        }
        free(turned);
    }
}

/* A phase that counts in 2^-32 turns a place errs by half of that at each of 9600 places, 7e-6. */
#define FAR_OUT 1e-4

/* Chosen frequencies are some of all, at parts of the spacing, each at its own instant: every one
 * is found, in order. */
static void chosen_carriers_are_carriers_of_their_instant(void **state)
{
    (void)state;
    static float useful[MOST], self[MOST], mistaken[MOST];
    struct transmission mode = transmission_default();
    struct ofdm_grid grid = waveform_grid(&mode.subframes[0].waveform);
    grid.carriers = 1200;
    struct random random = random_seeded(4, 0);
    struct ofdm_rays rays = some_rays(&grid, &random);
    struct ofdm_choice choice = ofdm_choice_make(&grid, 1600, 80.0);
    int places = 16 * 1199 + 1, step = 12;
    assert_int_equal(choice.parts, 16);
    assert_int_equal(choice.carriers, places);
    assert_int_equal(choice.step, step);
    assert_int_equal(choice.count, 1598);
    ofdm_carriers_fill(&grid, &rays, NULL, &choice, room, NULL,
                       &(struct ofdm_look){useful, self, mistaken});
    for (int i = 0; i < choice.count; i += 7) {
        double nearest = INFINITY, at = ((uint32_t)i * 0x9E3779B9u >> 16) + 0.5;
        assert_near(at / 65536.0, fmod(i * 0.6180339887498949, 1.0), 1e-5, "golden section");
        for (int c = 0; c < step; c++) {
            double hz = (step * i + c - (places - 1) / 2) * grid.spacing_hz / 16.0;
            struct ofdm_powers plain = ofdm_carrier_powers(&grid, &rays, hz, 80.0 * at / 65536.0);
            nearest = fmin(nearest, fabs((double)useful[i] - plain.useful));
        }
        assert_true(nearest < FAR_OUT);
    }
}

static void one_late_ray_disturbs_all_carriers_by_the_rule(void **state)
{
    (void)state;
    assumes("the window begins at the main ray, or ends with it where the other is early");
    struct transmission mode = transmission_default();
    mode.subframes[0].waveform.pilots = SP6_2;
    struct ofdm_grid grid = waveform_grid(&mode.subframes[0].waveform);
    for (double outside_us = 10.0; outside_us < 200.0; outside_us += 40.0) {
        for (int early = 0; early < 2; early++) {
            struct echo echo = {.delay_us = early ? -outside_us : grid.guard_us + outside_us,
                                .level_db = -4.0};
            struct channel channel = channel_of(&echo, 1);
            struct ofdm_rays rays;
            ofdm_rays_make(&grid, &channel, &rays);
            ofdm_window_apply(&grid, &rays, true, 0.0);
            double weight = pow(1.0 - outside_us / grid.useful_us, 2.0);
            for (double hz = -2e6; hz <= 2e6; hz += 3e5) {
                assert_near(ofdm_carrier_powers(&grid, &rays, hz, 0.0).self,
                            ratio_from_db(-4.0) * (1.0 - weight), 1e-12,
                            "EBU Technical Review 295; ITU-R BT.2254");
            }
        }
    }
}

/* ---- Against OFDM symbols themselves. ---- */

enum { POINTS = 64, GUARD = 8, SYMBOLS = 3, TRIALS = 6000 };

struct tap {
    int delay;
    double complex gain;
};

/* Three symbols, each with its guard interval, of random four-phase cells on all carriers. */
static void send(struct random *random, double complex cells[SYMBOLS][POINTS],
                 double complex signal[SYMBOLS * (POINTS + GUARD)])
{
    for (int s = 0; s < SYMBOLS; s++) {
        for (int k = 0; k < POINTS; k++) {
            int phase = (int)(4.0 * random_uniform(random));
            cells[s][k] = CMPLX(phase == 0   ? 1.0
                                : phase == 2 ? -1.0
                                             : 0.0,
                                phase == 1   ? 1.0
                                : phase == 3 ? -1.0
                                             : 0.0);
        }
        for (int n = -GUARD; n < POINTS; n++) {
            double complex sum = 0.0;
            for (int k = 0; k < POINTS; k++) {
                sum += cells[s][k] * cexp(CMPLX(0.0, 2.0 * PI * k * n / POINTS));
            }
            signal[s * (POINTS + GUARD) + GUARD + n] = sum / POINTS;
        }
    }
}

/* What a window on the middle symbol finds on a carrier beside the useful part. */
static void measure(const struct tap *taps, int count, double *disturbance)
{
    static double complex cells[SYMBOLS][POINTS], signal[SYMBOLS * (POINTS + GUARD)];
    double complex received[POINTS];
    struct random random = random_seeded(12, 0);
    memset(disturbance, 0, POINTS * sizeof *disturbance);
    for (int trial = 0; trial < TRIALS; trial++) {
        send(&random, cells, signal);
        for (int n = 0; n < POINTS; n++) {
            int at = POINTS + 2 * GUARD + n;
            received[n] = 0.0;
            for (int i = 0; i < count; i++) {
                received[n] += taps[i].gain * signal[at - taps[i].delay];
            }
        }
        for (int k = 0; k < POINTS; k += 3) {
            double complex sum = 0.0, useful = 0.0;
            for (int n = 0; n < POINTS; n++) {
                sum += received[n] * cexp(CMPLX(0.0, -2.0 * PI * k * n / POINTS));
            }
            for (int i = 0; i < count; i++) {
                int late = taps[i].delay > GUARD ? taps[i].delay - GUARD : 0;
                int early = taps[i].delay < 0 ? -taps[i].delay : 0;
                useful += taps[i].gain * (1.0 - (late + early) / (double)POINTS) *
                          cexp(CMPLX(0.0, -2.0 * PI * k * taps[i].delay / POINTS));
            }
            double complex rest = sum - useful * cells[1][k];
            disturbance[k] += (creal(rest) * creal(rest) + cimag(rest) * cimag(rest)) / TRIALS;
        }
    }
}

static void simulated_symbols_show_the_same_self_interference(void **state)
{
    (void)state;
    assumes("early rays against late ones are left out: at most twice the product of both gaps");
    struct ofdm_grid grid = {.useful_us = POINTS,
                             .guard_us = GUARD,
                             .symbol_us = POINTS + GUARD,
                             .spacing_hz = 1e6 / POINTS,
                             .carriers = POINTS,
                             .occupied_mhz = 1.0,
                             .dx = 1,
                             .dy = 2,
                             .pilot_power = 1.0,
                             .mean_power = 1.0};
    /* A cluster of three late rays, a pair of early ones, a ray within. */
    const struct tap taps[] = {
        {0, 1.0}, {5, 0.5}, {20, 0.6}, {21, -0.5}, {26, 0.3}, {-6, CMPLX(0.0, 0.4)}, {-7, 0.4}};
    enum { TAPS = sizeof taps / sizeof taps[0] };
    struct channel channel = {.count = TAPS};
    for (int i = 0; i < TAPS; i++) {
        double re = creal(taps[i].gain), im = cimag(taps[i].gain);
        channel.rays[i] =
            (struct ray){.gain = hypot(re, im), .phase = atan2(im, re), .delay_us = taps[i].delay};
    }
    struct ofdm_rays rays;
    ofdm_rays_make(&grid, &channel, &rays);
    ofdm_window_apply(&grid, &rays, true, 0.0);
    double measured[POINTS], least = INFINITY, most = 0.0;
    measure(taps, TAPS, measured);
    for (int k = 0; k < POINTS; k += 3) {
        double self = ofdm_carrier_powers(&grid, &rays, k * grid.spacing_hz, 0.0).self;
        /* The power of 6000 normal numbers errs by 1.3 %, four times that; early against late is
         * left out: at most twice the product of both gaps. */
        assert_near(measured[k], self, 0.052 * self + 0.02, "simulated OFDM symbols");
        least = fmin(least, self);
        most = fmax(most, self);
    }
    assert_true(most > 4.0 * least); /* it is coloured */
}

static void the_reach_of_pilots_rolls_off_around_its_edge(void **state)
{
    (void)state;
    assert_near(ofdm_reach_share(0.45), 1.0, 0.0, "all of 0.9");
    assert_near(ofdm_reach_share(-0.5), 0.5, 1e-12, "half at the edge");
    assert_near(ofdm_reach_share(0.55), 0.0, 0.0, "none from 1.1 on");
    assert_near(ofdm_reach_share(0.475), 0.5 + sqrt(0.125), 1e-12,
                "a raised cosine, cos 45 degrees");
    for (double place = 0.4; place < 0.6; place += 0.013) {
        assert_near(ofdm_reach_share(place) + ofdm_reach_share(place - 1.0), 1.0, 1e-12,
                    "a ray and its image, a filter that keeps the pilots' values");
    }
}

/* Three rays over more than the reach, of which the weakest turns: the share a of it that passes is
 * mistaken by what it turns, the rest is not in the estimate but its image is. Too fast, none of it
 * is, and of the error, which is 1 and more, the 1 is the ray itself. */
static void a_turning_ray_is_mistaken_by_its_turn_and_its_place(void **state)
{
    (void)state;
    struct ofdm_grid grid = {.useful_us = 1000.0,
                             .guard_us = 250.0,
                             .symbol_us = 1250.0,
                             .spacing_hz = 1000.0,
                             .carriers = 1000,
                             .occupied_mhz = 1.0,
                             .dx = 2,
                             .dy = 4,
                             .pilot_power = 1.0,
                             .mean_power = 1.0};
    for (int fast = 0; fast < 2; fast++) {
        struct channel channel = {.count = 3};
        channel.rays[0] = (struct ray){.gain = 1.0};
        channel.rays[1] = (struct ray){.gain = 0.9, .delay_us = 452.0};
        channel.rays[2] =
            (struct ray){.gain = 0.3, .delay_us = 480.0, .doppler_hz = fast ? 170.0 : 40.0};
        struct ofdm_rays rays;
        ofdm_rays_make(&grid, &channel, &rays);
        ofdm_window_apply(&grid, &rays, true, 0.0);
        const struct ofdm_ray *ray = &rays.rays[2];
        double turned = ray->turned * ray->coherent, a = ray->known, e = ray->mistaken;
        if (fast) {
            assert_near(a, 0.0, 0.0, "not followed");
            assert_near(e * e, turned - 1.0, 1e-12, "beside the ray itself");
        } else {
            assert_true(a > 0.1 && a < 0.9 && turned > 0.01);
            assert_near(e * e, (1.0 - a) * (1.0 - a) + a * a * turned, 1e-12, "image and turn");
        }
    }
}

/* Why the roll-off starts where it does. */
static void no_legal_guard_interval_meets_the_roll_off(void **state)
{
    (void)state;
    assumes("all patterns that the table allows");
    double most = 0.0;
    struct transmission mode = transmission_default();
    struct waveform *waveform = &mode.subframes[0].waveform;
    for (int f = 0; f < FFT_COUNT; f++) {
        for (int g = 0; g < GUARD_COUNT; g++) {
            for (int p = 0; p < PILOTS_COUNT; p++) {
                if (pilots_are_allowed((enum fft_size)f, (enum guard)g, (enum pilots)p)) {
                    waveform->fft = (enum fft_size)f;
                    waveform->guard = (enum guard)g;
                    waveform->pilots = (enum pilots)p;
                    struct ofdm_grid grid = waveform_grid(waveform);
                    most = fmax(most, grid.guard_us * grid.dx / grid.useful_us);
                }
            }
        }
    }
    assert_near(most, 57.0 / 64.0, 1e-12, "ATSC A/322:2024-04 Table 8.3");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_fast_twin_equals_the_plain_one),
        cmocka_unit_test(what_is_kept_of_rays_changes_no_bit),
        cmocka_unit_test(chosen_carriers_are_carriers_of_their_instant),
        cmocka_unit_test(one_late_ray_disturbs_all_carriers_by_the_rule),
        cmocka_unit_test(simulated_symbols_show_the_same_self_interference),
        cmocka_unit_test(the_reach_of_pilots_rolls_off_around_its_edge),
        cmocka_unit_test(a_turning_ray_is_mistaken_by_its_turn_and_its_place),
        cmocka_unit_test(no_legal_guard_interval_meets_the_roll_off),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
