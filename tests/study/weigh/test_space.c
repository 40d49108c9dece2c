/* When a space of weighed modes serves another scenario, when its margins stay, and where a mode
 * stands that it has not. */
#include "support/near.h"
#include "support/scenarios.h"

#include <stdlib.h>

#include "study/weigh/weigh.h"

static struct weigh_space space_of(const struct scenario *scenario)
{
    struct weigh_space space;
    assert_int_equal(weigh_space_make(scenario, SNR_RECEIVER, &space, NULL), STATUS_OK);
    return space;
}

static void a_space_serves_what_has_its_frame_and_channel(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct weigh_space none = {0}, space = space_of(&scenario);
    assert_false(weigh_space_serves(&none, &scenario));
    scenario_say(&scenario, "mode.fft", "8K");
    scenario_say(&scenario, "receiver.snr_db", "20");
    assert_true(
        weigh_space_serves(&space, &scenario)); /* the mode and the place are nothing to it */
    static const char *const others[][2] = {{"site.pair", "DVB"},
                                            {"site.rf_channel", "20"},
                                            {"site.bandwidth_mhz", "7"},
                                            {"mode.frame_ms", "100"}};
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
        struct scenario other = scenario;
        scenario_say(&other, others[i][0], others[i][1]);
        assert_false(weigh_space_serves(&space, &other));
    }
    struct scenario other = scenario;
    other.dvbt2.symbols = 60;
    assert_false(weigh_space_serves(&space, &other));
    weigh_space_free(&space);
}

/* Margins stay as long as nothing of the place has changed. */
static void margins_stay_at_the_same_place_only(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario_say(&scenario, "receiver.snr_db", "20");
    scenario_say(&scenario, "echo hill.delay_us", "5");
    scenario_say(&scenario, "echo hill.level_db", "-6");
    scenario_say(&scenario, "echo hill.phase_deg", "30");
    struct weigh_space space = space_of(&scenario);
    static const char *const others[][2] = {{"mode.rate", "5/15"}, /* the same place */
                                            {"receiver.snr_db", "21"},
                                            {"echo hill.delay_us", "6"},
                                            {"echo hill.level_db", "-7"},
                                            {"echo hill.phase_deg", "60"},
                                            {"echo hill.phase_deg", "any"},
                                            {"echo hill.doppler_hz", "3"},
                                            {"echo dale.delay_us", "3"},
                                            {"receiver.speed_kmh", "30"},
                                            {"receiver.position_percent", "90"},
                                            {"receiver.snr_db", "none"}};
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
        struct scenario other = scenario;
        scenario_say(&other, others[i][0], others[i][1]);
        if (i == 7) {
            scenario_say(&other, "echo dale.level_db", "-20");
        }
        weigh_space_adopt(&space, &scenario);
        free(space.echo_margins);
        space.echo_margins = malloc(sizeof *space.echo_margins);
        assert_non_null(space.echo_margins);
        weigh_space_adopt(&space, &other);
        if ((space.echo_margins != NULL) != (i == 0)) {
            fail_msg("%s = %s", others[i][0], others[i][1]);
        }
    }
    /* An echo of given phase 0 and one of any have the same gain; one of another name another draw.
     */
    scenario_say(&scenario, "echo hill.phase_deg", "0");
    for (int i = 0; i < 4; i++) {
        struct scenario other = scenario;
        if (i == 0) {
            scenario_say(&other, "echo hill.phase_deg", "any");
        } else if (i == 1) {
            text_format(other.echo_names[0], NAME_MAX_BYTES, "dale");
        } else if (i == 2) {
            scenario_say(&other, "receiver.positions", "17");
        } else {
            other.echoes[0].delay_us = 1e9; /* of no place at all */
        }
        weigh_space_adopt(&space, &scenario);
        free(space.echo_margins);
        space.echo_margins = malloc(sizeof *space.echo_margins);
        assert_non_null(space.echo_margins);
        weigh_space_adopt(&space, &other);
        assert_null(space.echo_margins);
    }
    weigh_space_free(&space);
    scenario.echoes[0].delay_us = 1e9;
    struct fault fault = {0};
    assert_int_not_equal(weigh_space_make(&scenario, SNR_RECEIVER, &space, &fault), STATUS_OK);
    assert_true(fault.place[0] != '\0');
}

static void what_is_no_mode_is_not_found(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct weigh_space space = space_of(&scenario);
    assert_true(weigh_find(&space, &scenario) >= 0);
    struct scenario other = scenario;
    other.transmission.subframes[0].waveform.fft = FFT_8K;
    other.transmission.subframes[0].waveform.guard = GI12_4864;
    assert_int_equal(weigh_find(&space, &other), -1);
    other = scenario;
    other.transmission.plps[0].code.length = LENGTH_16200;
    other.transmission.plps[0].code.constellation = QAM4096;
    assert_int_equal(weigh_find(&space, &other), -1);
    weigh_space_free(&space);
    assert_string_equal(snr_kind_name((enum snr_kind)99), "?");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_space_serves_what_has_its_frame_and_channel),
        cmocka_unit_test(margins_stay_at_the_same_place_only),
        cmocka_unit_test(what_is_no_mode_is_not_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
