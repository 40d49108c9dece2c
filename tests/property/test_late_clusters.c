/* Rays beyond the guard interval that stand a sample or two apart: what they disturb with is
 * coloured over the carriers, for it is cut from one signal. Held against OFDM symbols themselves,
 * carrier by carrier: each carrier is sent alone, in the symbol that the window is meant for and in
 * those around it, and what of it arrives on others is added up; nothing of physics/ofdm is used.
 * The first cluster, opposed and as strong as the main signal, leaves 13.1 dB by the window that
 * serves best, which begins between them; by one that begins with the main signal 12.7 dB, and were
 * interference alike on all carriers 12.0 dB. */
#include "support/near.h"
#include "support/signals.h"

#include <math.h>
#include <string.h>

#include "base/complex.h"
#include "base/units.h"
#include "physics/information/information.h"
#include "physics/ofdm/carriers.h"

enum { POINTS = 1024, GUARD = 48, CARRIERS = 865, HALF = CARRIERS / 2, STEP = 4, RAYS = 5 };
enum { HEARD = (CARRIERS - 1) / STEP + 1 };
enum { APART = 2 * CARRIERS - 1 }; /* how far carriers may lie from each other, either way */
#define SAMPLES_A_US 6.912
#define SNR_DB 20.0

/* The edges' carriers lack neighbours on one side that would disturb them, more of them the fewer
 * carriers there are; and early rays against late ones are left out. */
#define EDGE (22 * STEP)
#define CARRIER_DB 0.12
#define EFFECTIVE_DB 0.11

struct cluster {
    const char *name;
    int count;
    struct {
        int delay; /* in samples */
        double level_db, phase_deg;
    } echoes[RAYS - 1];
};
static const struct cluster clusters[] = {
    {"opposed, 1.5 guard intervals late", 2, {{72, 0.0, 0.0}, {73, 0.0, 180.0}}},
    {"opposed, weaker", 2, {{72, -6.0, 70.0}, {73, -6.0, 250.0}}},
    {"opposed, early", 2, {{-73, -3.0, 10.0}, {-72, -3.0, 190.0}}},
    {"alike, three guard intervals late", 2, {{144, -4.0, 40.0}, {145, -4.0, 40.0}}},
    {"a quarter turn apart", 2, {{90, -3.0, 0.0}, {91, -3.0, 90.0}}},
    {"three, the middle one opposed", 3, {{80, -8.0, 0.0}, {81, -2.0, 180.0}, {82, -8.0, 0.0}}},
    {"opposed, two apart, and one within",
     4,
     {{20, -3.0, 120.0}, {70, -5.0, 0.0}, {72, -5.0, 180.0}, {75, -9.0, 300.0}}},
};

static const struct ofdm_grid grid = {.sample_rate_hz = SAMPLES_A_US * 1e6,
                                      .useful_us = POINTS / SAMPLES_A_US,
                                      .guard_us = GUARD / SAMPLES_A_US,
                                      .symbol_us = (POINTS + GUARD) / SAMPLES_A_US,
                                      .spacing_hz = SAMPLES_A_US * 1e6 / POINTS,
                                      .carriers = CARRIERS,
                                      .occupied_mhz = CARRIERS * SAMPLES_A_US / POINTS,
                                      .dx = 1,
                                      .dy = 2,
                                      .pilot_power = 1.0,
                                      .mean_power = 1.0};

/* On each carrier. */
struct powers {
    double useful[CARRIERS], disturbing[CARRIERS], received;
};

/* A ray's samples that the window takes of one symbol: from..to - 1 of the window, sent at those
 * times less `back` of the symbol's own clock. */
struct piece {
    double complex gain;
    int from, to, back;
    double complex sum[APART]; /* of exp(j 2 pi q n / N) over them, q from -(CARRIERS - 1) on */
};

static double complex turned(double turns)
{
    return cexp(CMPLX(0.0, 2.0 * PI * turns));
}

/* exp(j 2 pi part / N). */
static double complex root(int part)
{
    static double complex roots[POINTS];
    if (roots[0] == 0.0) {
        for (int i = 0; i < POINTS; i++) {
            roots[i] = turned((double)i / POINTS);
        }
    }
    return roots[(part % POINTS + POINTS) % POINTS];
}

static void add_up(struct piece *piece)
{
    for (int q = 0; q < APART; q++) {
        piece->sum[q] = 0.0;
        for (int n = piece->from; n < piece->to; n++) {
            piece->sum[q] += root((q - (CARRIERS - 1)) * n) / POINTS;
        }
    }
}

/* Of the symbol `number` after the one that the window is meant for, where it begins `start`
 * samples after the main signal's useful part does. */
static void cut(const struct channel *channel, int start, int number, struct piece pieces[RAYS])
{
    for (int i = 0; i < channel->count; i++) {
        const struct ray *ray = &channel->rays[i];
        int back = (int)lround(ray->delay_us * SAMPLES_A_US) - start + number * (POINTS + GUARD);
        int from = back - GUARD, to = back + POINTS;
        pieces[i] = (struct piece){.gain = ray->gain * turned(ray->phase / 2.0 / PI),
                                   .from = from < 0        ? 0
                                           : from > POINTS ? POINTS
                                                           : from,
                                   .to = to > POINTS ? POINTS
                                         : to < 0    ? 0
                                                     : to,
                                   .back = back};
        add_up(&pieces[i]);
    }
}

