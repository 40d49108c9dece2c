#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/random.h"
#include "explorer/drive.h"
#include "explorer/plps/edit.h"
#include "explorer/plps/state.h"
#include "standard/atsc3/frame.h"

/* Two subframes; in the second a layer over a core. */
static struct scenario divided(void)
{
    static const char *const said[][2] = {
        {"receiver.snr_db", "20"},
        {"subframe town.fft", "16K"},
        {"subframe far.fft", "32K"},
        {"subframe far.pilots", "SP24_2"},
        {"plp phone.subframe", "town"},
        {"plp phone.constellation", "QPSK"},
        {"plp phone.share_percent", "30"},
        {"plp room.subframe", "town"},
        {"plp room.constellation", "16QAM"},
        {"plp base.subframe", "far"},
        {"plp base.constellation", "QPSK"},
        {"plp base.rate", "4/15"},
        {"plp over.subframe", "far"},
        {"plp over.layer", "enhanced"},
        {"plp over.over", "base"},
        {"plp over.constellation", "16QAM"}, /* what a core needs is then soon found */
    };
    struct scenario scenario = scenario_default();
    for (size_t i = 0; i < sizeof said / sizeof said[0]; i++) {
        assert_int_equal(scenario_set(&scenario, said[i][0], said[i][1], NULL), STATUS_OK);
    }
    assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
    return scenario;
}

static struct value value_named(const struct scenario *scenario, const char *name)
{
    const void *base;
    const char *item;
    char written[64];
    struct value value = {.field = scenario_field(scenario, name, &base)};
    assert_non_null(value.field);
    snprintf(written, sizeof written, "%.*s", (int)(strrchr(name, '.') - name), name);
    value.section = section_of(written, PAIR_ATSC, &item);
    value.item = section_item_find(value.section, scenario, item);
    return value;
}

/* ---- Edits. ---- */

static void the_first_section_keeps_what_mode_said(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario.transmission.plps[0].code.constellation = QAM64;
    scenario.transmission.subframes[0].waveform.guard = GI4_768;
    scenario_repair(&scenario);
    struct transmission before = scenario.transmission;
    assert_int_equal(plps_add(&scenario, 0), 1);
    assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
    assert_int_equal(scenario.transmission.plp_count, 2);
    assert_int_equal(plps_add_subframe(&scenario, 0), 1);
    assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
    assert_int_equal(scenario.transmission.plp_count, 3);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(scenario.transmission.plps[i].code.constellation, QAM64);
        assert_int_equal(plp_subframe(&scenario.transmission, i), i == 2);
    }
    for (int i = 0; i < 2; i++) {
        assert_int_equal(scenario.transmission.subframes[i].waveform.guard, GI4_768);
    }
    plps_remove_subframe(&scenario, 1);
    plps_remove_subframe(&scenario, 0);
    plps_remove(&scenario, 1);
    plps_remove(&scenario, 0);
    assert_memory_equal(&scenario.transmission, &before, sizeof before);
}

/* 64 PLPs and 16 subframes; then there is room for no more. */
static void there_is_room_for_so_many_and_no_more(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario.transmission.frame_ms = 1000.0;
    int subframes = 1, plps = 1;
    while (plps_add_subframe(&scenario, 0) >= 0) {
        subframes++;
    }
    assert_int_equal(subframes, SUBFRAMES_MAX);
    assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
    plps = scenario.transmission.plp_count;
    while (plps_add(&scenario, plps % SUBFRAMES_MAX) >= 0) {
        plps++;
        assert_int_equal(scenario.transmission.plp_count, plps);
    }
    assert_int_equal(plps, PLPS_MAX);
    assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
}

static void what_is_added_beside_one_that_has_all_takes_half(void **state)
{
    (void)state;
    struct scenario scenario = divided();
    scenario_set(&scenario, "plp room.share_percent", "70", NULL);
    int added = plps_add(&scenario, 1);
    assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
    assert_near(scenario.transmission.plps[1].share_percent, 35.0, 0, "half of 70 %");
    struct frame frame;
    assert_int_equal(frame_build(&scenario.transmission, &frame, NULL), STATUS_OK);
    assert_near((double)frame.slots[added].cells / (double)frame.pools[0].cells, 0.35, 1e-4,
                "the other half");
}

