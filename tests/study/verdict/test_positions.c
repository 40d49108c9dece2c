/* Positions: each is the channel of its own phases and nothing else; shares, the margins that most
 * of them reach and the SNR that is needed are counts over these. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "study/verdict/positions.h"
#include "study/verdict/verdict.h"

#define POSITIONS 40
#define NOT_FULL_DB 0.15 /* a quick margin looks at a share of the carriers */

static struct verdict study, one;

static struct scenario one_echo(double snr_db, struct echo echo)
{
    struct scenario scenario = scenario_default();
    scenario.receiver.snr_db = snr_db;
    scenario.receiver.positions = POSITIONS;
    scenario.echo_count = 1;
    scenario.echoes[0] = echo;
    return scenario;
}

static int best_first(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x < y) - (x > y);
}

/* Every position's margin by itself: a verdict on the channel whose phase is given. */
static void solve_each(const struct scenario *scenario, enum generation generation,
                       double margins_db[POSITIONS])
{
    assert_int_equal(verdict_make(scenario, generation, &study, NULL), STATUS_OK);
    assert_int_equal(study.positions, POSITIONS);
    for (int i = 0; i < POSITIONS; i++) {
        static struct channel drawn;
        struct scenario fixed = *scenario;
        channel_draw(&study.conditions.channel, (uint64_t)i, &drawn);
        fixed.echoes[0].phase_deg = drawn.rays[1].phase * 180.0 / PI;
        assert_int_equal(verdict_make(&fixed, generation, &one, NULL), STATUS_OK);
        assert_int_equal(one.positions, 1);
        margins_db[i] = one.margin_db;
    }
    qsort(margins_db, POSITIONS, sizeof *margins_db, best_first);
}

/* Near the SNR at which half of them decode. */
static struct scenario near_the_limit(enum generation generation)
{
    struct scenario scenario =
        one_echo(25.0, (struct echo){.delay_us = 0.07, .level_db = -1.0, .phase_deg = NAN});
    if (generation == GENERATION_SECOND) { /* what a look at some carriers errs in */
        scenario.echoes[scenario.echo_count++] = (struct echo){.delay_us = 170.0, .level_db = -9.0};
    }
    assert_int_equal(verdict_make(&scenario, generation, &one, NULL), STATUS_OK);
    scenario.receiver.snr_db -= one.margin_db;
    return scenario;
}

static void a_position_fares_as_a_channel_of_its_phases(void **state)
{
    (void)state;
    for (int g = 0; g < GENERATION_COUNT; g++) {
        double each_db[POSITIONS];
        struct scenario scenario = near_the_limit((enum generation)g);
        int decoding = 0;
        solve_each(&scenario, (enum generation)g, each_db);
        assert_true(each_db[0] > each_db[POSITIONS - 1] + 2.0);
        for (int i = 0; i < POSITIONS; i++) {
            assert_near((double)study.margins_db[i], each_db[i], NOT_FULL_DB,
                        "each solved by itself");
            decoding += each_db[i] >= 0.0;
        }
        assert_near(study.positions_share * POSITIONS, decoding, 0.0, "counted");
        /* Places 20, 36 and 40 of 40, from the best on. */
        assert_near(study.margin_db, (double)study.margins_db[19], 1e-6, "half of them reach it");
        assert_near(study.margin_90_db, (double)study.margins_db[35], 0.0, "36 of 40 reach it");
        assert_near(study.margin_99_db, (double)study.margins_db[39], 0.0, "all 40 reach it");
    }
}

/* The one in the middle is solved in full: what its quick margin erred by is taken off all. */
static void quick_margins_lack_what_the_one_in_the_middle_lacks(void **state)
{
    (void)state;
    static struct channel drawn;
    double quick_db[POSITIONS];
    struct fare_work *work;
    struct scenario scenario = near_the_limit(GENERATION_SECOND);
    assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, &study, NULL), STATUS_OK);
    const struct system *system = study.reception.system;
    const struct channel *channel = &study.conditions.channel;
    assert_int_equal(system->open(&study.reception, channel, &work), STATUS_OK);
    for (int i = 0; i < POSITIONS; i++) {
        channel_draw(channel, (uint64_t)i, &drawn);
        assert_int_equal(system->margin(&study.reception, &drawn, study.conditions.snr_db,
                                        -INFINITY, work, &quick_db[i]),
                         STATUS_OK);
    }
    system->close(work);
    qsort(quick_db, POSITIONS, sizeof *quick_db, best_first);
    double lack_db = study.margin_db - quick_db[19];
    assert_true(fabs(lack_db) > 1e-3); /* else this shows nothing */
    for (int i = 0; i < POSITIONS; i++) {
        assert_near((double)study.margins_db[i], quick_db[i] + lack_db, 1e-6, "the same for all");
    }
}

