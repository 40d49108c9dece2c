#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "explorer/divide/edit.h"
#include "explorer/divide/state.h"
#include "explorer/drive.h"

/* Two services that are soon divided. */
static struct scenario two_services(void)
{
    struct scenario scenario = scenario_default();
    divide_add_first(&scenario);
    divide_remove(&scenario, 1);
    assert_string_equal(scenario.services[1].name, "roof");
    assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
    return scenario;
}

static struct divide_state *state_of(struct explorer *explorer)
{
    return view_state_of(explorer);
}

/* ---- Edits. ---- */

static void services_are_added_up_to_four_and_one_has_the_rest(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    divide_add_first(&scenario);
    assert_int_equal(scenario.service_count, 3);
    assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
    assert_int_equal(divide_add(&scenario, 2), 3);
    assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
    assert_false(isnan(scenario.services[3].rate_mbps)); /* like one that has the rest */
    assert_string_not_equal(scenario.services[3].name, scenario.services[2].name);
    assert_int_equal(divide_add(&scenario, 0), -1);
}

/* ---- The view. ---- */

static void nothing_to_begin_with_is_offered_three(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("g", 24, 80);
    assert_shows(explorer, "No services: a adds three to begin with");
    assert_shows(explorer, "a PLP each, a subframe each, and layers.");
    explorer_run_script(explorer, "Enter Space n Down Left d Tab Enter"); /* harmless */
    assert_false(explorer->desk.changed);
    explorer_run_script(explorer, "a");
    assert_int_equal(explorer->desk.profile.scenario.service_count, 3);
    assert_shows(explorer, "phone asks for 1.5 Mbit/s, and must work at 7 dB in a fading");
    explorer_run_script(explorer, "u");
    assert_false(explorer->desk.changed);
    explorer_free(explorer);
}

static void what_the_system_lacks_is_not_promised(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    assert_int_equal(scenario_set(&scenario, "site.pair", "DVB", NULL), STATUS_OK);
    struct explorer *explorer = explorer_with(&scenario, "g", 24, 80);
    assert_shows(explorer, " a PLP each.");
    explorer_free(explorer);
}

/* What the table shows is what the study says; what is taken over is legal, carries what was shown,
 * and is undone at once. */
static void divisions_are_found_shown_and_taken_over(void **state)
{
    (void)state;
    struct scenario scenario = two_services();
    struct explorer *explorer = explorer_with(&scenario, "g Wait", 24, 80);
    struct divisions divisions;
    assert_int_equal(divide_make(&scenario, &divisions, NULL), STATUS_OK);
    assert_true(divisions.count >= 3);
    for (int i = 0; i < divisions.count; i++) {
        const struct division *division = &divisions.best[i];
        char row[96];
        snprintf(row, sizeof row, "%-10s%8.2f", division_kind_name(division->kind),
                 division->spare_mbps);
        assert_shows(explorer, row);
        snprintf(row, sizeof row, "%10.2f%10.2f", division->services[0].net_mbps,
                 division->services[1].net_mbps);
        assert_shows(explorer, row);
    }
    explorer_run_script(explorer, "Tab Tab Down Enter");
    const struct division *taken = &divisions.best[1];
    const struct transmission *now = &explorer->desk.profile.scenario.transmission;
    assert_memory_equal(now, &taken->transmission, sizeof *now);
    assert_int_equal(scenario_check(&explorer->desk.profile.scenario, NULL), STATUS_OK);
    assert_shows(explorer, "Taken over");
    assert_false(state_of(explorer)->errand.pending); /* the services are the same */
    explorer_run_script(explorer, "b Wait");
    char row[64];
    snprintf(row, sizeof row, "%8.2f", taken->services[0].net_mbps);
    assert_shows(explorer, row);
    explorer_run_script(explorer, "u");
    assert_true(transmission_is_plain(now));
    assert_false(explorer->desk.changed);
    explorer_free(explorer);
}

/* At 80 columns some stand aside: the arrows bring each, and no further than the last. */
static void columns_that_do_not_fit_are_moved_in(void **state)
{
    (void)state;
    struct scenario scenario = two_services();
    struct explorer *explorer = explorer_with(&scenario, "g Wait Tab Tab", 24, 80);
    assert_shows(explorer, "←→ more columns");
    assert_shows(explorer, "needs dB");
    explorer_run_script(explorer, "Right Right Right Right Right Right Right Right");
    assert_shows(explorer, "Mbit/s  length");
    assert_shows(explorer, "64800");
    assert_shows(explorer, "phone ");
    int most = state_of(explorer)->sideways;
    assert_between(most, 1, 4, "no more than are hidden");
    explorer_run_script(explorer, "Right");
    assert_int_equal(state_of(explorer)->sideways, most);
    explorer_run_script(explorer, "Left Left Left Left Left");
    assert_shows(explorer, "needs dB");
    happens(explorer, (struct event){.kind = EVENT_RESIZE, .rows = 32, .columns = 100});
    assert_shows(explorer, "length");
    explorer_free(explorer);
}

