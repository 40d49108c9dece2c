/* Lines over an echo's delay: what lies between their points is asked again, of the study itself,
 * and what is told as borne is asked of the verdict, at phases and parts of a symbol of its own. */
#include "support/near.h"

#include <math.h>

#include "standard/vsb/signal.h"
#include "study/verdict/sweep.h"

static struct verdicts study;
static struct echo_lines lines;

static struct scenario scenario_with_echo(double snr_db, struct echo echo)
{
    struct scenario scenario = scenario_default();
    scenario.receiver.snr_db = snr_db;
    scenario.echoes[0] = echo;
    scenario.echo_count = 1;
    return scenario;
}

static void solve(double snr_db, double delay_us, double level_db)
{
    struct scenario scenario = scenario_with_echo(
        snr_db, (struct echo){.delay_us = delay_us, .level_db = level_db, .phase_deg = 0.0});
    assert_int_equal(verdicts_make(&scenario, &study, NULL), STATUS_OK);
}

static double on_line(const struct curve *curve, double x)
{
    size_t i = 0;
    while (i + 2 < curve->count && curve->x[i + 1] < x) {
        i++;
    }
    double share = (x - curve->x[i]) / (curve->x[i + 1] - curve->x[i]);
    return curve->y[i] + share * (curve->y[i + 1] - curve->y[i]);
}

/* Steps lie at the ends of 8-VSB's reach and its parts: 29.5 us ahead, a half, a third of it.
 * Nearer than 1.5 us what it bears changes by half a decibel from symbol to symbol, more than a
 * line of 400 us can tell. */
static const double between_us[] = {-55.0, -33.0, -21.3, -16.2, -11.1, -8.6, -3.4, -1.2,
                                    0.7,   1.7,   5.5,   17.0,  37.0,  44.0, 70.0, 163.0};
#define BETWEEN (sizeof between_us / sizeof between_us[0])

static void what_is_borne_between_two_points_lies_on_the_line(void **state)
{
    (void)state;
    solve(20.0, 5.0, -12.0);
    const struct echo_lines_wish wish = {
        .kind = ECHO_LINES_TOLERATED, .from_us = -190.0, .to_us = 190.0, .now_us = NAN};
    assert_int_equal(echo_lines_make(&study, &wish, &lines), STATUS_OK);
    for (size_t i = 0; i < BETWEEN; i++) {
        struct echo_tolerated at;
        assert_int_equal(echo_sweep_tolerated(&study, between_us[i], between_us[i] + 1.0, 1, &at),
                         STATUS_OK);
        for (int g = 0; g < GENERATION_COUNT; g++) {
            if (g == GENERATION_SECOND || fabs(between_us[i]) > 1.5) {
                assert_near(on_line(&lines.of[g], between_us[i]), at.db[g], 0.3, "the study there");
            }
        }
    }
}

#define RIPPLE 9 /* delays, half a symbol apart: four symbols turn the pilot once */

/* 8-VSB's own margin ripples with the pilot's phase, by up to 3 dB where it lacks some, and a line
 * lies within what it ripples between; OFDM's does not. */
static void margins_between_two_points_lie_on_the_line(void **state)
{
    (void)state;
    solve(24.0, 5.0, -6.0);
    const struct echo_lines_wish wish = {
        .kind = ECHO_LINES_MARGINS, .from_us = -190.0, .to_us = 190.0, .now_us = 5.0};
    assert_int_equal(echo_lines_make(&study, &wish, &lines), STATUS_OK);
    for (size_t i = 0; i < BETWEEN; i++) {
        double least_db = INFINITY, most_db = -INFINITY, half_us = 0.5 * vsb_symbol_us();
        struct echo_margins at[RIPPLE];
        assert_int_equal(echo_sweep_margins(&study, 0, between_us[i] - RIPPLE / 2 * half_us,
                                            between_us[i] + RIPPLE / 2 * half_us, RIPPLE, at),
                         STATUS_OK);
        for (int k = 0; k < RIPPLE; k++) {
            least_db = fmin(least_db, at[k].db[GENERATION_FIRST]);
            most_db = fmax(most_db, at[k].db[GENERATION_FIRST]);
        }
        assert_between(on_line(&lines.of[GENERATION_FIRST], between_us[i]), least_db - 0.1,
                       most_db + 0.1, "the study about there");
        assert_near(on_line(&lines.of[GENERATION_SECOND], between_us[i]),
                    at[RIPPLE / 2].db[GENERATION_SECOND], 0.3, "the study there");
    }
}

/* The least margin of eight phases and five delays within a symbol (0.093 us). */
static double least_margin_db(double snr_db, double delay_us, double level_db)
{
    double least_db = INFINITY;
    struct scenario scenario = scenario_with_echo(snr_db, (struct echo){.level_db = level_db});
    for (int i = 0; i < 40; i++) {
        scenario.echoes[0].phase_deg = 45.0 * (i % 8);
        scenario.echoes[0].delay_us = delay_us + 0.023 * (i / 8 - 2);
        assert_int_equal(
            verdict_make(&scenario, GENERATION_FIRST, &study.of[GENERATION_FIRST], NULL),
            STATUS_OK);
        least_db = fmin(least_db, study.of[GENERATION_FIRST].margin_db);
    }
    return least_db;
}

static void what_8vsb_bears_it_bears_at_any_phase_and_part_of_a_symbol(void **state)
{
    (void)state;
    static const double delays_us[] = {-20.0, -6.0, 3.0, 25.0};
    for (size_t i = 0; i < sizeof delays_us / sizeof delays_us[0]; i++) {
        struct echo_tolerated at;
        solve(20.0, 5.0, -12.0);
        assert_int_equal(echo_sweep_tolerated(&study, delays_us[i], 0.0, 1, &at), STATUS_OK);
        double told_db = at.db[GENERATION_FIRST];
        assert_true(told_db < ECHO_TOLERATED_MOST_DB);
        assert_true(least_margin_db(20.0, delays_us[i], told_db) > -0.3);
        assert_true(least_margin_db(20.0, delays_us[i], told_db + 0.3) < 0.0);
    }
}

static void without_an_snr_no_level_is_told_as_borne(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct echo_tolerated at[2];
    for (int known = 0; known < 2; known++) { /* nor at one that is below what is needed */
        scenario.receiver.snr_db = known ? 5.0 : NAN;
        assert_int_equal(verdicts_make(&scenario, &study, NULL), STATUS_OK);
        assert_int_equal(echo_sweep_tolerated(&study, 1.0, 20.0, 2, at), STATUS_OK);
        for (int g = 0; g < GENERATION_COUNT; g++) {
            assert_true(isnan(at[0].db[g]) && isnan(at[1].db[g]));
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_borne_between_two_points_lies_on_the_line),
        cmocka_unit_test(margins_between_two_points_lie_on_the_line),
        cmocka_unit_test(what_8vsb_bears_it_bears_at_any_phase_and_part_of_a_symbol),
        cmocka_unit_test(without_an_snr_no_level_is_told_as_borne),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
