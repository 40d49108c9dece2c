/* What lies beyond the tables of a scenario: names of what is none, keys of no section, places that
 * a pair does not have. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "scenario/scenario.h"
#include "scenario/section.h"

static void what_is_none_has_no_name(void **state)
{
    (void)state;
    const char *const names[] = {pair_name((enum pair)99),
                                 generation_name((enum generation)99),
                                 building_name((enum building)99),
                                 field_method_name((enum field_method)99),
                                 man_made_noise_name((enum man_made_noise)99),
                                 use_name((enum use)99),
                                 surroundings_name((enum surroundings)99),
                                 service_channel_name((enum service_channel)99)};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        assert_string_equal(names[i], "?");
    }
}

static void a_key_of_no_section_is_refused(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct fault fault = {0};
    char key[400];
    memset(key, 'x', sizeof key);
    snprintf(key + 300, sizeof key - 300, ".snr_db");
    assert_int_equal(scenario_set(&scenario, key, "3", &fault), STATUS_MALFORMED);
    assert_non_null(strstr(fault.wrong, "too long"));
    assert_int_equal(scenario_set(&scenario, "nowhere.snr_db", "3", &fault), STATUS_UNKNOWN_NAME);
    assert_int_equal(scenario_set(&scenario, "station Hill.snr_db", "3", &fault),
                     STATUS_UNKNOWN_NAME);
}

/* What a section says and what [mode] says may not both be said, whichever comes first. */
static void a_code_is_said_at_one_place(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct fault fault = {0};
    assert_int_equal(scenario_set(&scenario, "plp a.rate", "5/15", NULL), STATUS_OK);
    assert_int_equal(scenario_set(&scenario, "mode.rate", "6/15", &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.wrong, "stands beside plp a");
    scenario = scenario_default();
    assert_int_equal(scenario_set(&scenario, "mode.rate", "6/15", NULL), STATUS_OK);
    assert_int_equal(scenario_set(&scenario, "plp a.rate", "5/15", &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.wrong, "stands beside mode.rate");
    assert_null(section_find("nowhere"));
    assert_false(section_name_is_usable(" a"));
    assert_false(section_name_is_usable("a "));
}

/* A pair's modes are checked and mended by the pair's own rules. */
static void what_is_illegal_is_mended(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct fault fault = {0};
    assert_int_equal(scenario_set(&scenario, "site.pair", "DVB", NULL), STATUS_OK);
    scenario.dvbt.constellation = DVBT_QPSK;
    scenario.dvbt.hierarchy = DVBT_ALPHA_2;
    assert_int_equal(scenario_check(&scenario, &fault), STATUS_ILLEGAL);
    scenario.station_count = 3; /* the last one says no channel */
    scenario.stations[0].plan = scenario.stations[1].plan = PLAN_REGION_1;
    scenario.stations[0].rf_channel = 13;
    scenario.stations[1].rf_channel = 21;
    scenario_repair(&scenario);
    assert_int_equal(scenario.dvbt.hierarchy, DVBT_PLAIN);
    assert_int_equal(scenario.stations[0].rf_channel, 30);
    assert_int_equal(scenario.stations[1].rf_channel, 21);
    assert_int_equal(scenario.stations[2].rf_channel, 0);
    /* Of a use that is none nothing follows, before or after. */
    const struct field *use = field_named("receiver.use");
    double line_db = scenario.receiver.line_loss_db;
    field_put(use, &scenario, 99);
    assert_near(scenario.receiver.line_loss_db, line_db, 0.0, "as it was");
    field_put(use, &scenario, USE_ROOFTOP);
    assert_near(scenario.receiver.line_loss_db, line_db, 0.0, "as it was");
}

/* Each item has a name of its own; what names it follows. */
static void items_are_renamed_with_all_that_names_them(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct fault fault = {0};
    assert_int_equal(scenario_set(&scenario, "subframe a.fft", "8K", NULL), STATUS_OK);
    assert_int_equal(scenario_set(&scenario, "subframe b.fft", "16K", NULL), STATUS_OK);
    assert_int_equal(scenario_set(&scenario, "plp p.subframe", "b", NULL), STATUS_OK);
    const struct section *section = section_find("subframe");
    assert_int_equal(section_rename(section, &scenario, 1, "a", &fault), STATUS_ILLEGAL);
    assert_int_equal(section_rename(section, &scenario, 1, "no]", &fault), STATUS_MALFORMED);
    assert_int_equal(section_rename(section, &scenario, 1, "late", &fault), STATUS_OK);
    assert_string_equal(scenario.transmission.plps[0].subframe, "late");
    char name[NAME_MAX_BYTES];
    section_free_name(section, &scenario, name, sizeof name);
    assert_int_equal(section_item_find(section, &scenario, name), -1);
    /* An item without a name is named by nothing; the next free number is passed where it is taken.
     */
    assert_non_null(section_add(section, &scenario, ""));
    assert_int_equal(scenario_set(&scenario, "plp q.rate", "5/15", NULL), STATUS_OK);
    assert_int_equal(section_rename(section, &scenario, 2, "4", NULL), STATUS_OK);
    assert_string_equal(scenario.transmission.plps[1].subframe, "");
    section_free_name(section, &scenario, name, sizeof name);
    assert_string_equal(name, "5");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_none_has_no_name),
        cmocka_unit_test(a_key_of_no_section_is_refused),
        cmocka_unit_test(a_code_is_said_at_one_place),
        cmocka_unit_test(what_is_illegal_is_mended),
        cmocka_unit_test(items_are_renamed_with_all_that_names_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