/* What carrier `sent` brings on carrier `heard`. */
static double complex brought(const struct piece *pieces, int count, int sent, int heard)
{
    double complex sum = 0.0;
    for (int i = 0; i < count; i++) {
        sum += pieces[i].gain * root((HALF - sent) * pieces[i].back) *
               pieces[i].sum[sent - heard + CARRIERS - 1];
    }
    return sum;
}

static double norm(double complex value)
{
    return creal(value) * creal(value) + cimag(value) * cimag(value);
}

static void send_all(const struct channel *channel, int start, struct powers *powers)
{
    static struct piece pieces[RAYS];
    memset(powers, 0, sizeof *powers);
    for (int number = -1; number <= 1; number++) {
        cut(channel, start, number, pieces);
        for (int heard = 0; heard < CARRIERS; heard += STEP) {
            for (int sent = 0; sent < CARRIERS; sent++) {
                double power = norm(brought(pieces, channel->count, sent, heard));
                bool own = number == 0 && sent == heard;
                *(own ? &powers->useful[heard] : &powers->disturbing[heard]) += power;
            }
        }
    }
    for (int k = 0; k < CARRIERS; k += STEP) {
        double complex sum = 0.0;
        for (int i = 0; i < channel->count; i++) {
            const struct ray *ray = &channel->rays[i];
            sum += ray->gain * turned(ray->phase / 2.0 / PI -
                                      (k - HALF) * grid.spacing_hz * ray->delay_us * 1e-6);
        }
        powers->received += norm(sum) / HEARD;
    }
}

/* The SNR of the steady channel that carries as much, with what disturbs on each carrier itself or
 * its mean on all. */
static double effective_db(const struct powers *powers, bool coloured)
{
    double bits = 0.0, mean = 0.0, noise = powers->received / ratio_from_db(SNR_DB);
    for (int k = 0; k < CARRIERS; k += STEP) {
        mean += powers->disturbing[k] / HEARD;
    }
    for (int k = 0; k < CARRIERS; k += STEP) {
        double snr = powers->useful[k] / (noise + (coloured ? powers->disturbing[k] : mean));
        bits += information_awgn(QAM64, 10, db_from_ratio(fmax(snr, 1e-9))) / HEARD;
    }
    return information_inverse_db(QAM64, 10, bits);
}

static struct channel channel_with(const struct cluster *cluster)
{
    struct echo echoes[RAYS - 1];
    for (int i = 0; i < cluster->count; i++) {
        echoes[i] = (struct echo){.delay_us = cluster->echoes[i].delay / SAMPLES_A_US,
                                  .level_db = cluster->echoes[i].level_db,
                                  .phase_deg = cluster->echoes[i].phase_deg};
    }
    return channel_of(echoes, cluster->count);
}

static void hold_carriers(const struct ofdm_rays *rays, const struct powers *powers,
                          const char *name)
{
    double noise = powers->received / ratio_from_db(SNR_DB);
    for (int k = EDGE; k < CARRIERS - EDGE; k += STEP) {
        struct ofdm_powers told =
            ofdm_carrier_powers(&grid, rays, (k - HALF) * grid.spacing_hz, 0.0);
        assert_near(db_from_ratio(told.useful + noise), db_from_ratio(powers->useful[k] + noise),
                    1e-9, name);
        assert_near(db_from_ratio(told.self + noise), db_from_ratio(powers->disturbing[k] + noise),
                    CARRIER_DB, name);
    }
}

static void clusters_disturb_each_carrier_as_symbols_sent_do(void **state)
{
    (void)state;
    assumes("an FFT of 1024 points, noise of 20 dB counted with what disturbs, the middle 80 % of "
            "the carriers");
    static struct powers powers;
    for (size_t i = 0; i < sizeof clusters / sizeof clusters[0]; i++) {
        struct channel channel = channel_with(&clusters[i]);
        for (int start = -GUARD; start <= GUARD; start += GUARD) {
            struct ofdm_rays rays;
            ofdm_rays_make(&grid, &channel, &rays);
            ofdm_window_apply(&grid, &rays, true, start / SAMPLES_A_US);
            send_all(&channel, start, &powers);
            hold_carriers(&rays, &powers, clusters[i].name);
        }
    }
}

/* All carriers, those at the edges too, which are disturbed less than is told. */
static void clusters_leave_the_information_that_symbols_sent_carry(void **state)
{
    (void)state;
    assumes("64QAM 10/15, 20 dB of SNR, an FFT of 1024 points, the window that serves best");
    static struct powers powers;
    const struct ofdm_reception reception = {.grid = grid,
                                             .curve = information_curve_of(QAM64, 10),
                                             .ideal_db = SNR_DB, /* all is literal information */
                                             .needed_db = SNR_DB};
    double most_db = 0.0;
    for (size_t i = 0; i < sizeof clusters / sizeof clusters[0]; i++) {
        struct asked asked = {reception, channel_with(&clusters[i]), SNR_DB};
        struct ofdm_echo_result result;
        assert_int_equal(asked_solve(&asked, &result), STATUS_OK);
        int start = (int)lround(result.window.start_us * SAMPLES_A_US);
        send_all(&asked.channel, start, &powers);
        double sent_db = effective_db(&powers, true);
        assert_near(result.effective_snr_db, sent_db, EFFECTIVE_DB, clusters[i].name);
        most_db = fmax(most_db, sent_db - effective_db(&powers, false));
    }
    assert_true(most_db > 1.0); /* what one mean for all carriers would miss */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(clusters_disturb_each_carrier_as_symbols_sent_do),
        cmocka_unit_test(clusters_leave_the_information_that_symbols_sent_carry),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
