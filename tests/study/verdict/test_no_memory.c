/* Every allocation of verdicts, their sweeps and their pictures fails in turn. */
#include "support/failing.h"

#include <math.h>

#include "present/picture/echo.h"
#include "study/verdict/sweep.h"

static struct scenario scenario;
static struct verdicts study;

static int make_verdicts(void)
{
    return verdicts_make(&scenario, &study, NULL) == STATUS_OK;
}

static int find_required(void)
{
    double first_db, second_db;
    return verdict_required_db(&study.of[GENERATION_FIRST], &first_db, NULL) == STATUS_OK &&
           verdict_required_db(&study.of[GENERATION_SECOND], &second_db, NULL) == STATUS_OK;
}

/* Of what was not solved yet all positions are ranked first. */
static int find_required_anew(void)
{
    static struct verdict verdict;
    double needed_db;
    return verdict_prepare(&scenario, GENERATION_SECOND, &verdict, NULL) == STATUS_OK &&
           verdict_required_db(&verdict, &needed_db, NULL) == STATUS_OK;
}

/* Of what some positions decode at no SNR. */
static int find_that_none_suffices(void)
{
    static struct verdict verdict;
    double needed_db;
    struct scenario room = scenario;
    room.echoes[0] = (struct echo){.delay_us = 0.07, .level_db = -0.2, .phase_deg = NAN};
    room.echoes[1] = (struct echo){.delay_us = 90.0, .level_db = -13.0, .phase_deg = NAN};
    room.echo_count = 2;
    room.receiver.position_percent = 99.0;
    return verdict_prepare(&room, GENERATION_FIRST, &verdict, NULL) == STATUS_OK &&
           verdict_required_db(&verdict, &needed_db, NULL) == STATUS_OK;
}

static int find_that_a_code_never_suffices(void)
{
    static struct verdict verdict;
    double needed_db;
    struct scenario bonded = scenario;
    bonded.echoes[0] = (struct echo){.delay_us = 0.07, .level_db = -3.0, .phase_deg = NAN};
    bonded.transmission.bonding = BONDING_PLAIN;
    bonded.transmission.plps[0].bonded_snr_db = 0.0;
    return verdict_prepare(&bonded, GENERATION_SECOND, &verdict, NULL) == STATUS_OK &&
           verdict_required_db(&verdict, &needed_db, NULL) == STATUS_OK;
}

static int sweep_margins(void)
{
    struct echo_margins points[3];
    return echo_sweep_margins(&study, 0, -10.0, 10.0, 3, points) == STATUS_OK;
}

static int sweep_tolerated(void)
{
    struct echo_tolerated points[2];
    return echo_sweep_tolerated(&study, 20.0, 60.0, 2, points) == STATUS_OK;
}

/* Lines of levels that are borne, of which many points are alike. */
static int draw_lines(void)
{
    static struct echo_lines lines;
    const struct echo_lines_wish wish = {
        .kind = ECHO_LINES_TOLERATED, .from_us = -30.0, .to_us = 40.0, .now_us = NAN};
    return echo_lines_make(&study, &wish, &lines) == STATUS_OK;
}

static int draw_pictures(void)
{
    struct picture rays, carriers;
    bool made = picture_echo_rays(&scenario, &study, &rays);
    bool also = picture_echo_carriers(&study, &carriers);
    assert_true(made || rays.series_count == 0);
    assert_true(also || carriers.series_count == 0);
    picture_free(&rays);
    picture_free(&carriers);
    return made && also;
}

static void verdicts_say_so(void **state)
{
    (void)state;
    scenario = scenario_default();
    scenario.receiver.snr_db = 22.0;
    scenario.receiver.positions = 3; /* all are alike */
    scenario.echo_count = 1;
    scenario.echoes[0] = (struct echo){.delay_us = 30.0, .level_db = -12.0, .doppler_hz = 1.0};
    fail_each_allocation(make_verdicts, "verdicts");
    assert_int_equal(verdicts_make(&scenario, &study, NULL), STATUS_OK);
    fail_each_allocation(find_required, "required SNR");
    fail_each_allocation(find_that_none_suffices, "that no SNR suffices");
    fail_each_allocation(find_that_a_code_never_suffices, "that a code never suffices");
    fail_each_allocation(find_required_anew, "required SNR of what was not solved");
    fail_each_allocation(sweep_margins, "sweep of margins");
}

static void sweeps_of_tolerated_levels_say_so(void **state)
{
    (void)state;
    study.of[GENERATION_SECOND].reception.ofdm.carriers_most = 300;
    for (int i = 0; i < GENERATION_COUNT; i++) {
        study.of[i].conditions.snr_db = 40.0; /* both bear 0 dB at once: few steps */
    }
    fail_each_allocation(sweep_tolerated, "sweep of tolerated levels");
    for (int i = 0; i < GENERATION_COUNT; i++) {
        study.of[i].conditions.snr_db = 22.0; /* and at this neither does */
    }
    fail_allocations(draw_lines, "lines of tolerated levels", 8);
    study.of[GENERATION_FIRST].conditions.snr_db = NAN; /* the other's quick margins must agree */
    fail_each_allocation(sweep_tolerated, "sweep that agrees with full margins");
}

static void pictures_stay_empty(void **state)
{
    (void)state;
    assert_int_equal(verdicts_make(&scenario, &study, NULL), STATUS_OK);
    fail_each_allocation(draw_pictures, "pictures");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(verdicts_say_so),
        cmocka_unit_test(sweeps_of_tolerated_levels_say_so),
        cmocka_unit_test(pictures_stay_empty),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
