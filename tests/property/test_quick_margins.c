/* What makes a verdict over positions quick, held against the long way: the ends of pulses that are
 * left out, and the positions that are not asked again for the SNR that is needed. */
#include <glob.h>
#include <math.h>

#include "base/random.h"
#include "base/units.h"
#include "physics/vsb/decision.h"
#include "physics/vsb/ideal.h"
#include "profile/profile.h"
#include "standard/vsb/signal.h"
#include "study/verdict/positions.h"
#include "support/effort.h"
#include "support/near.h"

#define SAME_DB 0.01

static struct profile profile;
static struct verdict verdict;

/* Greatest differences, and how many were compared. */
static struct {
    double snr_db, decisions_db;
    int count;
} seen;

/* One channel by all taps of the equaliser, all of the pulses' ends, term by term. */
static void compare(const struct echo *echoes, int count, double snr_db,
                    struct vsb_equaliser_spans spans)
{
    struct vsb_room room = {.arrays = {{0}}};
    struct vsb_channel channel;
    struct vsb_equaliser full, doubting;
    struct vsb_ideal quick;
    double quick_db, full_db;
    double power = vsb_received_power(echoes, count);
    double noise = power / ratio_from_db(snr_db);
    if (power < 0.01) {
        return; /* hardly anything arrives */
    }
    assert_int_equal(vsb_channel_make(echoes, count, &channel), STATUS_OK);
    assert_int_equal(vsb_equaliser_design_doubting(&channel, noise, spans,
                                                   vsb_decision_survivors_doubt, 1e-9, 0.0, &full,
                                                   &doubting),
                     STATUS_OK);
    assert_int_equal(vsb_ideal_solve_briefly(echoes, count, noise, spans,
                                             vsb_decision_survivors_doubt, 0.0, &room, &quick),
                     STATUS_OK);
    double apart_db = fabs(db_from_ratio(quick.snr / full.snr));
    assert_int_equal(
        vsb_decision_loss(FEEDBACK_TRELLIS, quick.backward, spans.feedback, &room, &quick_db),
        STATUS_OK);
    assert_int_equal(
        vsb_decision_loss(FEEDBACK_TRELLIS, doubting.backward, spans.feedback, &room, &full_db),
        STATUS_OK);
    assert_near(apart_db, 0.0, SAME_DB, "all taps of the equaliser");
    assert_near(quick_db, full_db, SAME_DB, "all taps");
    seen.snr_db = fmax(seen.snr_db, apart_db);
    seen.decisions_db = fmax(seen.decisions_db, fabs(quick_db - full_db));
    seen.count++;
    vsb_equaliser_free(&full);
    vsb_equaliser_free(&doubting);
    vsb_channel_free(&channel);
    vsb_room_free(&room);
}

static void tell(const char *what)
{
    print_message("%s: %d channels: SNR %.4f dB, decisions %.4f dB off at most\n", what, seen.count,
                  seen.snr_db, seen.decisions_db);
    assert_true(seen.count > 0);
    seen.count = 0;
    seen.snr_db = seen.decisions_db = 0.0;
}

static void each_profile(void (*visit)(const struct scenario *scenario))
{
    glob_t paths;
    assert_int_equal(glob("profiles/*.ini", 0, NULL, &paths), 0);
    assert_true(paths.gl_pathc > 8);
    for (size_t i = 0; i < paths.gl_pathc; i++) {
        assert_int_equal(profile_read_file(paths.gl_pathv[i], &profile, NULL), STATUS_OK);
        visit(&profile.scenario);
        profile_free(&profile);
    }
    globfree(&paths);
}

static void compare_positions(const struct scenario *scenario)
{
    const struct channel *channel = &verdict.conditions.channel;
    const struct first_receiver *receiver = &scenario->first;
    assert_int_equal(verdict_prepare(scenario, GENERATION_FIRST, &verdict, NULL), STATUS_OK);
    if (isnan(verdict.conditions.snr_db) || scenario->site.pair != 0 || channel->count == 1) {
        return;
    }
    for (size_t i = 0; i < effort(2, 16, 256); i++) {
        struct channel drawn;
        struct echo echoes[ECHOES_MAX];
        channel_draw(channel, i, &drawn);
        int count = vsb_echoes_of(&drawn, echoes);
        compare(echoes, count, verdict.conditions.snr_db,
                vsb_equaliser_spans(receiver->equaliser_before_us, receiver->equaliser_after_us));
    }
}

static void shipped_profiles_lose_nothing_by_the_quick_way(void **state)
{
    (void)state;
    each_profile(compare_positions);
    tell("profiles");
}

static void drawn_channels_lose_nothing_by_the_quick_way(void **state)
{
    (void)state;
    struct random random = random_seeded(31, 0);
    for (size_t i = 0; i < effort(60, 600, 6000); i++) {
        struct echo echoes[8];
        int count = 1 + (int)(8.0 * random_uniform(&random));
        double reach_us = 50.0 * pow(random_uniform(&random), 3.0);
        for (int k = 0; k < count; k++) {
            echoes[k] = (struct echo){reach_us * (1.5 * random_uniform(&random) - 0.5),
                                      -2.0 - 20.0 * random_uniform(&random),
                                      360.0 * random_uniform(&random), 0.0};
        }
        double after_us = 2.0 + 40.0 * random_uniform(&random);
        compare(echoes, count, 12.0 + 20.0 * random_uniform(&random),
                vsb_equaliser_spans(after_us * random_uniform(&random), after_us));
    }
    tell("drawn");
}

static double most_off_db[GENERATION_COUNT];

/* At the SNR that is said to be needed the verdict, made anew over all positions, has nothing to
 * spare at the asked share of them. */
static void check_required(const struct scenario *scenario)
{
    static struct scenario few;
    few = *scenario;
    few.receiver.positions = 64;
    for (int g = 0; g < GENERATION_COUNT; g++) {
        double needed_db;
        assert_int_equal(verdict_make(&few, (enum generation)g, &verdict, NULL), STATUS_OK);
        if (!verdict.known || verdict.positions == 1) {
            continue;
        }
        assert_int_equal(verdict_required_db(&verdict, &needed_db, NULL), STATUS_OK);
        if (!isfinite(needed_db)) {
            assert_false(verdict.works);
            continue;
        }
        int place = positions_place(64, verdict.conditions.position_percent);
        verdict.conditions.snr_db = needed_db;
        assert_int_equal(verdict_solve(&verdict, NULL), STATUS_OK);
        double off_db = fabs((double)verdict.margins_db[place]);
        assert_near(off_db, 0.0, 0.002, "the verdict there");
        most_off_db[g] = fmax(most_off_db[g], off_db);
    }
}

static void what_is_needed_is_where_the_verdict_turns(void **state)
{
    (void)state;
    each_profile(check_required);
    print_message("needed SNR: %.4f and %.4f dB off at most\n", most_off_db[0], most_off_db[1]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shipped_profiles_lose_nothing_by_the_quick_way),
        cmocka_unit_test(drawn_channels_lose_nothing_by_the_quick_way),
        cmocka_unit_test(what_is_needed_is_where_the_verdict_turns),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