/* Taps that learn from decisions: the less of an instant's margin and of that a field before,
 * and the account stands where the less is. */
static void what_was_before_an_instant_counts_where_decisions_teach(void **state)
{
    (void)state;
    static struct channel drawn;
    struct echo turning = {.delay_us = 0.061, .level_db = -4.0, .phase_deg = NAN, .doppler_hz = 3};
    struct scenario scenario = one_echo(19.0, turning);
    double least_db[POSITIONS], alone_db[POSITIONS];
    struct fare_work *work;
    struct fare fare;
    scenario.first.adaptation_step = 0.1;
    assert_int_equal(verdict_make(&scenario, GENERATION_FIRST, &study, NULL), STATUS_OK);
    const struct system *system = study.reception.system;
    const struct channel *channel = &study.conditions.channel;
    double before_s = system->memory_s(&study.reception, channel);
    assert_near(before_s, 0.0242, 5e-5, "a field of 313 segments, ATSC A/53 Part 2");
    assert_int_equal(system->open(&study.reception, channel, &work), STATUS_OK);
    int spoilt = 0;
    for (int i = 0; i < POSITIONS; i++) {
        channel_draw(channel, (uint64_t)i, &drawn);
        assert_int_equal(
            system->margin(&study.reception, &drawn, 19.0, -INFINITY, work, &alone_db[i]),
            STATUS_OK);
        channel_advance(&drawn, -before_s, &drawn);
        assert_int_equal(
            system->margin(&study.reception, &drawn, 19.0, -INFINITY, work, &least_db[i]),
            STATUS_OK);
        least_db[i] = fmin(least_db[i], alone_db[i]);
        spoilt += least_db[i] < alone_db[i];
    }
    system->close(work);
    assert_true(spoilt > POSITIONS / 4);
    qsort(least_db, POSITIONS, sizeof *least_db, best_first);
    for (int i = 0; i < POSITIONS; i++) {
        assert_near((double)study.margins_db[i], least_db[i], 0.02, "the less of both");
    }
    assert_int_equal(positions_fare(&study, &study.channel, &fare), STATUS_OK);
    assert_near(fare.margin_db, study.margin_db, 0.02, "where its account stands");
    study.reception.vsb.feedback = FEEDBACK_ERROR_FREE;
    assert_near(system->memory_s(&study.reception, channel), 0.0, 0.0, "nothing wrong teaches");
    study.reception.vsb.feedback = FEEDBACK_SLICER;
    assert_true(system->memory_s(&study.reception, channel) > 0.0);
    study.reception.vsb.adaptation_step = 0.0;
    assert_near(system->memory_s(&study.reception, channel), 0.0, 0.0, "nothing is learnt");
}

static void the_snr_that_is_needed_serves_the_share_that_is_asked(void **state)
{
    (void)state;
    for (int g = 0; g < GENERATION_COUNT; g++) {
        struct scenario scenario = near_the_limit((enum generation)g);
        double needed_db;
        scenario.receiver.position_percent = 90;
        assert_int_equal(verdict_make(&scenario, (enum generation)g, &study, NULL), STATUS_OK);
        assert_false(study.works); /* half of them do */
        assert_int_equal(verdict_required_db(&study, &needed_db, NULL), STATUS_OK);
        for (int more = -1; more <= 1; more++) {
            scenario.receiver.snr_db = needed_db + 0.01 * more;
            assert_int_equal(verdict_make(&scenario, (enum generation)g, &one, NULL), STATUS_OK);
            if (more == 0) {
                assert_near(one.margin_90_db, 0.0, 0.002, "36 of 40 reach it");
            } else {
                assert_int_equal(one.works, more > 0);
            }
        }
    }
}

