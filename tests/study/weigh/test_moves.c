#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "scenario/scenario.h"
#include "study/verdict/verdict.h"
#include "study/weigh/moves.h"
#include "study/weigh/weighed.h"
#include "support/effort.h"

static bool as_good(const struct weigh_space *space, uint32_t a, uint32_t b)
{
    return weigh_echo_us(space, a) >= weigh_echo_us(space, b) &&
           space->modes[a].speed_kmh >= space->modes[b].speed_kmh;
}

/* What each move promises, and that nothing in the space does better. */
static void moves_keep_their_promises(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
    struct random random = random_seeded(4, 4);
    int found = 0;
    for (int round = 0; round < 60; round++) {
        uint32_t from = (uint32_t)(random_bits(&random) % space->count);
        const struct weighed *now = &space->modes[from];
        struct move moves[MOVE_COUNT];
        moves_make(space, NULL, from, moves);
        double most = now->net_mbps, least = now->snr_db, longest = -1.0;
        for (uint32_t i = 0; i < space->count; i++) {
            const struct weighed *mode = &space->modes[i];
            if (!as_good(space, i, from)) {
                continue;
            }
            if (mode->snr_db <= now->snr_db) {
                most = fmax(most, mode->net_mbps);
                if (weigh_echo_us(space, i) > weigh_echo_us(space, from)) {
                    longest = fmax(longest, mode->net_mbps);
                }
            }
            if (mode->net_mbps >= now->net_mbps) {
                least = fmin(least, mode->snr_db);
            }
        }
        assert_int_equal(moves[MOVE_MORE_BITS].exists, most > now->net_mbps);
        assert_int_equal(moves[MOVE_MORE_ROBUST].exists, least < now->snr_db);
        assert_int_equal(moves[MOVE_LONGER_ECHOES].exists, longest >= 0.0);
        if (moves[MOVE_MORE_BITS].exists) {
            uint32_t to = moves[MOVE_MORE_BITS].mode;
            assert_true(as_good(space, to, from) && space->modes[to].snr_db <= now->snr_db);
            assert_near(space->modes[to].net_mbps, most, 0.0, "brute force");
            found++;
        }
        if (moves[MOVE_MORE_ROBUST].exists) {
            assert_near(space->modes[moves[MOVE_MORE_ROBUST].mode].snr_db, least, 0.0,
                        "brute force");
        }
        struct transmission before = mode_of(space, from);
        if (moves[MOVE_LONGER_GUARD].exists) {
            struct transmission after = mode_of(space, moves[MOVE_LONGER_GUARD].mode);
            const struct waveform *now_sent = &before.subframes[0].waveform;
            const struct waveform *then_sent = &after.subframes[0].waveform;
            assert_int_equal(then_sent->guard, now_sent->guard + 1);
            assert_int_equal(then_sent->fft, now_sent->fft);
            assert_int_equal(after.plps[0].code.rate_15ths, before.plps[0].code.rate_15ths);
        }
        if (moves[MOVE_FASTER].exists) {
            struct transmission after = mode_of(space, moves[MOVE_FASTER].mode);
            assert_int_equal(after.subframes[0].waveform.fft + 1, before.subframes[0].waveform.fft);
            assert_true(space->modes[moves[MOVE_FASTER].mode].speed_kmh > now->speed_kmh);
        }
        if (now->frontier) {
            assert_false(moves[MOVE_MORE_BITS].exists || moves[MOVE_MORE_ROBUST].exists);
        }
    }
    assert_true(found > 20);
    space_end(space);
}

static void changes_are_named(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
    uint32_t from = (uint32_t)weigh_find(space, &scenario);
    struct text out = {0};
    moves_write_changes(space, from, from, &out);
    assert_string_equal(text_string(&out), "nothing");
    text_clear(&out);
    scenario.transmission.subframes[0].waveform.fft = FFT_32K;
    scenario.transmission.plps[0].code.rate_15ths = 9;
    scenario.transmission.subframes[0].waveform.boost = 2;
    moves_write_changes(space, from, (uint32_t)weigh_find(space, &scenario), &out);
    assert_string_equal(text_string(&out), "FFT 16K to 32K, boost 4 to 2, rate 10/15 to 9/15");
    text_free(&out);
    space_end(space);
}

/* Margins of the whole space against the verdict on single modes in the same channel. */
static void margins_are_those_of_the_verdict(void **state)
{
    (void)state;
    static const struct {
        double delays[3], levels[3];
    } channels[] = {
        {{0.5, 1.6, 5.0}, {-2.0, -6.0, -10.0}},
        {{60.0, 180.0, 0.3}, {-3.0, -12.0, -5.0}},   /* partly beyond short guard intervals */
        {{-40.0, 120.0, 320.0}, {-6.0, -1.0, -9.0}}, /* ahead, and beyond most */
    };
    struct random random = random_seeded(6, 2);
    double worst = 0.0;
    size_t modes = effort(25, 60, 2000);
    for (size_t c = 0; c < sizeof channels / sizeof channels[0]; c++) {
        struct scenario scenario = scenario_default();
        scenario.receiver.snr_db = 18.0;
        scenario.echo_count = 3;
        for (int i = 0; i < 3; i++) {
            scenario.echoes[i] = (struct echo){.delay_us = channels[c].delays[i],
                                               .level_db = channels[c].levels[i],
                                               .phase_deg = 70.0 * i};
        }
        struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
        assert_int_equal(weigh_echo_margins(space, NULL, NULL), STATUS_OK);
        struct verdict *study = malloc(sizeof *study);
        assert_non_null(study);
        size_t compared = 0;
        while (compared < modes) {
            size_t i = (size_t)(random_bits(&random) % space->count);
            double margin = (double)space->echo_margins[i].half_db;
            if (!(margin > -15.0 && margin < 15.0)) {
                continue; /* far from deciding anything */
            }
            scenario.transmission = mode_of(space, i);
            assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, study, NULL), STATUS_OK);
            worst = fmax(worst, fabs(study->margin_db - margin));
            assert_near(margin, study->margin_db, 0.01, "verdict on the single mode");
            compared++;
        }
        free(study);
        space_end(space);
    }
    print_message("largest difference from the single verdict: %.3f dB\n", worst);
}