static void a_layer_without_its_core_becomes_one(void **state)
{
    (void)state;
    struct scenario scenario = divided();
    plps_remove(&scenario, 2); /* base */
    assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
    assert_int_equal(scenario.transmission.plps[2].layer, LAYER_CORE);
    assert_string_equal(scenario.transmission.plps[2].over, "");
}

static void a_layer_follows_its_core_into_another_subframe(void **state)
{
    (void)state;
    struct scenario scenario = divided(), next;
    struct value subframe = value_named(&scenario, "plp base.subframe");
    assert_int_equal(value_set(&subframe, &scenario, "town", &next, NULL), STATUS_OK);
    assert_string_equal(next.transmission.plps[3].subframe, "town");
    assert_string_equal(next.transmission.plps[3].over, "base");
}

static void another_name_is_followed_by_all_that_say_it(void **state)
{
    (void)state;
    struct scenario scenario = divided(), next;
    struct value name = {section_find("subframe"), NULL, 1};
    assert_int_equal(value_set(&name, &scenario, "roofs", &next, NULL), STATUS_OK);
    assert_string_equal(next.transmission.subframes[1].name, "roofs");
    assert_string_equal(next.transmission.plps[3].subframe, "roofs");
    assert_string_equal(next.transmission.plps[0].subframe, "town");
    assert_int_equal(scenario_check(&next, NULL), STATUS_OK);
    struct fault fault;
    assert_int_equal(value_set(&name, &scenario, "TOWN", &next, &fault), STATUS_ILLEGAL);
    assert_int_equal(value_set(&name, &scenario, "a]b", &next, &fault), STATUS_MALFORMED);
    struct value core = {section_find("plp"), NULL, 2};
    assert_int_equal(value_set(&core, &scenario, "floor", &next, NULL), STATUS_OK);
    assert_string_equal(next.transmission.plps[3].over, "floor");
}

static void shares_go_as_far_as_others_leave(void **state)
{
    (void)state;
    struct scenario now = divided(), next;
    scenario_set(&now, "plp room.share_percent", "55", NULL);
    struct value share = value_named(&now, "plp phone.share_percent");
    struct fault short_of = {0};
    int steps = 0;
    while (value_step(&share, &now, 1, &next, &short_of)) {
        assert_int_equal(scenario_check(&next, NULL), STATUS_OK);
        assert_true(++steps < 10);
        now = next;
    }
    assert_near(now.transmission.plps[0].share_percent, 45.0, 1e-9, "100 % less 55 %");
    assert_int_equal(short_of.status, STATUS_ILLEGAL);
    assert_string_equal(short_of.place, "plp room.share_percent");
}

/* What the arrows offer is legal, whatever stands in the profile. */
static void steps_stay_legal(void **state)
{
    (void)state;
    struct random random = random_seeded(14, 0);
    struct scenario now = divided(), next;
    static const char *const names[] = {"subframe", "plp"};
    int changed = 0;
    for (int k = 0; k < 400; k++) {
        const struct section *section = section_find(names[random_bits(&random) % 2]);
        int item = (int)(random_bits(&random) % (unsigned)section_items(section, &now)), n = 0;
        struct value value;
        while (value_at(section, item, n, &value)) {
            n++;
        }
        value_at(section, item, (int)(random_bits(&random) % (unsigned)n), &value);
        if (!value_step(&value, &now, random_bits(&random) % 2 ? 1 : -1, &next, NULL)) {
            continue;
        }
        struct fault fault;
        if (scenario_check(&next, &fault) == STATUS_OK) {
            now = next;
            changed++;
        } else if (value_kind(&value) == VALUE_CHOSEN) {
            fail_msg("%s: %s %s", value.field->name, fault.place, fault.wrong);
        }
    }
    assert_true(changed > 200);
}

/* ---- The view. ---- */

static void every_plp_has_a_row_with_its_verdict(void **state)
{
    (void)state;
    struct scenario scenario = divided();
    struct explorer *explorer = explorer_with(&scenario, "b Wait", 24, 80);
    struct pipes pipes;
    assert_int_equal(pipes_make(&scenario, GENERATION_SECOND, &pipes, NULL), STATUS_OK);
    assert_int_equal(pipes.count, 4);
    for (int i = 0; i < pipes.count; i++) {
        const struct verdict *verdict = &pipes.verdicts[i];
        char row[96];
        snprintf(row, sizeof row, "plp %-10s%9.1f%8.2f%+7.1f", verdict->facts.plp,
                 100.0 * verdict->facts.plp_share, verdict->facts.net_mbps, verdict->margin_db);
        assert_shows(explorer, i < 3 ? row : row + strlen("plp over "));
    }
    pipes_free(&pipes);
    assert_shows(explorer, "Subframe town: phone 30.0 % + room 70.0 % = 100.0 %");
    explorer_free(explorer);
}

