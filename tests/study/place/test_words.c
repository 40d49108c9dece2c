/* Words about stations, of studies of which one figure at a time is put as another place would have
 * it; and names of what is none. */
#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "study/divide/divide.h"
#include "study/place/place.h"

static struct place_study *made(void)
{
    struct place_study *study = malloc(sizeof *study);
    struct scenario scenario = scenario_default();
    static const char *const settings[][2] = {
        {"station One.rf_channel", "24"}, {"station One.erp_kw", "100"},
        {"station One.height_m", "200"},  {"station One.distance_km", "40"},
        {"station Two.rf_channel", "8"},  {"station Two.erp_kw", "100"},
        {"station Two.height_m", "200"},  {"station Two.distance_km", "40"}};
    assert_non_null(study);
    for (size_t i = 0; i < sizeof settings / sizeof settings[0]; i++) {
        assert_int_equal(scenario_set(&scenario, settings[i][0], settings[i][1], NULL), STATUS_OK);
    }
    assert_int_equal(place_study_make(&scenario, study, NULL), STATUS_OK);
    return study;
}

/* Ends the text and the study. */
static void assert_told(struct place_study *study, struct text *words, const char *piece, bool says)
{
    if ((strstr(text_string(words), piece) != NULL) != says) {
        print_error("\"%s\" %s \"%s\"\n", text_string(words), says ? "lacks" : "has", piece);
        fail();
    }
    text_free(words);
    free(study);
}

static void a_station_is_told_with_all_that_counts_for_it(void **state)
{
    (void)state;
    struct text words = {0};
    struct place_study *study = made();
    struct place_station *station = &study->stations[0];
    station->link.interference_db = 2.0;
    station->link.location_db = 3.0;
    station->lost_db = 1.5;
    station->reach_has_gaps = true;
    station->link.member_count = 1;
    place_words_station(station, &words);
    assert_non_null(strstr(text_string(&words), "2.0 dB lost to interference"));
    assert_non_null(strstr(text_string(&words), "3.0 dB of it for the share of locations"));
    assert_non_null(strstr(text_string(&words), "lost to echoes and motion 1.5 dB"));
    assert_non_null(strstr(text_string(&words), "(with gaps nearer by)"));
    assert_told(study, &words, "the rest of its network as it is", true);
    study = made();
    study->stations[0].needed_snr_db = INFINITY;
    place_words_station(&study->stations[0], &words);
    assert_told(study, &words, "under these echoes no SNR suffices", true);
    for (int beyond = 0; beyond < 2; beyond++) {
        study = made();
        study->stations[0].link.choice.method = METHOD_FREE_SPACE;
        study->stations[0].link.horizon_km = beyond ? 30.0 : 50.0;
        place_words_station(&study->stations[0], &words);
        assert_told(study, &words, "Free space is far too kind here", beyond);
    }
}

static void terrain_is_told_as_far_as_it_is_known(void **state)
{
    (void)state;
    struct text words = {0};
    static const char *const pieces[] = {"adds -4.0 dB", "it ends at 0.0 km, before the place",
                                         "this method takes no more of it"};
    for (int i = 0; i < 3; i++) {
        struct place_study *study = made();
        struct link *link = &study->stations[0].link;
        link->effective_height_m = 150.0;
        link->clearance_deg = i == 0 ? 0.4 : NAN;
        link->terrain_db = -4.0;
        link->choice.method = i == 2 ? METHOD_FCC : METHOD_P1546;
        link->tower.terrain.count = 1;
        place_words_station(&study->stations[0], &words);
        assert_told(study, &words, pieces[i], true);
    }
}

static void reaches_are_told_beyond_and_below_what_was_sought(void **state)
{
    (void)state;
    struct place_study *study = made();
    struct place_station *station = &study->stations[0];
    char reach[48];
    station->reach_end_km = 1000.0;
    station->reach = REACH_BEYOND;
    place_words_reach(station, reach, sizeof reach);
    assert_string_equal(reach, "beyond 1000 km");
    station->reach_end_km = 0.1;
    station->reach = REACH_NOWHERE;
    place_words_reach(station, reach, sizeof reach);
    assert_string_equal(reach, "below 0.1 km");
    free(study);
}

static void two_stations_are_compared_by_what_differs(void **state)
{
    (void)state;
    struct text words = {0};
    struct place_study *study = made();
    study->stations[1] = study->stations[0];
    place_words_difference(&study->stations[0], &study->stations[1], &words);
    assert_non_null(strstr(text_string(&words), "has the same margin as"));
    assert_told(study, &words, "the same field strength. What differs comes after it.", true);
    for (int i = 0; i < 4; i++) { /* not the same tower, nor the same power */
        study = made();
        struct station *tower = &study->stations[1].link.tower;
        tower->height_m += i == 0;
        tower->distance_km += i == 1;
        tower->terrain_file[0] = i == 2 ? 'x' : '\0';
        tower->erp_vertical_kw += i == 3;
        study->stations[1].verdict.margin_db = study->stations[0].verdict.margin_db - 2.0;
        place_words_difference(&study->stations[0], &study->stations[1], &words);
        assert_non_null(strstr(text_string(&words), "2.0 dB less margin"));
        assert_told(study, &words, "Same power, height and distance", false);
    }
    study = made();
    study->stations[1].needed_snr_db = INFINITY;
    place_words_difference(&study->stations[0], &study->stations[1], &words);
    assert_told(study, &words, "no SNR suffices for Two.", true);
    study = made();
    study->stations[1].needed_noise_db = INFINITY; /* its code finds no SNR that suffices */
    place_words_difference(&study->stations[0], &study->stations[1], &words);
    assert_told(study, &words, "inf dB", false);
    assert_string_equal(place_part_name((enum place_part)99), "?");
    assert_string_equal(division_kind_name((enum division_kind)99), "?");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_station_is_told_with_all_that_counts_for_it),
        cmocka_unit_test(terrain_is_told_as_far_as_it_is_known),
        cmocka_unit_test(reaches_are_told_beyond_and_below_what_was_sought),
        cmocka_unit_test(two_stations_are_compared_by_what_differs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