/* The same where phases are any: the very position in the middle, and the others' estimates. */
static void margins_of_positions_are_those_of_the_verdict(void **state)
{
    (void)state;
    static const struct {
        double delays[2], levels[2], doppler_hz[2];
    } channels[] = {
        {{70.0, 205.0}, {-4.0, -9.0}, {0.0, 0.0}}, /* beyond short guard intervals */
        {{0.4, 22.0}, {-3.0, -10.0}, {54.0, -31.0}},
    };
    struct random random = random_seeded(8, 2);
    struct verdict *study = malloc(sizeof *study), *weighed = malloc(sizeof *weighed);
    assert_non_null(study);
    assert_non_null(weighed);
    for (size_t c = 0; c < sizeof channels / sizeof channels[0]; c++) {
        struct scenario scenario = scenario_default();
        scenario.receiver.snr_db = 19.0;
        scenario.receiver.positions = 24;
        scenario.receiver.position_percent = 80.0;
        scenario.echo_count = 2;
        for (int i = 0; i < 2; i++) {
            scenario.echoes[i] = (struct echo){.delay_us = channels[c].delays[i],
                                               .level_db = channels[c].levels[i],
                                               .phase_deg = NAN,
                                               .doppler_hz = channels[c].doppler_hz[i]};
        }
        struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
        assert_int_equal(weigh_echo_margins(space, NULL, NULL), STATUS_OK);
        for (size_t compared = 0; compared < effort(40, 80, 2000);) {
            size_t i = (size_t)(random_bits(&random) % space->count);
            weigh_report(space, i, weighed);
            /* Boosts share a look; each moves the interleaver's span by up to 0.5 %. */
            if (!(fabs(weighed->margin_db) < 15.0) || weighed->facts.boost != 0.0) {
                continue;
            }
            scenario.transmission = mode_of(space, i);
            assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, study, NULL), STATUS_OK);
            assert_near(weighed->margin_db, study->margin_db, 1e-4, "verdict on the single mode");
            assert_near(weighed->margin_90_db, study->margin_90_db, 0.001, "the same");
            assert_near(weighed->margin_99_db, study->margin_99_db, 0.001, "the same");
            assert_true(weighed->works == study->works || fabs(study->margin_90_db) < 2.0);
            compared++;
        }
        space_end(space);
    }
    free(study);
    free(weighed);
}

static bool stop_at_once(void *owner, double share)
{
    (void)share;
    ++*(int *)owner;
    return false;
}

static void making_margins_can_be_stopped(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario.receiver.snr_db = 20.0;
    struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
    int asked = 0;
    struct weigh_progress progress = {stop_at_once, &asked};
    assert_int_equal(weigh_echo_margins(space, &progress, NULL), STATUS_STOPPED);
    assert_int_equal(asked, 1);
    assert_null(space->echo_margins);
    space_end(space);
}

static void without_an_snr_no_margins_are_made(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
    int asked = 0;
    struct weigh_progress progress = {stop_at_once, &asked};
    struct fault fault = {0};
    assert_int_equal(weigh_echo_margins(space, &progress, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "receiver.snr_db");
    assert_string_equal(fault.allowed, "an SNR, a level (receiver.level_dbm) or a station");
    assert_int_equal(asked, 0);
    assert_true(isnan(weigh_margin_db(space, 0)));
    space_end(space);
}

/* A move leads to nothing that breaks a limit, and says where that is why there is none. */
static void moves_stay_within_the_limits(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
    long from = weigh_find(space, &scenario);
    assert_true(from >= 0);
    struct move all[MOVE_COUNT], within[MOVE_COUNT];
    moves_make(space, NULL, (uint32_t)from, all);
    struct weigh_wish wish = weigh_wish_none();
    wish.limits[LIMIT_RATE] = space->modes[from].net_mbps - 1.0;
    wish.fixed = 1u << space->choices->fft;
    moves_make(space, &wish, (uint32_t)from, within);
    int fewer = 0;
    for (int i = 0; i < MOVE_COUNT; i++) {
        assert_true(!within[i].exists || weigh_keeps(space, &wish, within[i].mode));
        fewer += all[i].exists && !within[i].exists;
    }
    assert_true(all[MOVE_FASTER].exists && !within[MOVE_FASTER].exists);
    assert_non_null(strstr(within[MOVE_FASTER].absent, "breaks a limit"));
    assert_true(fewer >= 2);
    space_end(space);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(moves_stay_within_the_limits),
        cmocka_unit_test(moves_keep_their_promises),
        cmocka_unit_test(changes_are_named),
        cmocka_unit_test(margins_are_those_of_the_verdict),
        cmocka_unit_test(margins_of_positions_are_those_of_the_verdict),
        cmocka_unit_test(making_margins_can_be_stopped),
        cmocka_unit_test(without_an_snr_no_margins_are_made),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