/* The main view's figures and the echo view's account have them too. */
static void other_views_show_the_margin_of_every_plp(void **state)
{
    (void)state;
    struct scenario scenario = divided();
    struct explorer *explorer = explorer_with(&scenario, "Tab Down Wait", 24, 80);
    struct pipes pipes;
    assert_int_equal(pipes_make(&scenario, GENERATION_SECOND, &pipes, NULL), STATUS_OK);
    for (int i = 0; i < pipes.count; i++) {
        char row[128], name[64];
        snprintf(name, sizeof name, "plp %s, dB", pipes.verdicts[i].facts.plp);
        snprintf(row, sizeof row, "%-19s%12.1f", name, pipes.verdicts[i].margin_db);
        assert_shows(explorer, row);
    }
    assert_shows(explorer, "plp room: core, 16QAM 10/15");
    explorer_run_script(explorer, "i");
    assert_shows(explorer, "plp room: core, 16QAM 10/15");
    explorer_run_script(explorer, "Escape e > > > > > > > > > > > >");
    char row[96];
    snprintf(row, sizeof row, "plp over%31.1f", pipes.verdicts[3].margin_db);
    assert_shows(explorer, row);
    pipes_free(&pipes);
    explorer_free(explorer);
}

static void plps_are_added_changed_removed_and_undone(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("b Down a", 24, 80);
    const struct transmission *now = &explorer->desk.profile.scenario.transmission;
    assert_int_equal(now->plp_count, 2);
    assert_shows(explorer, "plp 2");
    explorer_run_script(explorer, "Tab Down Down Left");
    assert_int_equal(now->plps[1].code.constellation, QAM64);
    explorer_run_script(explorer, "Down Down Down Down Down Right");
    assert_int_equal(now->plps[1].layer, LAYER_ENHANCED);
    assert_string_equal(now->plps[1].over, "1");
    explorer_run_script(explorer, "Tab d");
    assert_int_equal(now->plp_count, 1);
    explorer_run_script(explorer, "u u u u");
    assert_true(transmission_is_plain(now));
    assert_false(explorer->desk.changed);
    explorer_run_script(explorer, "A");
    assert_int_equal(now->subframe_count, 2);
    assert_int_equal(now->plp_count, 2);
    explorer_run_script(explorer, "d");
    assert_int_equal(now->subframe_count, 1);
    explorer_free(explorer);
}

/* Without sections the values are those of [mode]. */
static void in_the_plain_case_mode_is_edited(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("b", 24, 80);
    assert_shows(explorer, " The subframe: PLP 0 100.0 % = 100.0 % of ");
    explorer_run_script(explorer, "Tab Right");
    assert_int_equal(mode_of(explorer)->fft, FFT_32K);
    assert_true(transmission_is_plain(&explorer->desk.profile.scenario.transmission));
    explorer_run_script(explorer, "Tab d");
    assert_shows(explorer, "This is what [mode] says: it stays.");
    explorer_free(explorer);
}

/* ---- The other pair: PLPs in one frame. ---- */

static struct scenario of_dvb(bool two)
{
    static const char *const said[][2] = {
        {"site.pair", "DVB"},
        {"receiver.snr_db", "20"},
        {"plp phone.constellation", "QPSK"},
        {"plp phone.rate", "1/2"},
        {"plp phone.share_percent", "30"},
        {"plp home.constellation", "64QAM"},
    };
    struct scenario scenario = scenario_default();
    for (int i = 0; i < (two ? 6 : 2); i++) {
        assert_int_equal(scenario_set(&scenario, said[i][0], said[i][1], NULL), STATUS_OK);
    }
    assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
    return scenario;
}