/* An echo beyond the equaliser's reach, from one that is borne everywhere to one that is nowhere.
 */
static void no_snr_is_told_only_where_the_most_there_is_does_not_serve(void **state)
{
    (void)state;
    int told = 0, untold = 0;
    for (double level_db = -12.0; level_db >= -19.0; level_db -= 0.5) {
        for (int percent = 50; percent <= 90; percent += 40) {
            struct echo late = {.delay_us = 60.0, .level_db = level_db, .phase_deg = NAN};
            struct scenario scenario = one_echo(20.0, late);
            double needed_db;
            late = (struct echo){.delay_us = 0.1, .level_db = -4.0, .phase_deg = NAN};
            scenario.echoes[scenario.echo_count++] = late;
            scenario.receiver.position_percent = percent;
            assert_int_equal(verdict_make(&scenario, GENERATION_FIRST, &study, NULL), STATUS_OK);
            assert_int_equal(verdict_required_db(&study, &needed_db, NULL), STATUS_OK);
            bool is_told = isfinite(needed_db);
            scenario.receiver.snr_db = is_told ? needed_db + 0.01 : SNR_MOST_DB;
            assert_int_equal(verdict_make(&scenario, GENERATION_FIRST, &one, NULL), STATUS_OK);
            assert_int_equal(one.works, is_told);
            *(is_told ? &told : &untold) += 1;
        }
    }
    assert_true(told > 2 && untold > 2);
}

/* Six strong rays: next to the answer each small step brings another position into the middle,
 * whose estimate lacks some hundredths of a decibel more, so that margins fall as the SNR rises. */
static void what_decodes_needs_no_more_than_it_has(void **state)
{
    (void)state;
    static const double rays[][2] = {
        {-5.71, -0.1}, {-5.23, -3.9}, {-3.64, -2.6}, {-2.81, -1.3}, {0.07, -2.8}};
    struct scenario scenario = one_echo(14.0, (struct echo){.phase_deg = NAN});
    scenario.receiver.positions = 256;
    scenario_set_channel(&scenario, 26);
    scenario.transmission.plps[0].code.constellation = QAM64;
    scenario.transmission.plps[0].code.rate_15ths = 9;
    scenario.echo_count = (int)(sizeof rays / sizeof rays[0]);
    for (int i = 0; i < scenario.echo_count; i++) {
        scenario.echoes[i] =
            (struct echo){.delay_us = rays[i][0], .level_db = rays[i][1], .phase_deg = NAN};
        snprintf(scenario.echo_names[i], sizeof scenario.echo_names[i], "ray %d", i + 1 + i / 4);
    }
    for (double snr_db = 14.0; snr_db <= 30.0; snr_db += 2.0) {
        for (int g = 0; g < GENERATION_COUNT; g++) {
            double needed_db;
            scenario.receiver.snr_db = snr_db;
            assert_int_equal(verdict_make(&scenario, (enum generation)g, &study, NULL), STATUS_OK);
            assert_int_equal(verdict_required_db(&study, &needed_db, NULL), STATUS_OK);
            assert_true(isfinite(needed_db));
            assert_int_equal(study.works, needed_db <= snr_db);
        }
    }
}

/* A strong echo ahead: from 16 to 22 dB wrong decisions take more than the signal gains, and the
 * margin falls (computed, guardspan echo). What is needed is the same, wherever it is asked from.
 */
static void what_is_needed_is_found_across_a_dip(void **state)
{
    (void)state;
    double least_db = INFINITY, most_db = -INFINITY;
    for (double snr_db = 14.0; snr_db <= 32.0; snr_db += 2.0) {
        struct scenario scenario =
            one_echo(snr_db, (struct echo){.delay_us = -20.0, .level_db = -6.0, .phase_deg = NAN});
        double needed_db;
        assert_int_equal(verdict_make(&scenario, GENERATION_FIRST, &study, NULL), STATUS_OK);
        assert_int_equal(verdict_required_db(&study, &needed_db, NULL), STATUS_OK);
        least_db = fmin(least_db, needed_db);
        most_db = fmax(most_db, needed_db);
    }
    assert_between(least_db, 22.0, 32.0, "beyond the dip");
    assert_near(most_db, least_db, 0.01, "one answer");
}

