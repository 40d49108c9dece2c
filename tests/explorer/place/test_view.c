#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "explorer/drive.h"
#include "explorer/place/state.h"
#include "profile/profile.h"

/* ---- Edits. ---- */

static void an_added_station_is_legal_and_has_a_name_of_its_own(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    for (int i = 0; i < STATIONS_MAX; i++) {
        assert_true(place_edit_add(&scenario, 0));
        assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
        for (int k = 0; k < i; k++) {
            assert_string_not_equal(scenario.stations[i].name, scenario.stations[k].name);
        }
    }
    assert_false(place_edit_add(&scenario, 0));
    assert_int_equal(scenario.station_count, STATIONS_MAX);
}

static void a_first_station_is_on_the_channel_in_use_and_is_received(void **state)
{
    (void)state;
    static const int channels[] = {3, 9, 30};
    for (size_t i = 0; i < sizeof channels / sizeof channels[0]; i++) {
        struct scenario scenario = scenario_default();
        char channel[16];
        struct fault fault;
        snprintf(channel, sizeof channel, "%d", channels[i]);
        assert_int_equal(scenario_set(&scenario, "site.rf_channel", channel, &fault), STATUS_OK);
        struct place_station *before = malloc(sizeof *before);
        assert_true(before && place_edit_add(&scenario, 0));
        assert_int_equal(scenario.stations[0].rf_channel, channels[i]);
        assert_int_equal(place_station_make(&scenario, &scenario.stations[0], before, &fault),
                         STATUS_OK);
        assert_true(before->verdict.margin_db >= 10.0 && before->verdict.margin_db < 40.0);
        /* The next one stands off it, and costs it next to nothing. */
        assert_true(place_edit_add(&scenario, 0));
        assert_true(abs(scenario.stations[1].rf_channel - channels[i]) > 1);
        struct place_study *study = malloc(sizeof *study);
        assert_non_null(study);
        assert_int_equal(place_study_make(&scenario, study, &fault), STATUS_OK);
        assert_true(study->stations[0].verdict.margin_db > 0.5 * before->verdict.margin_db);
        free(study);
        free(before);
    }
}

static void removing_a_station_closes_the_gap(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    place_edit_add(&scenario, 0);
    place_edit_add(&scenario, 0);
    place_edit_remove(&scenario, 0);
    assert_int_equal(scenario.station_count, 1);
    assert_string_equal(scenario.stations[0].name, "Station 2");
}

/* The rows that can be set, those of place and receiver included. */
static void every_setting_steps_within_its_range(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default(), next;
    place_edit_add(&scenario, 0);
    int settings = 0;
    for (int row = 0; row < place_row_count(&scenario); row++) {
        struct value value;
        if (!place_row_value(row, 0, &value)) {
            continue;
        }
        settings++;
        for (int direction = -1; direction <= 1; direction += 2) {
            for (int k = 0; k < 40; k++) {
                struct fault short_of;
                if (value_step(&value, &scenario, direction, &next, &short_of)) {
                    scenario = next;
                }
            }
            assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
        }
    }
    assert_true(settings > 20);
}

static void every_setting_of_a_station_and_of_the_place_has_a_row(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        int found = 0;
        for (int row = 0; row < place_row_count(&scenario); row++) {
            struct value value;
            found += place_row_value(row, 0, &value) && value.field == field;
        }
        bool asked = strcmp(field->section, "station") == 0 || strcmp(field->section, "place") == 0;
        assert_true(found == 1 || (found == 0 && !asked));
    }
}

static double shown(int row, const struct place_station *station)
{
    char text[64];
    place_row_text(row, NULL, 0, station, text, sizeof text);
    return atof(text);
}

