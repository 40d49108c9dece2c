#include "support/near.h"
#include "support/signals.h"

#include <math.h>
#include <stdlib.h>

#include "base/random.h"
#include "base/units.h"
#include "physics/vsb/echo.h"
#include "standard/vsb/signal.h"

static const struct first_receiver usual = {.threshold_db = 14.9,
                                            .equaliser_before_us = 29.5,
                                            .equaliser_after_us = 38.5,
                                            .tracking_hz = 10.0,
                                            .feedback = FEEDBACK_ERROR_FREE};

static struct vsb_echo_result solve(const struct echo *echoes, int count, double snr_db,
                                    const struct first_receiver *receiver)
{
    struct vsb_echo_result result;
    assert_int_equal(vsb_solve_echoes(echoes, count, snr_db, receiver, &result), STATUS_OK);
    return result;
}

static void without_echoes_no_line_shows_a_loss(void **state)
{
    (void)state;
    struct vsb_echo_result result = solve(NULL, 0, 20.0, &usual);
    assert_near(result.echo_loss_db, 0.0, 1e-9, "no echo");
    assert_near(result.adaptation_loss_db, 0.0, 0.0, "off by default");
    assert_near(result.lag_loss_db, 0.0, 0.0, "nothing moves");
    assert_near(result.implementation_loss_db, 0.0, 0.0, "off by default");
    assert_near(result.margin_db, 5.1, 1e-9, "20 - 14.9");
    assert_int_equal(result.outside_count, 0);
    assert_true(result.outside_db == -INFINITY && result.too_fast_db == -INFINITY);
}

static void an_implementation_loss_stands_on_its_own_line(void **state)
{
    (void)state;
    struct first_receiver worse = usual;
    worse.implementation_loss_db = 1.5;
    struct echo echo = {5.0, -6.0, 30.0, 0.0};
    struct vsb_echo_result good = solve(&echo, 1, 20.0, &usual);
    struct vsb_echo_result bad = solve(&echo, 1, 20.0, &worse);
    assert_near(bad.implementation_loss_db, 1.5, 0.0, "given");
    assert_near(bad.output_snr_db, good.output_snr_db - 1.5, 1e-12, "taken off");
    assert_near(bad.static_snr_db, good.static_snr_db, 0.0, "not touched");
}

static void an_echo_too_fast_to_follow_is_interference(void **state)
{
    (void)state;
    struct echo echo = {5.0, -10.0, 30.0, 50.0};
    struct vsb_echo_result result = solve(&echo, 1, 30.0, &usual);
    assert_int_equal(result.too_fast_count, 1);
    assert_near(result.too_fast_db, -10.0, 1e-9, "its level");
    assert_near(result.output_snr_db,
                vsb_pilot_db() - 10.0 * log10(0.1 + 1.1e-3 * ratio_from_db(vsb_pilot_db())), 0.01,
                "all its power, but for its pilot");
    assert_true(result.lag_loss_db > 15.0);
    echo.doppler_hz = 9.9;
    assert_near(solve(&echo, 1, 30.0, &usual).lag_loss_db, 0.0, 0.0, "followed ideally");
}

/* The SNR counts the pilot that arrives. An echo on a whole symbol, opposed at the pilot, takes
 * half a ray's amplitude off it, and leaves the data what it would leave them in phase. */
static void a_weak_pilot_leaves_more_of_the_power_to_the_data(void **state)
{
    (void)state;
    const double share = 1.25 * 1.25 / 21.0;
    struct echo with = {20.0 * vsb_symbol_us(), -6.0206, 0.0, 0.0}, against = with;
    against.phase_deg = 180.0;
    double more = (1.25 + share * 2.25) / (1.25 + share * 0.25); /* (1 +- 1/2)^2 */
    assert_near(solve(&against, 1, 20.0, &usual).output_snr_db,
                solve(&with, 1, 20.0 + db_from_ratio(more), &usual).output_snr_db, 1e-3,
                "ATSC A/53 Part 2: 1.25^2 of 21");
}