/* A list that is not of what is on the desk cannot be acted on. */
static void nothing_is_taken_while_it_is_computed(void **state)
{
    (void)state;
    struct scenario scenario = two_services();
    struct explorer *explorer = explorer_with(&scenario, "g Wait Tab Tab", 24, 80);
    struct divide_state *divide = state_of(explorer);
    divide->errand.pending = true; /* stands for a worker at a newer question */
    happens(explorer, event_key(PRESS_ENTER));
    assert_true(transmission_is_plain(&explorer->desk.profile.scenario.transmission));
    assert_non_null(strstr(explorer->desk.message, "Still computing"));
    divide->errand.pending = false;
    explorer_free(explorer);
}

static void computing_stops_and_begins_again(void **state)
{
    (void)state;
    struct scenario scenario = two_services();
    struct explorer *explorer = explorer_with(&scenario, "g", 24, 80);
    assert_true(state_of(explorer)->errand.pending);
    assert_shows(explorer, "computing");
    explorer_run_script(explorer, "Space");
    assert_false(state_of(explorer)->errand.pending);
    assert_shows(explorer, "stopped, Space begins again");
    explorer_run_script(explorer, "Space Wait");
    assert_non_null(divide_selected(state_of(explorer)));
    explorer_free(explorer);
}

static void why_there_is_no_division_is_said(void **state)
{
    (void)state;
    struct scenario scenario = two_services();
    struct explorer *explorer = explorer_with(&scenario, "g Tab Down Delete Wait", 24, 80);
    assert_shows(explorer, "a second service would have the rest");
    explorer_run_script(explorer, "9 9 Enter Wait");
    assert_near(explorer->desk.profile.scenario.services[0].rate_mbps, 99.0, 0, "typed");
    assert_shows(explorer, "no division of the channel gives every service what it asks for");
    assert_shows(explorer, "lower rates, higher SNRs");
    explorer_free(explorer);
}

static void services_are_changed_by_keys_and_mouse(void **state)
{
    (void)state;
    struct scenario scenario = two_services();
    struct explorer *explorer = explorer_with(&scenario, "g Click:4,5 Tab Down Down Right", 24, 80);
    const struct scenario *now = &explorer->desk.profile.scenario;
    assert_near(now->services[1].snr_db, 22.5, 0, "a step of half a dB");
    explorer_run_script(explorer, "WheelDown:5,60");
    assert_near(now->services[1].snr_db, 22.0, 0, "and back");
    explorer_run_script(explorer, "BackTab d");
    assert_int_equal(now->service_count, 1);
    explorer_run_script(explorer, "Wait Click:10,5");
    assert_true(state_of(explorer)->in_table);
    assert_shows(explorer, "One PLP for all");
    explorer_free(explorer);
}

static void pages_turn_and_words_tell_all(void **state)
{
    (void)state;
    struct scenario scenario = two_services();
    struct explorer *explorer = explorer_with(&scenario, "g Wait Tab Tab", 24, 80);
    assert_shows(explorer, "needs dB margin dB");
    explorer_run_script(explorer, "n");
    assert_shows(explorer, "The frame: subframes, PLPs and layers");
    explorer_run_script(explorer, "n");
    assert_shows(explorer, "Rates of phone and roof by division");
    explorer_run_script(explorer, "N N");
    assert_shows(explorer, "needs dB margin dB");
    explorer_run_script(explorer, "i");
    assert_shows(explorer, "phone asks for 1.5 Mbit/s");
    explorer_run_script(explorer, "PageDown PageDown PageDown PageDown PageDown");
    assert_shows(explorer, "ATSC A/327 Annex B");
    explorer_free(explorer);
}

static void it_draws_at_any_size(void **state)
{
    (void)state;
    struct scenario scenario = two_services();
    divide_add(&scenario, 0);
    divide_add(&scenario, 0);
    struct explorer *explorer = explorer_with(&scenario, "g Wait", 24, 80);
    for (int k = 0; k < 6; k++) {
        assert_draws_at_any_size(explorer);
        explorer->rows = 24;
        explorer->columns = 80;
        explorer_run_script(explorer, "Tab n");
    }
    explorer_free(explorer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(services_are_added_up_to_four_and_one_has_the_rest),
        cmocka_unit_test(nothing_to_begin_with_is_offered_three),
        cmocka_unit_test(divisions_are_found_shown_and_taken_over),
        cmocka_unit_test(what_the_system_lacks_is_not_promised),
        cmocka_unit_test(columns_that_do_not_fit_are_moved_in),
        cmocka_unit_test(nothing_is_taken_while_it_is_computed),
        cmocka_unit_test(computing_stops_and_begins_again),
        cmocka_unit_test(why_there_is_no_division_is_said),
        cmocka_unit_test(services_are_changed_by_keys_and_mouse),
        cmocka_unit_test(pages_turn_and_words_tell_all),
        cmocka_unit_test(it_draws_at_any_size),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