/* From the field to the margin: each line that begins with "=" is the sum of those before it. */
static void the_lines_add_up_to_the_margin(void **state)
{
    (void)state;
    struct profile profile;
    assert_int_equal(profile_read_file("profiles/shared-tower.ini", &profile, NULL), STATUS_OK);
    struct place_study *study = malloc(sizeof *study);
    assert_non_null(study);
    profile.scenario.place.building = BUILDING_TRADITIONAL;
    assert_int_equal(place_study_make(&profile.scenario, study, NULL), STATUS_OK);
    for (int i = 0; i < study->count; i++) {
        const struct place_station *station = &study->stations[i];
        double sum = NAN;
        int sums = 0, lines = 0;
        for (int row = 0; row <= place_row_of_margin(); row++) {
            struct value value;
            char label[64];
            if (place_row_value(row, 0, &value)) {
                continue;
            }
            place_row_label(row, label, sizeof label);
            double number = shown(row, station);
            if (label[0] == '=') {
                assert_near(sum, number, 0.05 * (lines + 1) + 1e-9,
                            "the sum of lines that are rounded to 0.1");
                sum = number;
                sums++;
                lines = 1;
            } else {
                lines++;
                sum = label[0] == '+' ? sum + number : label[0] == '-' ? sum - number : number;
            }
        }
        assert_int_equal(sums, 3);
    }
    free(study);
    profile_free(&profile);
}

/* ---- The view. ---- */

/* What the screen says is what the study computes for the scenario as edited. */
static void margins_follow_as_power_changes(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("l", 24, 80);
    assert_shows(explorer, "No stations: a adds one.");
    struct text said = {0};
    view_row(explorer->view)->words(&explorer->desk, view_state_of(explorer), &said);
    assert_int_equal(said.length, 0); /* not said twice */
    text_free(&said);
    explorer_run_script(explorer, "a a");
    for (int i = 0; i < 4; i++) {
        explorer_run_script(explorer, "Right Wait");
        struct place_study study;
        assert_int_equal(place_study_make(&explorer->desk.profile.scenario, &study, NULL),
                         STATUS_OK);
        char expected[64];
        snprintf(expected, sizeof expected, "margin, dB   %12.1f%12.1f",
                 study.stations[0].verdict.margin_db, study.stations[1].verdict.margin_db);
        assert_shows(explorer, expected + 12);
        double ratio = study.stations[1].link.tower.erp_kw / study.stations[0].link.tower.erp_kw;
        assert_near(10.0 * log10(ratio), i + 1.0, 1e-9, "1 dB a step");
    }
    explorer_free(explorer);
}

static void a_value_is_typed_and_a_bad_one_refused(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("l a", 24, 80);
    explorer_run_script(explorer, "Enter 2 5 0 Enter");
    assert_near(explorer->desk.profile.scenario.stations[0].erp_kw, 250.0, 0, "typed");
    explorer_run_script(explorer, "Enter - 5 Enter");
    assert_near(explorer->desk.profile.scenario.stations[0].erp_kw, 250.0, 0, "refused");
    explorer_run_script(explorer, "u");
    assert_near(explorer->desk.profile.scenario.stations[0].erp_kw, 1.0, 0, "undone");
    explorer_free(explorer);
}

static void words_help_and_pictures_are_there(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("l a a Right Wait", 40, 120);
    assert_shows(explorer, "dB more margin than Station 1");
    assert_shows(explorer, "Margin against distance");
    explorer_run_script(explorer, "n Wait");
    assert_shows(explorer, "Field strength against distance");
    explorer_run_script(explorer, "n Wait");
    assert_shows(explorer, "Where each generation decodes");
    explorer_run_script(explorer, "n Wait");
    assert_shows(explorer, "No two stations share a network");
    explorer_run_script(explorer, "n Wait");
    assert_shows(explorer, "Margin of Station 2 by both methods");
    explorer_run_script(explorer, "n Wait");
    assert_shows(explorer, "47 CFR 73.699, 90 %");
    explorer_run_script(explorer, "n Wait");
    assert_shows(explorer, "Doppler off a moving reflector");
    assert_shows(explorer, "8-VSB 10.0 Hz");
    explorer_run_script(explorer, "i");
    assert_shows(explorer, "channel 24 (UHF)");
    assert_shows(explorer, "power lines");
    explorer_free(explorer);
    explorer = explorer_after("l ?", 60, 160);
    assert_shows(explorer, "Caution: work on antennas");
    assert_shows(explorer, "kill. Keep far from power lines");
    explorer_free(explorer);
}

