/* A use fills what nobody has given, in whatever order things are said. */
#include "support/near.h"
#include "support/scenarios.h"

#include <math.h>
#include <string.h>

#include "scenario/use.h"

static void a_use_fills_receiver_and_place(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario_say(&scenario, "site.rf_channel", "24");
    scenario_say(&scenario, "receiver.use", "rooftop");
    assert_near(scenario.receiver.antenna_dbd, 10.0, 0, "FCC OET Bulletin 69, UHF");
    assert_near(scenario.receiver.line_loss_db, 4.0, 0, "FCC OET Bulletin 69, UHF");
    assert_near(scenario.receiver.noise_figure_db, 7.0, 0, "FCC OET Bulletin 69, UHF");
    scenario_say(&scenario, "receiver.use", "portable-indoor");
    assert_near(scenario.receiver.antenna_dbd, -0.34, 0.05,
                "ITU-R BT.2033-2 Table 28, log f between");
    assert_near(scenario.receiver.line_loss_db, 0.0, 0, "no line");
    assert_near(scenario.place.receive_height_m, 1.5, 0, "common practice");
    assert_int_equal(scenario.place.building, BUILDING_TRADITIONAL);
    assert_int_equal(scenario.place.surroundings, SURROUNDINGS_SUBURBAN);
    scenario_say(&scenario, "receiver.use", "none");
    struct scenario plain = scenario_default();
    for (size_t i = 0; use_key(i) != NULL; i++) {
        assert_true(field_is_same(use_key(i), &scenario, &plain));
    }
}

/* 474 MHz lies in channel 14, whose middle is 473 MHz. */
static void a_handhelds_gain_follows_the_channel(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario_say(&scenario, "receiver.use", "handheld");
    scenario_say(&scenario, "site.rf_channel", "14");
    assert_near(scenario.receiver.antenna_dbd, -12.0, 0.05, "ITU-R BT.2033-2 Table 29, 474 MHz");
    scenario_say(&scenario, "site.center_mhz", "698");
    assert_near(scenario.receiver.antenna_dbd, -9.0, 0.05, "ITU-R BT.2033-2 Table 29, 698 MHz");
    assert_near(scenario.receiver.line_loss_db, 4.0, 0, "ITU-R M.2292, from memory");
}

/* What is filled in is of the pair's plan, in whatever order pair, channel and use are said. */
static void a_use_follows_the_pairs_plan(void **state)
{
    (void)state;
    static const char *const orders[][3] = {{"site.pair", "site.rf_channel", "receiver.use"},
                                            {"receiver.use", "site.pair", "site.rf_channel"}};
    for (size_t i = 0; i < sizeof orders / sizeof orders[0]; i++) {
        struct scenario scenario = scenario_default();
        for (int k = 0; k < 3; k++) {
            const char *key = orders[i][k];
            scenario_say(&scenario, key,
                         strcmp(key, "receiver.use") == 0 ? "rooftop"
                         : strcmp(key, "site.pair") == 0  ? "DVB"
                                                          : "34");
        }
        assert_near(scenario.receiver.antenna_dbd, 11.0, 0, "ITU-R BT.2033-2, GE06: 650 MHz");
        assert_near(scenario.receiver.line_loss_db, 4.0, 0, "ITU-R BT.2033-2, GE06: 650 MHz");
        assert_near(scenario.receiver.noise_figure_db, 6.0, 0, "ITU-R BT.2033-2");
        assert_int_equal(scenario.receiver.man_made, MAN_MADE_NONE);
        scenario_say(&scenario, "site.rf_channel", "8");
        assert_near(scenario.receiver.antenna_dbd, 7.0, 0, "ITU-R BT.2033-2, GE06: 200 MHz");
        assert_near(scenario.receiver.line_loss_db, 2.0, 0, "ITU-R BT.2033-2, GE06: 200 MHz");
        assert_int_equal(scenario.receiver.man_made, MAN_MADE_RESIDENTIAL);
        scenario_say(&scenario, "receiver.use", "portable-outdoor");
        assert_near(scenario.receiver.noise_figure_db, 6.0, 0, "ITU-R BT.2033-2");
        assert_near(scenario.receiver.antenna_dbd, -2.06, 0.05,
                    "ITU-R BT.2033-2 Table 28, -2 dBd at 200 MHz");
        scenario_say(&scenario, "site.pair", "ATSC"); /* to channel 10 */
        scenario_say(&scenario, "receiver.use", "rooftop");
        assert_near(scenario.receiver.antenna_dbd, 6.0, 0, "FCC OET Bulletin 69, high VHF");
        assert_near(scenario.receiver.noise_figure_db, 10.0, 0, "FCC OET Bulletin 69, high VHF");
    }
}

static void what_is_given_stays_in_any_order(void **state)
{
    (void)state;
    static const char *const orders[][3] = {
        {"receiver.use", "place.receive_height_m", "site.rf_channel"},
        {"place.receive_height_m", "receiver.use", "site.rf_channel"},
        {"site.rf_channel", "place.receive_height_m", "receiver.use"}};
    for (size_t i = 0; i < sizeof orders / sizeof orders[0]; i++) {
        struct scenario scenario = scenario_default();
        for (int k = 0; k < 3; k++) {
            const char *key = orders[i][k];
            scenario_say(&scenario, key,
                         strcmp(key, "receiver.use") == 0      ? "mobile"
                         : strcmp(key, "site.rf_channel") == 0 ? "24"
                                                               : "10"); /* the default, but given */
        }
        assert_near(scenario.place.receive_height_m, 10.0, 0, "given");
        assert_near(scenario.receiver.antenna_dbd, -1.9, 0.05, "ITU-R BT.2033-2 Table 30, 533 MHz");
        assert_near(scenario.receiver.speed_kmh, 50.0, 0, "a car in town");
    }
}

static void what_was_changed_stays_when_the_use_changes(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario_say(&scenario, "receiver.use", "mobile");
    field_put(field_named("receiver.speed_kmh"), &scenario, 90.0); /* by arrow keys */
    scenario_say(&scenario, "receiver.use", "handheld");
    assert_near(scenario.receiver.speed_kmh, 90.0, 0, "changed");
    assert_near(scenario.place.receive_height_m, 1.5, 0, "filled");
}

/* Every value that a use fills in is one that a user could write. */
static void every_use_is_legal_on_every_channel(void **state)
{
    (void)state;
    for (int use = 0; use < USE_COUNT; use++) {
        for (int k = 0; k < 70; k++) {
            struct use_at at = {(enum use)use, (enum channel_plan)(k % PLAN_COUNT),
                                57.0 + 20.0 * (k / PLAN_COUNT)};
            for (size_t i = 0; use_key(i) != NULL; i++) {
                double value = use_value(&at, i);
                assert_true(value >= use_key(i)->low && value <= use_key(i)->high);
            }
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_use_fills_receiver_and_place),
        cmocka_unit_test(a_handhelds_gain_follows_the_channel),
        cmocka_unit_test(a_use_follows_the_pairs_plan),
        cmocka_unit_test(what_is_given_stays_in_any_order),
        cmocka_unit_test(what_was_changed_stays_when_the_use_changes),
        cmocka_unit_test(every_use_is_legal_on_every_channel),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
