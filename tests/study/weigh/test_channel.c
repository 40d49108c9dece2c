/* Margins of all modes where positions are few or cancel, and where codes of one waveform meet the
 * channel over times of their own. */
#include "support/near.h"

#include <math.h>
#include <string.h>

#include "base/units.h"
#include "study/verdict/positions.h"
#include "study/weigh/weighed.h"

#define POSITIONS 60

static struct scenario strong_echo(enum pair pair)
{
    struct scenario scenario = scenario_default_of(pair);
    scenario.receiver.snr_db = 25.0;
    scenario.receiver.positions = POSITIONS;
    scenario.echoes[0] = (struct echo){.delay_us = 0.0, .level_db = 0.0, .phase_deg = NAN};
    scenario.echo_count = 1;
    return scenario;
}

/* A name under which the echo cancels the main signal at one of the positions, to a millionth of
 * its power. */
static void name_what_cancels(struct scenario *scenario)
{
    static struct conditions conditions;
    static struct channel drawn;
    for (int name = 0; name < 10000; name++) {
        text_format(scenario->echo_names[0], NAME_MAX_BYTES, "echo %d", name);
        assert_int_equal(conditions_make(scenario, GENERATION_SECOND, &conditions, NULL),
                         STATUS_OK);
        for (uint64_t p = 0; p < POSITIONS; p++) {
            channel_draw(&conditions.channel, p, &drawn);
            if (fabs(fabs(remainder(drawn.rays[1].phase, 2.0 * PI)) - PI) < 5e-4) {
                return;
            }
        }
    }
    fail_msg("no name cancels");
}

static void a_position_whose_rays_cancel_is_the_worst_of_all(void **state)
{
    (void)state;
    for (int pair = 0; pair < PAIR_COUNT; pair++) {
        struct scenario scenario = strong_echo((enum pair)pair);
        name_what_cancels(&scenario);
        struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
        assert_int_equal(weigh_echo_margins(space, NULL, NULL), STATUS_OK);
        long now = weigh_find(space, &scenario);
        static struct verdict verdict;
        assert_true(now >= 0);
        assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, &verdict, NULL), STATUS_OK);
        const struct weigh_margins *margins = &space->echo_margins[now];
        assert_near((double)margins->half_db, verdict.margin_db, 0.01, "the verdict");
        assert_true(margins->nearly_all_db == -INFINITY && verdict.margin_99_db == -INFINITY);
        space_end(space);
    }
}

/* An echo that cancels the main signal, and beside it one so weak that nothing is received. */
static void where_rays_always_cancel_no_mode_has_a_margin(void **state)
{
    (void)state;
    struct scenario scenario = strong_echo(PAIR_ATSC);
    scenario.receiver.positions = 3;
    scenario.echoes[0].phase_deg = 180.0;
    scenario.echoes[1] = (struct echo){.delay_us = 0.1, .level_db = -80.0, .phase_deg = NAN};
    scenario.echo_count = 2;
    struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
    assert_int_equal(weigh_echo_margins(space, NULL, NULL), STATUS_OK);
    for (size_t i = 0; i < space->count; i += 997) {
        assert_true(space->echo_margins[i].half_db == -INFINITY);
    }
    space_end(space);
}

/* Of more rays than are told apart by what they have in common each band is looked at once. */
static void many_rays_are_looked_at_by_band(void **state)
{
    (void)state;
    static struct verdict verdict;
    struct scenario scenario = strong_echo(PAIR_ATSC);
    scenario.receiver.positions = 2;
    scenario.echo_count = 160;
    for (int i = 0; i < scenario.echo_count; i++) {
        scenario.echoes[i] =
            (struct echo){.delay_us = 0.01 * (i + 1), .level_db = -30.0, .phase_deg = NAN};
        text_format(scenario.echo_names[i], NAME_MAX_BYTES, "echo %d", i);
    }
    struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
    assert_int_equal(weigh_echo_margins(space, NULL, NULL), STATUS_OK);
    assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, &verdict, NULL), STATUS_OK);
    assert_near(weigh_margin_db(space, (size_t)weigh_find(space, &scenario)), verdict.margin_db,
                0.01, "the verdict");
    space_end(space);
}

/* One position is a channel of given phases: its margin stands for all shares. */
static void one_position_is_all(void **state)
{
    (void)state;
    struct scenario scenario = strong_echo(PAIR_ATSC);
    scenario.receiver.positions = 1;
    struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
    assert_int_equal(weigh_echo_margins(space, NULL, NULL), STATUS_OK);
    for (size_t i = 0; i < space->count; i += 1001) {
        const struct weigh_margins *margins = &space->echo_margins[i];
        assert_true(margins->half_db == margins->nearly_all_db);
    }
    space_end(space);
}

static bool stop_after_some(void *owner, double share)
{
    (void)share;
    return --*(int *)owner > 0;
}

/* Where rays move, codes whose interleavers span other times are looked at each for itself. */
static void codes_of_other_spans_are_looked_at_apart(void **state)
{
    (void)state;
    for (int pair = 0; pair < PAIR_COUNT; pair++) {
        int looks = 3;
        struct scenario scenario = strong_echo((enum pair)pair);
        const struct weigh_progress progress = {stop_after_some, &looks};
        scenario.receiver.positions = 2;
        scenario.echoes[0] =
            (struct echo){.delay_us = 0.3, .level_db = -6.0, .phase_deg = NAN, .doppler_hz = 2.0};
        scenario.transmission.plps[0].interleaver = HTI_1 + 3;
        struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
        assert_int_equal(weigh_echo_margins(space, &progress, NULL), STATUS_STOPPED);
        assert_int_equal(looks, 0);
        space_end(space);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_position_whose_rays_cancel_is_the_worst_of_all),
        cmocka_unit_test(where_rays_always_cancel_no_mode_has_a_margin),
        cmocka_unit_test(many_rays_are_looked_at_by_band),
        cmocka_unit_test(one_position_is_all),
        cmocka_unit_test(codes_of_other_spans_are_looked_at_apart),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