static void places_lie_within_the_positions(void **state)
{
    (void)state;
    assert_int_equal(positions_place(40, 0.0), 0);
    assert_int_equal(positions_place(40, 50.0), 19);
    assert_int_equal(positions_place(40, 100.0), 39);
    assert_int_equal(positions_place(40, 150.0), 39);
}

/* With plain bonding a code needs the other channel as well: where that lacks, no position decodes,
 * at any SNR. */
static void what_no_snr_suffices_for_fails_at_every_position(void **state)
{
    (void)state;
    double needed_db;
    struct scenario scenario =
        one_echo(25.0, (struct echo){.delay_us = 0.07, .level_db = -3.0, .phase_deg = NAN});
    scenario.transmission.bonding = BONDING_PLAIN;
    scenario.transmission.plps[0].bonded_snr_db = 0.0;
    assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, &study, NULL), STATUS_OK);
    assert_near(study.positions_share, 0.0, 0.0, "none");
    assert_true(study.margin_db == -INFINITY && study.margin_90_db == -INFINITY && !study.works);
    assert_int_equal(verdict_required_db(&study, &needed_db, NULL), STATUS_OK);
    assert_true(needed_db == INFINITY);
}

/* Of a strong echo beyond the equaliser some positions decode at some SNR and others at none: too
 * few for what is asked, whether a verdict was made before or not. */
static void where_too_few_positions_decode_at_all_no_snr_suffices(void **state)
{
    (void)state;
    double needed_db;
    struct scenario scenario =
        one_echo(40.0, (struct echo){.delay_us = 0.07, .level_db = -0.2, .phase_deg = NAN});
    scenario.echoes[scenario.echo_count++] =
        (struct echo){.delay_us = 90.0, .level_db = -13.0, .phase_deg = NAN};
    scenario.receiver.position_percent = 99.0;
    for (int known = 0; known < 2; known++) {
        assert_int_equal(known ? verdict_make(&scenario, GENERATION_FIRST, &study, NULL)
                               : verdict_prepare(&scenario, GENERATION_FIRST, &study, NULL),
                         STATUS_OK);
        assert_int_equal(verdict_required_db(&study, &needed_db, NULL), STATUS_OK);
        assert_true(needed_db == INFINITY);
    }
    assert_between(study.positions_share, 0.2, 0.8, "some do");
    /* The position that is asked for lacks a little that no step of the SNR brings any more. */
    scenario.receiver.position_percent = 90.0;
    scenario.receiver.snr_db = 45.0;
    assert_int_equal(verdict_make(&scenario, GENERATION_FIRST, &study, NULL), STATUS_OK);
    scenario.first.threshold_db += study.margin_90_db + 2e-3;
    assert_int_equal(verdict_make(&scenario, GENERATION_FIRST, &study, NULL), STATUS_OK);
    assert_near(study.margin_90_db, -2e-3, 1e-4, "as it was put");
    assert_int_equal(verdict_required_db(&study, &needed_db, NULL), STATUS_OK);
    assert_true(needed_db > 45.0);
}

/* Near the strongest late echo with which any SNR suffices, much more SNR is hardly more margin:
 * asked at 50 dB, the search of the one position ends a hair short of what all need. */