/* Rows, and sums below them, are those of the frame, at the common sizes of a terminal. */
static void plps_of_one_frame_have_rows_and_sums(void **state)
{
    (void)state;
    static const int sizes[][2] = {{24, 80}, {32, 100}};
    struct scenario scenario = of_dvb(true);
    struct pipes pipes;
    struct t2_frame frame;
    assert_int_equal(pipes_make(&scenario, GENERATION_SECOND, &pipes, NULL), STATUS_OK);
    assert_int_equal(pipes.count, 2);
    assert_int_equal(t2_frame_build(&scenario.dvbt2, 8, &frame, NULL), STATUS_OK);
    for (int k = 0; k < 2; k++) {
        struct explorer *explorer = explorer_with(&scenario, "b Wait", sizes[k][0], sizes[k][1]);
        double sum = 0.0;
        char row[160];
        for (int i = 0; i < 2; i++) {
            const struct verdict *verdict = &pipes.verdicts[i];
            double share = 100.0 * (double)frame.slots[i].blocks *
                           t2_block_cells(&scenario.dvbt2.plps[i].code) / (double)frame.cells;
            sum += share;
            snprintf(row, sizeof row, "%9.1f%8.2f%+*.1f", share, frame.slots[i].net_mbps,
                     sizes[k][1] > 80 ? 11 : 7, verdict->margin_db);
            assert_shows(explorer, row);
            snprintf(row, sizeof row, "plp %s", scenario.dvbt2.plps[i].name);
            assert_shows(explorer, row);
        }
        snprintf(row, sizeof row, "= %.1f %% of %ld cells in %.1f ms.", sum, frame.cells,
                 frame.duration_ms);
        assert_shows(explorer, row);
        assert_true(sum > 95.0 && sum <= 100.0);
        explorer_free(explorer);
    }
    pipes_free(&pipes);
}

static void plps_of_one_frame_are_added_changed_removed_and_undone(void **state)
{
    (void)state;
    struct scenario scenario = of_dvb(false);
    struct explorer *explorer = explorer_with(&scenario, "b", 24, 80);
    const struct dvbt2 *now = &explorer->desk.profile.scenario.dvbt2;
    const struct t2_code before = now->code;
    assert_shows(explorer, "\u25B8plp  ");
    assert_shows(explorer, "a PLP  d remove"); /* no subframe is offered where there are none */
    explorer_run_script(explorer, "d");
    assert_shows(explorer, "This is what [dvbt2] says: it stays.");
    explorer_run_script(explorer, "A");
    assert_shows(explorer, "DVB-T2 has no subframes");
    assert_false(explorer->desk.changed);
    explorer_run_script(explorer, "Tab Left"); /* the plain case edits what counts in it */
    assert_int_equal(now->plp_count, 0);
    assert_true(memcmp(&now->code, &before, sizeof before) != 0);
    explorer_run_script(explorer, "u Tab a");
    assert_int_equal(now->plp_count, 2);
    assert_string_equal(now->plps[1].name, "2");
    assert_memory_equal(&now->plps[0].code, &before, sizeof before);
    assert_memory_equal(&now->plps[1].code, &before, sizeof before);
    explorer_run_script(explorer, "Tab Down Left");
    assert_int_equal(now->plps[1].code.constellation, before.constellation - 1);
    explorer_run_script(explorer, "End 4 0 Enter Right");
    assert_near(now->plps[1].share_percent, 45.0, 0, "typed, and a step on");
    explorer_run_script(explorer, "1 0 0 Enter");
    assert_near(now->plps[1].share_percent, 45.0, 0, "nothing would be left for the other");
    explorer_run_script(explorer, "Tab d");
    assert_int_equal(now->plp_count, 1);
    explorer_run_script(explorer, "u u u u u");
    assert_int_equal(now->plp_count, 0);
    assert_false(explorer->desk.changed);
    explorer_free(explorer);
}

/* What is full shares with the new one; there are so many and no more. */
static void one_frame_has_room_for_so_many_plps(void **state)
{
    (void)state;
    struct scenario scenario = of_dvb(true);
    assert_int_equal(scenario_set(&scenario, "plp home.share_percent", "70", NULL), STATUS_OK);
    assert_int_equal(plps_add(&scenario, 1), 2);
    assert_near(scenario.dvbt2.plps[1].share_percent, 35.0, 0, "half of 70 %");
    assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
    while (plps_add(&scenario, 2) >= 0) {
        assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
    }
    assert_int_equal(scenario.dvbt2.plp_count, T2_PLPS_MAX);
    struct explorer *explorer = explorer_with(&scenario, "b a", 24, 80);
    assert_shows(explorer, "There is no room for more than 16 PLPs.");
    explorer_free(explorer);
}