static void wrong_decisions_stand_on_their_own_line(void **state)
{
    (void)state;
    const struct echo echo = {7.5, -1.0, 0.0, 0.0};
    double last_db = 0.0;
    for (int kind = FEEDBACK_COUNT - 1; kind >= 0; kind--) {
        static const enum vsb_feedback dearer[] = {FEEDBACK_SLICER, FEEDBACK_TRELLIS,
                                                   FEEDBACK_ERROR_FREE};
        struct first_receiver receiver = usual;
        receiver.feedback = dearer[kind];
        struct vsb_echo_result weak = solve(&echo, 1, 18.0, &receiver);
        struct vsb_echo_result strong = solve(&echo, 1, 30.0, &receiver);
        assert_near(weak.static_snr_db - weak.decision_loss_db, weak.output_snr_db, 1e-9, "sum");
        assert_true(weak.decision_loss_db > last_db || kind == FEEDBACK_COUNT - 1);
        assert_int_equal(weak.diverges, receiver.feedback != FEEDBACK_ERROR_FREE);
        assert_int_equal(weak.error_free, receiver.feedback == FEEDBACK_ERROR_FREE);
        assert_false(strong.diverges);
        last_db = weak.decision_loss_db;
    }
    assert_between(last_db, 7.1 - 0.5, 7.1 + 4.5, "simulated 7.1 dB; said to err to the safe side");
}

static void the_receiver_locks_to_a_stronger_ray(void **state)
{
    (void)state;
    /* The main signal is then an early echo of -6 dB at -35 us, out of reach before a main lock...
     */
    struct echo late = {35.0, 6.0, 40.0, 0.0}, early = {-35.0, 6.0, 40.0, 0.0};
    struct vsb_echo_result result = solve(&early, 1, 20.0, &usual);
    assert_near(result.reference_us, -35.0, 1e-12, "main signal as an echo at +35 us");
    assert_int_equal(result.outside_count, 0);
    assert_between(result.output_snr_db, 18.0, 20.0, "equalised");
    result = solve(&late, 1, 20.0, &usual);
    assert_between(result.output_snr_db, 5.0, 17.0, "no lock reaches both well");
    struct echo weak = {5.0, -0.1, 40.0, 0.0};
    assert_near(solve(&weak, 1, 20.0, &usual).reference_us, 0.0, 0.0, "main is strongest");
}

static void echoes_outside_the_reach_are_counted(void **state)
{
    (void)state;
    const struct echo echoes[] = {
        {-29.6, -20.0, 0.0, 0.0}, {38.6, -20.0, 0.0, 0.0}, {38.4, -3.0, 0.0, 0.0}};
    struct vsb_echo_result result = solve(echoes, 3, 20.0, &usual);
    assert_int_equal(result.outside_count, 2);
    assert_near(result.outside_db, -20.0 + 10.0 * log10(2.0), 1e-9, "sum of powers");
}

static void bad_input_is_refused(void **state)
{
    (void)state;
    struct vsb_echo_result result;
    struct echo echo = {2.0 * ECHO_DELAY_MAX_US, -6.0, 0.0, 0.0};
    assert_int_equal(vsb_solve_echoes(&echo, 1, 20.0, &usual, &result), STATUS_OUT_OF_RANGE);
    echo.delay_us = 1.0;
    const double bad_snrs[] = {NAN, INFINITY, -31.0, 101.0};
    for (size_t i = 0; i < 4; i++) {
        assert_int_equal(vsb_solve_echoes(&echo, 1, bad_snrs[i], &usual, &result),
                         STATUS_OUT_OF_RANGE);
    }
    struct first_receiver receiver = usual;
    receiver.equaliser_after_us = 201.0;
    assert_int_equal(vsb_solve_echoes(&echo, 1, 20.0, &receiver, &result), STATUS_OUT_OF_RANGE);
    receiver = usual;
    receiver.adaptation_step = NAN;
    assert_int_equal(vsb_solve_echoes(&echo, 1, 20.0, &receiver, &result), STATUS_OUT_OF_RANGE);
    struct echo opposite = {0.0, 0.0, 180.0, 0.0};
    assert_int_equal(vsb_solve_echoes(&opposite, 1, 20.0, &usual, &result), STATUS_NO_SOLUTION);
}

