/* `/` finds what has a name by a part of it, and goes there. */
#include "support/near.h"

#include <stdio.h>
#include <string.h>

#include "explorer/drive.h"
#include "explorer/place/state.h"
#include "explorer/weigh/state.h"
#include "support/effort.h"

static struct explorer *on_profile(const char *path, const char *keys)
{
    struct profile profile = {0};
    struct fault fault;
    assert_int_equal(profile_read_file(path, &profile, &fault), STATUS_OK);
    struct explorer *explorer = explorer_new(&profile, path);
    assert_non_null(explorer);
    explorer->rows = 24;
    explorer->columns = 80;
    explorer_run_script(explorer, keys);
    return explorer;
}

static void a_setting_and_a_figure_are_found_by_a_part_of_their_names(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_after("e / text:measured Enter", 24, 80);
    assert_shows(explorer, "▸Measured SNR");
    assert_int_equal(explorer->view, 0);
    explorer_run_script(explorer, "/ text:man Space made Enter 2 Escape");
    explorer_run_script(explorer, "/ text:MODE.RATE Enter Right");
    assert_int_equal(explorer->desk.profile.scenario.transmission.plps[0].code.rate_15ths, 11);
    explorer_run_script(explorer, "/ text:doppler_hz Enter");
    assert_shows(explorer, "▸Doppler");
    explorer_free(explorer);
}

static void stations_and_echoes_are_found_in_their_views(void **state)
{
    (void)state;
    struct explorer *explorer = on_profile("profiles/shared-tower.ini", "/ text:quarry Enter Wait");
    assert_string_equal(view_row(explorer->view)->name, "place");
    const struct place_state *place = view_state_of(explorer);
    assert_string_equal(explorer->desk.profile.scenario.stations[place->stations.at].name,
                        "Quarry Hill");
    explorer_run_script(explorer, "/ text:gasworks Enter");
    assert_string_equal(view_row(explorer->view)->name, "echo");
    assert_shows(explorer, "▸gasworks");
    explorer_run_script(explorer, "/ text:view: Space weigh Enter");
    assert_string_equal(view_row(explorer->view)->name, "weigh");
    explorer_free(explorer);
}

static void plps_and_services_are_found_in_their_views(void **state)
{
    (void)state;
    struct explorer *explorer = on_profile("profiles/three-services.ini", "/ 'service room' Enter");
    assert_string_equal(view_row(explorer->view)->name, "divide");
    assert_shows(explorer, "▸room");
    explorer_run_script(explorer, "b a m / 'plp 2' Enter");
    assert_string_equal(view_row(explorer->view)->name, "plps");
    assert_shows(explorer, "▸ plp 2");
    explorer_free(explorer);
}

static void a_mode_is_found_among_all_and_can_be_taken(void **state)
{
    (void)state;
    struct explorer *explorer =
        explorer_after("/ text:8k Space text:gi3 Space text:qpsk Space text:4/15s Down", 24, 80);
    const struct offer *offer = &explorer->desk.prompt.offer;
    assert_true(offer->count > 81 * 120 && offer->shown_count > 1);
    char name[80];
    strcpy(name, offer_row(offer, offer->at)->name);
    explorer_run_script(explorer, "Enter");
    struct weigh_state *weigh = view_state_of(explorer);
    assert_true(weigh->modes.at > 200); /* far down, by its rate */
    char words[96];
    snprintf(words, sizeof words, "▸%s", name);
    assert_shows(explorer, words);
    explorer_run_script(explorer, "Enter");
    assert_int_equal(mode_of(explorer)->fft, FFT_8K);
    assert_int_equal(mode_of(explorer)->guard, GI3_512);
    /* What breaks a limit is not listed, and that is said. */
    explorer_run_script(explorer,
                        "Tab Down Down 3 0 Enter / text:8k Space text:gi3 Space text:qpsk "
                        "Enter");
    assert_shows(explorer, "is not listed: it breaks a limit");
    explorer_free(explorer);
}

static void what_is_not_there_is_said(void **state)
{
    (void)state;
    /* What is typed stands in the box alone, not in the selected setting behind it. */
    struct explorer *plain = explorer_after("/ text:zz", 60, 200);
    struct text screen = {0};
    screen_of(plain, &screen);
    const char *typed = strstr(text_string(&screen), "zz_");
    assert_non_null(typed);
    assert_null(strstr(typed + 1, "zz_"));
    text_free(&screen);
    explorer_free(plain);
    struct explorer *explorer = explorer_after("/ text:gasometer", 24, 80);
    assert_shows(explorer, "Nothing has all these words.");
    int view = explorer->view;
    explorer_run_script(explorer, "Enter");
    assert_int_equal(explorer->view, view);
    explorer_run_script(explorer, "/ PageDown PageDown End Home Up Escape");
    assert_false(explorer->desk.prompt.open);
    explorer_free(explorer);
}

/* Every row leads somewhere. */
static void all_that_is_offered_can_be_gone_to(void **state)
{
    (void)state;
    struct explorer *explorer = on_profile("profiles/shared-tower.ini", "/");
    int rows = explorer->desk.prompt.offer.count - 81 * 120;
    assert_true(rows > 80);
    for (int i = 0; i < rows; i += (int)effort(9, 1, 1)) {
        char text[96];
        explorer_run_script(explorer, i ? "/" : "");
        const struct offered *row = &explorer->desk.prompt.offer.rows[i];
        snprintf(text, sizeof text, "%s", row->text);
        const struct view *view = NULL;
        for (int v = 0; v < view_count(); v++) {
            view = view_row(v)->key == (unsigned char)text[0] ? view_row(v) : view;
        }
        assert_non_null(view);
        explorer->desk.prompt.offer.at = i;
        explorer_run_script(explorer, "Enter");
        assert_ptr_equal(view_row(explorer->view), view);
        if (view->key == 'm' && text[1]) {
            assert_true(
                view->select(&explorer->desk, explorer->view_state[explorer->view], text + 1));
        }
    }
    explorer_free(explorer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_setting_and_a_figure_are_found_by_a_part_of_their_names),
        cmocka_unit_test(stations_and_echoes_are_found_in_their_views),
        cmocka_unit_test(plps_and_services_are_found_in_their_views),
        cmocka_unit_test(a_mode_is_found_among_all_and_can_be_taken),
        cmocka_unit_test(what_is_not_there_is_said),
        cmocka_unit_test(all_that_is_offered_can_be_gone_to),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
