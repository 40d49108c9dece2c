#include "support/effort.h"
#include "support/near.h"
#include "support/signals.h"

#include <math.h>

#include "base/random.h"
#include "base/units.h"
#include "physics/ofdm/work.h"
#include "scenario/scenario.h"

/* Ways to ask for the same numbers, and what must not change them. */

/* ---- The ways to ask agree. ---- */

static struct channel some_channel(struct random *random, double doppler_hz)
{
    struct channel channel = channel_of(NULL, 0);
    for (int i = 0; i < 6; i++) {
        struct echo echo = {.delay_us = 240.0 * random_uniform(random) - 50.0,
                            .level_db = -3.0 - 20.0 * random_uniform(random),
                            .phase_deg = 360.0 * random_uniform(random),
                            .doppler_hz = doppler_hz * random_normal(random)};
        channel_add(&channel, &echo, "ray");
    }
    return channel;
}

static void margin_alone_and_many_codes_get_the_same_numbers(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    struct random random = random_seeded(21, 0);
    struct ofdm_work *work = ofdm_work_new();
    static struct gain_spread spread;
    static struct gain_raster raster;
    for (int trial = 0; trial < 24; trial++) {
        struct channel channel = some_channel(&random, trial % 2 ? 6.0 : 0.0);
        mode.plps[0].code.constellation = (enum constellation)(trial % 5);
        struct asked asked = asked_for(&mode, NULL, 0, 25.0);
        asked.channel = channel;
        asked.reception.span_ms = trial % 4 < 2 ? 0.0 : 150.0;
        struct ofdm_echo_result result;
        double margin_db;
        assert_int_equal(asked_solve(&asked, &result), STATUS_OK);
        /* The same work for all trials: what it keeps of one must not show in the next. */
        assert_int_equal(ofdm_echo_margin_db(&asked.reception, &channel, 25.0, work, &margin_db),
                         STATUS_OK);
        assert_near(margin_db, result.margin_db, 1e-12, "the whole account");
        assert_int_equal(ofdm_echo_spread(&asked.reception, &channel, 25.0, work, &spread),
                         STATUS_OK);
        gain_raster_make(&asked.reception.curve, &raster);
        assert_near(gain_spread_effective_db(&spread, &raster, asked.reception.ideal_db),
                    result.effective_snr_db, 1e-12, "the whole account");
    }
    ofdm_work_free(work);
}

static void positions_of_a_channel_do_not_hang_on_each_other(void **state)
{
    (void)state;
    static const double dopplers_hz[] = {0.0, 0.0, 6.0, 60.0, 60.0};
    struct transmission mode = transmission_default();
    struct asked asked = asked_for(&mode, NULL, 0, 24.0);
    struct random random = random_seeded(22, 0);
    struct ofdm_work *work = ofdm_work_new();
    for (size_t room = 0; room < sizeof dopplers_hz / sizeof dopplers_hz[0]; room++) {
        asked.channel = some_channel(&random, dopplers_hz[room]);
        for (int i = 1; i < asked.channel.count; i++) {
            asked.channel.rays[i].any_phase = true;
            asked.channel.rays[i].draw = (uint64_t)i;
        }
        asked.reception.carriers_most = 1024;
        asked.reception.span_ms = dopplers_hz[room] > 0.0 ? 150.0 : 0.0;
        for (uint64_t position = 0; position < 20; position++) {
            struct channel drawn;
            double kept_db, anew_db;
            channel_draw(&asked.channel, position, &drawn);
            assert_int_equal(ofdm_echo_margin_db(&asked.reception, &drawn, 24.0, work, &kept_db),
                             STATUS_OK);
            struct ofdm_work *other = ofdm_work_new(); /* which looks through every window */
            assert_int_equal(ofdm_echo_margin_db(&asked.reception, &drawn, 24.0, other, &anew_db),
                             STATUS_OK);
            ofdm_work_free(other);
            assert_near(kept_db, anew_db, 0.0, "without what is kept");
        }
    }
    ofdm_work_free(work);
}