static void next_to_the_edge_an_snr_is_told_where_the_most_there_is_serves(void **state)
{
    (void)state;
    double borne_db = -30.0, not_borne_db = -20.0, needed_db;
    struct scenario scenario = one_echo(40.0, (struct echo){.delay_us = 400.0, .phase_deg = NAN});
    scenario.echoes[scenario.echo_count++] =
        (struct echo){.delay_us = 0.1, .level_db = -4.0, .phase_deg = NAN};
    strcpy(scenario.echo_names[0], "a");
    strcpy(scenario.echo_names[1], "b");
    scenario.receiver.position_percent = 90.0;
    while (not_borne_db - borne_db > 1e-4) {
        double level_db = scenario.echoes[0].level_db = 0.5 * (borne_db + not_borne_db);
        assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, &study, NULL), STATUS_OK);
        assert_int_equal(verdict_required_db(&study, &needed_db, NULL), STATUS_OK);
        *(isfinite(needed_db) ? &borne_db : &not_borne_db) = level_db;
    }
    for (int i = 0; i < 2 * 10; i++) {
        scenario.receiver.snr_db = i % 2 == 0 ? 50.0 : 56.0;
        scenario.echoes[0].level_db = borne_db + 1e-3 * (i / 2 - 6);
        assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, &study, NULL), STATUS_OK);
        assert_int_equal(verdict_required_db(&study, &needed_db, NULL), STATUS_OK);
        scenario.receiver.snr_db = fmin(needed_db, SNR_MOST_DB);
        assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, &one, NULL), STATUS_OK);
        assert_between(one.margin_90_db, isfinite(needed_db) ? -2e-3 : -1.0,
                       isfinite(needed_db) ? 0.1 : 2e-3, "there");
    }
}

/* What is needed does not hang on how many positions were solved before. */
static void other_positions_than_were_solved_are_looked_at_anew(void **state)
{
    (void)state;
    struct scenario scenario = near_the_limit(GENERATION_SECOND);
    double anew_db, needed_db;
    assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, &study, NULL), STATUS_OK);
    scenario.receiver.positions = POSITIONS / 2;
    assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, &one, NULL), STATUS_OK);
    assert_int_equal(verdict_required_db(&one, &anew_db, NULL), STATUS_OK);
    study.conditions.positions = POSITIONS / 2;
    assert_int_equal(verdict_required_db(&study, &needed_db, NULL), STATUS_OK);
    assert_near(needed_db, anew_db, 0.02, "as if solved with so many");
}

static void one_instant_is_the_first_and_rays_that_cancel_leave_nothing(void **state)
{
    (void)state;
    static struct channel channel;
    double margins_db[2];
    struct scenario scenario =
        one_echo(25.0, (struct echo){.delay_us = 5.0, .level_db = -9.0, .doppler_hz = 1.0});
    assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, &study, NULL), STATUS_OK);
    assert_int_equal(positions_over_time(&study, &study.channel, 2.0, 1, margins_db), STATUS_OK);
    double first_db = margins_db[0];
    assert_int_equal(positions_over_time(&study, &study.channel, 2.0, 2, margins_db), STATUS_OK);
    assert_near(first_db, margins_db[0], 1e-9, "the first of two");
    positions_beside(&study, &(struct verdict){.known = false}, &channel);
    assert_memory_equal(&channel, &study.channel, sizeof channel);
    scenario = one_echo(25.0, (struct echo){.delay_us = 0.0, .level_db = 0.0, .phase_deg = 180.0});
    for (int g = 0; g < GENERATION_COUNT; g++) {
        assert_int_equal(verdict_make(&scenario, (enum generation)g, &study, NULL), STATUS_OK);
        assert_true(study.margin_db == -INFINITY);
        assert_int_equal(positions_over_time(&study, &study.channel, 2.0, 1, margins_db),
                         STATUS_OK);
        assert_true(margins_db[0] == -INFINITY);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_position_fares_as_a_channel_of_its_phases),
        cmocka_unit_test(quick_margins_lack_what_the_one_in_the_middle_lacks),
        cmocka_unit_test(what_was_before_an_instant_counts_where_decisions_teach),
        cmocka_unit_test(the_snr_that_is_needed_serves_the_share_that_is_asked),
        cmocka_unit_test(no_snr_is_told_only_where_the_most_there_is_does_not_serve),
        cmocka_unit_test(what_decodes_needs_no_more_than_it_has),
        cmocka_unit_test(what_is_needed_is_found_across_a_dip),
        cmocka_unit_test(places_lie_within_the_positions),
        cmocka_unit_test(what_no_snr_suffices_for_fails_at_every_position),
        cmocka_unit_test(where_too_few_positions_decode_at_all_no_snr_suffices),
        cmocka_unit_test(next_to_the_edge_an_snr_is_told_where_the_most_there_is_serves),
        cmocka_unit_test(other_positions_than_were_solved_are_looked_at_anew),
        cmocka_unit_test(one_instant_is_the_first_and_rays_that_cancel_leave_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