/* Two moving echoes and one at rest, of which `position` draws the phases. */
static void position_make(int position, struct channel *channel)
{
    struct random random = random_seeded(7, (uint64_t)position);
    struct echo echoes[] = {{0.1, -5.0, 0.0, 0.6}, {0.2, -7.0, 0.0, -1.1}, {0.4, -6.0, 0.0, 0.0}};
    channel_start(channel, 189e6);
    for (int i = 0; i < 3; i++) {
        echoes[i].phase_deg = 360.0 * random_uniform(&random);
        channel_add(channel, &echoes[i], "ray");
    }
}

static void later_positions_take_a_lag_seen_before(void **state)
{
    (void)state;
    enum { POSITIONS = 4 * VSB_LAG_POSITIONS };
    struct first_receiver learning = usual;
    learning.adaptation_step = 0.05;
    learning.feedback = FEEDBACK_TRELLIS;
    struct vsb_echo_work work = {.lags = {{.count = 0}}};
    struct channel channel;
    int own_works = 0, known_works = 0;
    for (int i = 0; i < POSITIONS; i++) {
        struct vsb_echo_result own, known;
        position_make(i, &channel);
        assert_int_equal(vsb_echo_solve(&channel, 18.0, &learning, &own), STATUS_OK);
        assert_int_equal(vsb_echo_solve_position(&channel, 18.0, &learning, &work, &known),
                         STATUS_OK);
        assert_near(known.static_snr_db, own.static_snr_db, 0.0, "the lag does not touch it");
        assert_near(known.adaptation_loss_db, own.adaptation_loss_db, 0.0, "nor this");
        if (i < VSB_LAG_POSITIONS) {
            assert_near(known.output_snr_db, own.output_snr_db, 0.0, "its own lag");
        }
        own_works += own.margin_db >= 0.0;
        known_works += known.margin_db >= 0.0;
    }
    assert_int_equal(work.lags[0].count, VSB_LAG_POSITIONS);
    assert_int_equal(work.lags[1].count, 0); /* no echo is stronger than the main signal */
    struct vsb_echo_result own, other;
    assert_int_equal(vsb_echo_solve(&channel, 25.0, &learning, &own), STATUS_OK);
    assert_int_equal(vsb_echo_solve_position(&channel, 25.0, &learning, &work, &other), STATUS_OK);
    assert_near(other.output_snr_db, own.output_snr_db, 0.0, "another SNR, another lag");
    vsb_echo_work_free(&work);
    assert_between((double)own_works / POSITIONS, 0.3, 0.9, "some fail");
    assert_near((double)known_works / POSITIONS, (double)own_works / POSITIONS, 0.05,
                "each position's own");
}

/* Echoes so late and strong that the equaliser's reach costs something. */
static void a_position_s_margin_is_what_it_would_be_alone(void **state)
{
    (void)state;
    const struct echo late[] = {
        {0.3, -12.0, NAN, 0.0}, {3.5, -4.0, NAN, 0.0}, {4.4, -7.0, NAN, 0.0}};
    struct first_receiver receiver = usual;
    receiver.feedback = FEEDBACK_TRELLIS;
    receiver.equaliser_before_us = 18.0;
    struct vsb_echo_work work = {.lags = {{.count = 0}}};
    struct channel channel, drawn;
    channel_start(&channel, 189e6);
    for (int i = 0; i < 3; i++) {
        assert_true(channel_add(&channel, &late[i], i == 0 ? "a" : i == 1 ? "b" : "c"));
    }
    for (int i = 0; i < 64; i++) {
        struct vsb_echo_result own;
        double margin_db;
        channel_draw(&channel, (uint64_t)i, &drawn);
        assert_int_equal(vsb_echo_solve(&drawn, 22.0, &receiver, &own), STATUS_OK);
        assert_int_equal(vsb_echo_margin_db(&drawn, 22.0, &receiver, -INFINITY, &work, &margin_db),
                         STATUS_OK);
        assert_near(margin_db, own.margin_db, 1e-9, "each position's own");
    }
    vsb_echo_work_free(&work);
}