/* Settings are there at once; what follows is not made up while it is under way. */
static void what_is_under_way_is_not_shown_as_known(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("l a Wait", 24, 80);
    struct place_state *place = view_state_of(explorer);
    struct grid grid = {0};
    struct text screen = {0};
    place->errand.pending = true; /* stands for a worker at a newer question */
    assert_true(explorer_draw(explorer, &grid));
    grid_dump(&grid, &screen);
    place->errand.pending = false;
    assert_non_null(strstr(text_string(&screen), "ERP, kW                      1"));
    assert_non_null(strstr(text_string(&screen), "margin, dB               ..."));
    assert_non_null(strstr(text_string(&screen), "computing"));
    text_free(&screen);
    grid_free(&grid);
    explorer_free(explorer);
}

static void it_draws_at_any_size_with_eight_stations(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("l a a a a a a a a Tab Tab", 24, 80);
    desk_wait(&explorer->desk);
    assert_draws_at_any_size(explorer);
    explorer_free(explorer);
}

/* The verdict above goes by what was measured, where anything was; the table never does. */
static void what_is_predicted_is_told_beside_what_was_measured(void **state)
{
    (void)state;
    for (int measured = 0; measured < 2; measured++) {
        struct scenario scenario = scenario_default();
        scenario.receiver.snr_db = measured ? 25.0 : NAN;
        assert_true(place_edit_add(&scenario, 0));
        struct explorer *explorer = explorer_with(&scenario, "l Wait", 24, 80);
        assert_shows(explorer, "Stations at a place, as predicted");
        assert_int_equal(shows(explorer, "Predicted; the verdict above is by what was"), measured);
        explorer_free(explorer);
    }
}

static void removing_the_last_station_leaves_a_hint(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("l a d Left Tab n Enter d", 24, 80);
    assert_int_equal(explorer->desk.profile.scenario.station_count, 0);
    assert_shows(explorer, "No stations: a adds one.");
    explorer_free(explorer);
}

static void a_click_selects_station_and_row(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("l a a", 24, 80);
    double before = explorer->desk.profile.scenario.stations[0].height_m;
    explorer_run_script(explorer, "Click:7,25 WheelUp:7,25");
    assert_true(explorer->desk.profile.scenario.stations[0].height_m > before);
    explorer_free(explorer);
}

/* A name of 17 letters has room at 80 columns beside another; of eight stations no column is wider
 * than the least. */
static void long_names_are_whole_where_all_stations_have_room(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("l a a", 24, 80);
    struct scenario *scenario = &explorer->desk.profile.scenario;
    strcpy(scenario->stations[0].name, "Kettle Moor");
    strcpy(scenario->stations[1].name, "Kettle Moor First");
    assert_shows(explorer, "Kettle Moor Kettle Moor First");
    explorer_run_script(explorer, "a a a a a a");
    assert_shows(explorer, "4-8 of 8"); /* five columns of the least width */
    explorer_free(explorer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_added_station_is_legal_and_has_a_name_of_its_own),
        cmocka_unit_test(a_first_station_is_on_the_channel_in_use_and_is_received),
        cmocka_unit_test(removing_a_station_closes_the_gap),
        cmocka_unit_test(every_setting_steps_within_its_range),
        cmocka_unit_test(every_setting_of_a_station_and_of_the_place_has_a_row),
        cmocka_unit_test(the_lines_add_up_to_the_margin),
        cmocka_unit_test(margins_follow_as_power_changes),
        cmocka_unit_test(a_value_is_typed_and_a_bad_one_refused),
        cmocka_unit_test(words_help_and_pictures_are_there),
        cmocka_unit_test(what_is_under_way_is_not_shown_as_known),
        cmocka_unit_test(it_draws_at_any_size_with_eight_stations),
        cmocka_unit_test(what_is_predicted_is_told_beside_what_was_measured),
        cmocka_unit_test(removing_the_last_station_leaves_a_hint),
        cmocka_unit_test(long_names_are_whole_where_all_stations_have_room),
        cmocka_unit_test(a_click_selects_station_and_row),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