static void a_share_is_typed_refused_and_forgotten(void **state)
{
    (void)state;
    struct scenario scenario = divided();
    struct explorer *explorer = explorer_with(&scenario, "b Down Tab End Up Up Up Up", 24, 80);
    const struct plp *phone = &explorer->desk.profile.scenario.transmission.plps[0];
    assert_shows(explorer, "\u25B8Share               30 %");
    explorer_run_script(explorer, "2 5 Enter");
    assert_near(phone->share_percent, 25.0, 0, "typed");
    explorer_run_script(explorer, "1 0 0 Enter");
    assert_near(phone->share_percent, 25.0, 0, "nothing would be left for the other");
    assert_shows(explorer, "nothing is left for it");
    explorer_run_script(explorer, "Delete");
    assert_true(isnan(phone->share_percent));
    explorer_run_script(explorer, "Right"); /* from the 50 % that it then has */
    assert_near(phone->share_percent, 55.0, 0, "one step on");
    explorer_run_script(explorer, "Up 9 0 0 0 0 Enter");
    assert_int_equal(phone->cells, 90000);
    explorer_run_script(explorer, "Down 2 0 Enter"); /* a share stands in place of cells */
    assert_int_equal(phone->cells, 0);
    explorer_free(explorer);
}

static void a_name_is_typed(void **state)
{
    (void)state;
    struct scenario scenario = divided();
    struct explorer *explorer = explorer_with(&scenario, "b Tab Enter 's' Enter", 24, 80);
    assert_string_equal(explorer->desk.profile.scenario.transmission.subframes[0].name, "towns");
    assert_shows(explorer, "subframe towns");
    explorer_free(explorer);
}

static void a_click_selects_and_chooses(void **state)
{
    (void)state;
    struct scenario scenario = divided();
    struct explorer *explorer = explorer_with(&scenario, "b Click:4,5 Click:5,69", 24, 80);
    const struct plp *phone = &explorer->desk.profile.scenario.transmission.plps[0];
    assert_int_equal(phone->code.constellation, QAM64);
    explorer_run_script(explorer, "WheelDown:5,69");
    assert_int_equal(phone->code.constellation, QAM16);
    explorer_free(explorer);
}

static void it_draws_at_any_size_with_all_plps(void **state)
{
    (void)state;
    struct scenario scenario = divided();
    while (plps_add(&scenario, 1) >= 0) {
    }
    struct explorer *explorer = explorer_with(&scenario, "b End", 24, 80);
    assert_draws_at_any_size(explorer);
    explorer->rows = 12;
    explorer->columns = 40;
    assert_shows(explorer, "plp 64");
    explorer_run_script(explorer, "Tab");
    assert_shows(explorer, "Constellation");
    explorer_free(explorer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_first_section_keeps_what_mode_said),
        cmocka_unit_test(there_is_room_for_so_many_and_no_more),
        cmocka_unit_test(what_is_added_beside_one_that_has_all_takes_half),
        cmocka_unit_test(a_layer_without_its_core_becomes_one),
        cmocka_unit_test(a_layer_follows_its_core_into_another_subframe),
        cmocka_unit_test(another_name_is_followed_by_all_that_say_it),
        cmocka_unit_test(shares_go_as_far_as_others_leave),
        cmocka_unit_test(steps_stay_legal),
        cmocka_unit_test(every_plp_has_a_row_with_its_verdict),
        cmocka_unit_test(other_views_show_the_margin_of_every_plp),
        cmocka_unit_test(plps_are_added_changed_removed_and_undone),
        cmocka_unit_test(in_the_plain_case_mode_is_edited),
        cmocka_unit_test(plps_of_one_frame_have_rows_and_sums),
        cmocka_unit_test(plps_of_one_frame_are_added_changed_removed_and_undone),
        cmocka_unit_test(one_frame_has_room_for_so_many_plps),
        cmocka_unit_test(a_share_is_typed_refused_and_forgotten),
        cmocka_unit_test(a_name_is_typed),
        cmocka_unit_test(a_click_selects_and_chooses),
        cmocka_unit_test(it_draws_at_any_size_with_all_plps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