/* One of the rays is stronger than the main signal, and one beyond the reach. */
static void a_margin_too_small_to_count_is_told_as_such(void **state)
{
    (void)state;
    const struct echo rays[] = {
        {4.0, 2.0, NAN, 0.0}, {0.6, -9.0, NAN, 0.0}, {60.0, -10.0, NAN, 0.0}};
    const double leasts_db[] = {-4.0, -3.7, -3.0, -1.0};
    struct first_receiver receiver = usual;
    receiver.feedback = FEEDBACK_TRELLIS;
    struct vsb_echo_work work = {.lags = {{.count = 0}}};
    struct channel channel, drawn;
    int exact = 0, not_told = 0;
    channel_start(&channel, 189e6);
    for (int i = 0; i < 3; i++) {
        assert_true(channel_add(&channel, &rays[i], i == 0 ? "a" : i == 1 ? "b" : "c"));
    }
    for (int i = 0; i < 256; i++) {
        double margin_db, told_db, least_db = leasts_db[i % 4];
        channel_draw(&channel, (uint64_t)(i / 4), &drawn);
        assert_int_equal(vsb_echo_margin_db(&drawn, 24.0, &receiver, -INFINITY, &work, &margin_db),
                         STATUS_OK);
        assert_int_equal(vsb_echo_margin_db(&drawn, 24.0, &receiver, least_db, &work, &told_db),
                         STATUS_OK);
        if (margin_db >= least_db) {
            assert_near(told_db, margin_db, 0.0, "to the last bit");
            exact++;
        } else {
            assert_true(told_db >= margin_db && told_db < least_db);
            not_told += told_db > margin_db;
        }
    }
    assert_true(exact > 20 && not_told > 20);
    vsb_echo_work_free(&work);
}

/* At an instant waves of a ray are their sum; each alone they are the same channel. */
static void waves_of_a_ray_count_as_their_sum(void **state)
{
    (void)state;
    struct first_receiver receiver = usual;
    receiver.feedback = FEEDBACK_TRELLIS;
    struct channel channel, drawn;
    const struct echo near = {0.3, -6.0, NAN, 0.0}, far = {60.0, -20.0, NAN, 0.0};
    int compared = 0;
    channel_start(&channel, 189e6);
    assert_true(channel_add(&channel, &near, "near") && channel_add(&channel, &far, "far"));
    channel.spread_hz = 2.0;
    for (uint64_t i = 0; i < 32; i++) {
        struct vsb_echo_result sums, waves;
        channel_draw(&channel, i, &drawn);
        bool main_rules = channel_strongest(&drawn) == 0;
        assert_int_equal(vsb_echo_solve(&drawn, 22.0, &receiver, &sums), STATUS_OK);
        drawn.waves = 0;
        assert_int_equal(vsb_echo_solve(&drawn, 22.0, &receiver, &waves), STATUS_OK);
        assert_int_equal(sums.outside_count, 1);
        if (main_rules && channel_strongest(&drawn) == 0) {
            assert_near(sums.margin_db, waves.margin_db, 0.01, "one by one");
            compared++;
        }
    }
    assert_true(compared > 10);
}

/* A wave may turn away from the one locked to twice as fast as the fastest turns: what is followed
 * is their mean. */
static void waves_from_all_sides_are_followed_where_the_fastest_is(void **state)
{
    (void)state;
    const struct echo near = {0.3, -3.0, NAN, 0.0};
    struct channel channel, drawn;
    channel_start(&channel, 189e6);
    assert_true(channel_add(&channel, &near, "near"));
    channel.spread_hz = 0.95 * usual.tracking_hz;
    for (uint64_t i = 0; i < 16; i++) {
        struct vsb_echo_result result;
        channel_draw(&channel, i, &drawn);
        assert_int_equal(vsb_echo_solve(&drawn, 22.0, &usual, &result), STATUS_OK);
        assert_int_equal(result.too_fast_count, 0);
    }
}

