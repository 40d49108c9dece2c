/* Allocations of studies of places, bands, lines and maps fail: each says so, and nothing is left.
 * Of those that solve many places alike only some are failed. */
#include "support/failing.h"

#include <math.h>

#include "study/place/line.h"
#include "study/place/place.h"
#include "study/place/plan.h"
#include "support/scenarios.h"

static struct scenario scenario;
static struct place_study study;

static void lay_out(int stations)
{
    scenario = scenario_default();
    for (int i = 0; i < stations; i++) {
        struct station *station = &scenario.stations[i];
        *station = station_unset(i ? "East" : "West");
        station->rf_channel = 24;
        station->erp_kw = 0.01;
        station->height_m = 50.0;
        station->distance_km = 3.0;
        station->bearing_deg = 90.0 + 180.0 * i;
        text_format(station->network, NAME_MAX_BYTES, "Net");
    }
    scenario.station_count = stations;
    scenario.receiver.positions = 2;
}

static int said(enum status status)
{
    assert_true(status == STATUS_OK || status == STATUS_NO_MEMORY);
    return status == STATUS_OK;
}

static int make_study(void)
{
    return said(place_study_make(&scenario, &study, NULL));
}

static int make_bands(void)
{
    struct place_station bands[BAND_COUNT];
    return said(place_bands_make(&scenario, &scenario.stations[0], bands, NULL));
}

static int make_margins(void)
{
    static const double distances_km[] = {1.0, 3.0, 30.0};
    double margins_db[3];
    return said(place_margins_at_db(&scenario, &study.stations[0], distances_km, 3, margins_db));
}

static int make_words_of_a_line(void)
{
    struct text words = {0};
    enum status status = network_line_words(&scenario, &words, NULL);
    assert_true(words.failed || (words.length > 0) == (status == STATUS_OK));
    int whole = status == STATUS_OK && !words.failed;
    text_free(&words);
    return whole;
}

static int make_plan(void)
{
    static struct plan plan;
    return said(plan_make(&scenario, &plan, NULL));
}

static void stations_and_their_margins_say_so(void **state)
{
    (void)state;
    lay_out(1);
    scenario.echoes[0] = (struct echo){.delay_us = 5.0, .level_db = -6.0};
    scenario.echo_count = 1;
    fail_each_allocation(make_study, "a study of a place");
    fail_each_allocation(make_bands, "bands of a station");
    fail_allocations(make_margins, "margins along the distance", 5);
}

static void lines_and_maps_say_so(void **state)
{
    (void)state;
    lay_out(2);
    fail_allocations(make_words_of_a_line, "a line", 1);
    fail_allocations(make_plan, "a map", 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stations_and_their_margins_say_so),
        cmocka_unit_test(lines_and_maps_say_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