/* The same while the receiver moves: positions are then other strengths and shifts too. */
static void positions_on_the_way_do_not_hang_on_each_other(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    struct asked asked = asked_for(&mode, NULL, 0, 24.0);
    struct random random = random_seeded(23, 0);
    struct ofdm_work *work = ofdm_work_new();
    asked.reception.carriers_most = 1024;
    asked.reception.span_ms = 150.0;
    for (int room = 0; room < 6; room++) {
        asked.channel = some_channel(&random, room % 2 == 0 ? 0.0 : 20.0);
        for (int i = 0; i < asked.channel.count; i++) {
            asked.channel.rays[i].draw = (uint64_t)i;
        }
        asked.channel.spread_hz = room < 3 ? 3.0 : 30.0;
        for (uint64_t position = 0; position < 20; position++) {
            struct channel drawn;
            double kept_db, anew_db;
            struct ofdm_work *other = ofdm_work_new();
            channel_draw(&asked.channel, position, &drawn);
            assert_int_equal(ofdm_echo_margin_db(&asked.reception, &drawn, 24.0, work, &kept_db),
                             STATUS_OK);
            assert_int_equal(ofdm_echo_margin_db(&asked.reception, &drawn, 24.0, other, &anew_db),
                             STATUS_OK);
            ofdm_work_free(other);
            assert_near(kept_db, anew_db, 0.0, "without what is kept");
        }
    }
    ofdm_work_free(work);
}

/* Waves of a ray are looked at together, and are rays of their own, each with its shift. */
static void waves_give_what_as_many_rays_do(void **state)
{
    (void)state;
    assumes("what leaks and is mistaken is the mean over the waves");
    static const double spreads_hz[] = {0.3, 3.0, 9.0};
    struct transmission mode = transmission_default();
    struct random random = random_seeded(24, 0);
    double squares = 0.0;
    enum { ROOMS = 24 };
    for (int room = 0; room < ROOMS; room++) {
        struct asked asked = asked_for(&mode, NULL, 0, 20.0);
        struct ofdm_echo_result together, apart;
        asked.channel = some_channel(&random, 0.0);
        for (int i = 0; i < asked.channel.count; i++) {
            asked.channel.rays[i].draw = (uint64_t)i;
        }
        asked.channel.spread_hz = spreads_hz[room % 3];
        asked.reception.span_ms = 200.0;
        channel_draw(&asked.channel, (uint64_t)room, &asked.channel);
        assert_int_equal(asked_solve(&asked, &together), STATUS_OK);
        asked.channel.waves = 0;
        asked.channel.spread_hz = 0.0;
        assert_int_equal(asked_solve(&asked, &apart), STATUS_OK);
        assert_near(together.effective_snr_db, apart.effective_snr_db, 0.1, "as rays of their own");
        double off_db = together.effective_snr_db - apart.effective_snr_db;
        squares += off_db * off_db / ROOMS;
    }
    /* Each errs by 0.02 dB, as 9600 carriers do (below). */
    assert_near(sqrt(squares), 0.0, 0.04, "root mean square over 24 rooms");
}

/* ---- Few carriers at instants of their own stand for all at all times. ---- */

/* By the plain twin, at random. */
static double slow_effective_db(const struct ofdm_reception *reception, double snr_db,
                                const struct ofdm_work *work, struct random *random)
{
    enum { POINTS = 30000 };
    static float snrs[POINTS];
    static struct gain_spread spread;
    double level = work->received_power / ratio_from_db(snr_db) + work->window.moved;
    for (int i = 0; i < POINTS; i++) {
        double hz = (random_uniform(random) - 0.5) * reception->grid.occupied_mhz * 1e6;
        double at_ms = reception->span_ms * (i + random_uniform(random)) / POINTS;
        struct ofdm_powers powers = ofdm_carrier_powers(&reception->grid, &work->rays, hz, at_ms);
        snrs[i] = (float)(powers.useful / (level + fmax(powers.self, 0.0) + powers.mistaken));
    }
    gain_spread_clear(&spread);
    gain_spread_add(&spread, snrs, POINTS);
    gain_spread_normalise(&spread);
    return gain_spread_effective_db(&spread, &work->raster, reception->ideal_db);
}