/* An echo that drowns in the noise may turn as fast as it likes. */
static void a_weak_echo_s_motion_costs_nothing(void **state)
{
    (void)state;
    struct first_receiver learning = usual;
    learning.adaptation_step = 0.05;
    struct echo echoes[] = {{0.1, -6.0, 40.0, 0.6}, {0.3, -80.0, 0.0, 3.0}};
    for (; echoes[1].level_db < -30.0; echoes[1].level_db += 5.0) {
        struct echo rest[] = {echoes[0], echoes[1]};
        rest[1].doppler_hz = 0.0;
        double at_rest_db = solve(rest, 2, 20.0, &learning).output_snr_db;
        assert_near(solve(echoes, 2, 20.0, &learning).output_snr_db, at_rest_db,
                    db_from_ratio(1.0 + 200.0 * ratio_from_db(echoes[1].level_db)),
                    "no more than twice its power of noise");
    }
}

/* The taps of 1 + a z^-D are known: gamma is the larger root (test_ideal.c). */
static void the_answer_tells_the_energy_fed_back(void **state)
{
    (void)state;
    double a = sqrt(ratio_from_db(-6.0)), noise = (1.0 + a * a) / 100.0, b = 1.0 + a * a + noise;
    double gamma = (b + sqrt(b * b - 4.0 * a * a)) / (2.0 * noise);
    double tap = a / (noise * (gamma - 1.0));
    struct echo echo = {3.0 * vsb_symbol_us(), -6.0, 0.0, 0.0};
    double energy = solve(&echo, 1, 20.0, &usual).feedback_energy;
    assert_near(energy, tap * tap, 0.01 * tap * tap, "closed form");
    struct first_receiver short_reach = usual; /* a forward filter of a few samples, taps solved */
    short_reach.equaliser_before_us = 0.2;
    short_reach.equaliser_after_us = 0.5;
    energy = solve(&echo, 1, 20.0, &short_reach).feedback_energy;
    assert_between(energy, tap * tap, 1.0001 * a * a, "between all samples and one");
}

static void as_many_echoes_as_allowed_at_any_delay_are_handled(void **state)
{
    (void)state;
    static struct echo echoes[ECHOES_MAX];
    for (int i = 0; i < ECHOES_MAX; i++) {
        echoes[i] = (struct echo){-10000.0 + 78.4 * i, -30.0, 37.0 * i, 0.0};
    }
    struct vsb_echo_result result = solve(echoes, ECHOES_MAX, 20.0, &usual);
    /* 255 or so of them stay: 256 / 1000 of the power, and the noise. */
    assert_between(result.output_snr_db, 5.0, 7.0, "interference of 0.255 and noise of 0.0126");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_echoes_no_line_shows_a_loss),
        cmocka_unit_test(an_implementation_loss_stands_on_its_own_line),
        cmocka_unit_test(an_echo_too_fast_to_follow_is_interference),
        cmocka_unit_test(a_weak_pilot_leaves_more_of_the_power_to_the_data),
        cmocka_unit_test(wrong_decisions_stand_on_their_own_line),
        cmocka_unit_test(the_receiver_locks_to_a_stronger_ray),
        cmocka_unit_test(echoes_outside_the_reach_are_counted),
        cmocka_unit_test(bad_input_is_refused),
        cmocka_unit_test(later_positions_take_a_lag_seen_before),
        cmocka_unit_test(a_position_s_margin_is_what_it_would_be_alone),
        cmocka_unit_test(a_margin_too_small_to_count_is_told_as_such),
        cmocka_unit_test(waves_of_a_ray_count_as_their_sum),
        cmocka_unit_test(waves_from_all_sides_are_followed_where_the_fastest_is),
        cmocka_unit_test(a_weak_echo_s_motion_costs_nothing),
        cmocka_unit_test(the_answer_tells_the_energy_fed_back),
        cmocka_unit_test(as_many_echoes_as_allowed_at_any_delay_are_handled),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
