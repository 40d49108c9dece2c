/* Every allocation of the echo study, its sweeps and its pictures fails in turn. */
#include "support/failing.h"

#include "present/picture/echo.h"

static struct scenario scenario;
static struct echo_study study;
static struct echo_input input;

static int study_it(void)
{
    return echo_study_make(&scenario, &study, NULL) == STATUS_OK;
}

static int sweep_margins(void)
{
    struct echo_margins points[3];
    return echo_sweep_margins(&input, 0, -10.0, 10.0, 3, points) == STATUS_OK;
}

static int sweep_tolerated(void)
{
    struct echo_tolerated points[2];
    return echo_sweep_tolerated(&input, 20.0, 60.0, 2, points) == STATUS_OK;
}

static int draw_pictures(void)
{
    struct picture rays, carriers;
    bool made = picture_echo_rays(&study, &rays);
    bool also = picture_echo_carriers(&study, &carriers);
    assert_true(made || rays.series_count == 0);
    assert_true(also || carriers.series_count == 0);
    picture_free(&rays);
    picture_free(&carriers);
    return made && also;
}

static void studies_say_so(void **state)
{
    (void)state;
    scenario = scenario_default();
    scenario.receiver.snr_db = 22.0;
    scenario.echo_count = 1;
    scenario.echoes[0] = (struct echo){.delay_us = 30.0, .level_db = -12.0, .doppler_hz = 1.0};
    fail_each_allocation(study_it, "echo study");
    assert_int_equal(echo_input_make(&scenario, &input, NULL), STATUS_OK);
    fail_each_allocation(sweep_margins, "sweep of margins");
}

static void sweeps_of_tolerated_levels_say_so(void **state)
{
    (void)state;
    input.carriers_most = 300;
    input.snr_db = 40.0; /* both bear 0 dB at once: few steps, few allocations */
    fail_each_allocation(sweep_tolerated, "sweep of tolerated levels");
}

static void pictures_stay_empty(void **state)
{
    (void)state;
    assert_int_equal(echo_study_make(&scenario, &study, NULL), STATUS_OK);
    fail_each_allocation(draw_pictures, "pictures");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(studies_say_so),
        cmocka_unit_test(sweeps_of_tolerated_levels_say_so),
        cmocka_unit_test(pictures_stay_empty),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