static void instants_all_over_the_span_tell_what_many_tell(void **state)
{
    (void)state;
    static const double dopplers_hz[] = {0.7, 7.0, 40.0}; /* a part of a turn to many */
    static const struct {
        int carriers_most;
        double mean_db, worst_db;
    } looks[] = {{0, 0.03, 0.08}, {OFDM_QUICK_CARRIERS, 0.15, 0.4}};
    struct transmission mode = transmission_default();
    struct random random = random_seeded(25, 0);
    struct ofdm_work *work = ofdm_work_new();
    for (size_t look = 0; look < sizeof looks / sizeof looks[0]; look++) {
        double squares = 0.0;
        int count = (int)effort(6, 24, 240);
        for (int room = 0; room < count; room++) {
            struct asked asked = asked_for(&mode, NULL, 0, 20.0);
            double margin_db;
            asked.channel = some_channel(&random, dopplers_hz[room % 3]);
            asked.reception.span_ms = 150.0;
            asked.reception.carriers_most = looks[look].carriers_most;
            assert_int_equal(ofdm_echo_margin_db(&asked.reception, &asked.channel, asked.snr_db,
                                                 work, &margin_db),
                             STATUS_OK);
            double fast_db = margin_db + asked.reception.needed_db;
            double slow_db = slow_effective_db(&asked.reception, asked.snr_db, work, &random);
            assert_near(fast_db, slow_db, looks[look].worst_db, "30 000 carriers and instants");
            squares += pow(fast_db - slow_db, 2.0);
        }
        print_message("%d carriers err by %.4f dB\n", looks[look].carriers_most,
                      sqrt(squares / count));
        assert_between(sqrt(squares / count), 0.0, looks[look].mean_db, "root mean square");
    }
    ofdm_work_free(work);
}

/* ---- What must not matter. ---- */

static void check_required(const struct ofdm_echo_result *a, const struct ofdm_echo_result *b,
                           double tolerance_db, const char *source)
{
    assert_int_equal(isinf(a->required_cn_db), isinf(b->required_cn_db));
    if (isfinite(a->required_cn_db)) {
        assert_near(a->required_cn_db, b->required_cn_db, tolerance_db, source);
    }
}

static void an_echo_of_minus_80_db_changes_nothing(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    struct random random = random_seeded(23, 0);
    for (int trial = 0; trial < 12; trial++) {
        struct asked asked = asked_for(&mode, NULL, 0, 24.0);
        asked.channel = some_channel(&random, 0.0);
        asked.channel.spread_hz = trial % 3 == 0 ? 5.0 : 0.0;
        asked.reception.span_ms = 150.0;
        struct ofdm_echo_result without, with;
        assert_int_equal(asked_solve(&asked, &without), STATUS_OK);
        struct echo echo = {.delay_us = -900.0 + 150.0 * trial,
                            .level_db = -80.0,
                            .doppler_hz = trial % 2 ? 0.0 : 40.0};
        channel_add(&asked.channel, &echo, "ghost");
        assert_int_equal(asked_solve(&asked, &with), STATUS_OK);
        assert_near(with.effective_snr_db, without.effective_snr_db, 0.005, "1e-8 of the power");
        check_required(&with, &without, 0.02, "1e-8 of the power");
    }
}

static void the_order_of_echoes_does_not_matter(void **state)
{
    (void)state;
    struct transmission mode = transmission_default();
    struct random random = random_seeded(24, 0);
    for (int trial = 0; trial < 10; trial++) {
        struct asked asked = asked_for(&mode, NULL, 0, 24.0);
        asked.channel = some_channel(&random, 3.0);
        asked.channel.rays[2].delay_us = asked.channel.rays[4].delay_us; /* a tie */
        asked.reception.span_ms = 150.0;
        struct ofdm_echo_result one, other;
        assert_int_equal(asked_solve(&asked, &one), STATUS_OK);
        for (int i = 1; i < asked.channel.count / 2 + 1; i++) {
            int k = asked.channel.count - i;
            struct ray ray = asked.channel.rays[i];
            asked.channel.rays[i] = asked.channel.rays[k];
            asked.channel.rays[k] = ray;
        }
        assert_int_equal(asked_solve(&asked, &other), STATUS_OK);
        assert_near(other.effective_snr_db, one.effective_snr_db, 1e-12, "the same rays");
        check_required(&other, &one, 1e-9, "the same rays");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(margin_alone_and_many_codes_get_the_same_numbers),
        cmocka_unit_test(positions_of_a_channel_do_not_hang_on_each_other),
        cmocka_unit_test(positions_on_the_way_do_not_hang_on_each_other),
        cmocka_unit_test(waves_give_what_as_many_rays_do),
        cmocka_unit_test(instants_all_over_the_span_tell_what_many_tell),
        cmocka_unit_test(an_echo_of_minus_80_db_changes_nothing),
        cmocka_unit_test(the_order_of_echoes_does_not_matter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
