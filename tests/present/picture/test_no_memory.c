/* Allocations of pictures fail: a picture is then the same, or empty and said to be so for want of
 * memory. */
#include "support/failing.h"

#include <stdio.h>
#include <string.h>

#include "present/picture/pictures.h"
#include "present/picture/proof.h"
#include "support/effort.h"

static struct scenario scenario;
static struct proof_sweep sweep;

static int draw_it(void)
{
    struct picture picture;
    bool made = picture_proof_make(&scenario, &sweep, &picture);
    assert_true(made || (picture.series_count == 0 && picture.title[0] == '\0'));
    picture_free(&picture);
    return made;
}

static void the_picture_stays_empty(void **state)
{
    (void)state;
    const struct proof_choice choice = proof_choice_default();
    scenario = scenario_default();
    assert_int_equal(proof_sweep_plan(&scenario, &choice, &sweep, NULL), STATUS_OK);
    proof_sweep_take(&sweep, 0, &(struct run_counts){.frames = 10, .frame_errors = 9});
    proof_sweep_take(&sweep, 1, &(struct run_counts){.frames = 10, .frame_errors = 4});
    proof_sweep_take(&sweep, 2, &(struct run_counts){.frames = 10});
    fail_each_allocation(draw_it, "picture");
}

/* ---- The pictures of a scenario. ---- */

static const struct picture_kind *kind;
static struct report report;
static double time_s[] = {0.0, 1.0, 2.0}, snr_db[] = {20.0, 12.0, 18.0};
static const struct reading_log readings = {3, time_s, snr_db};
static const struct picture_case shown = {
    .scenario = &scenario, .report = &report, .readings = &readings};
static struct picture whole; /* with all memory there */

static bool is_same(const struct picture *picture)
{
    bool same = memcmp(picture->title, whole.title, sizeof whole.title) == 0 &&
                picture->x.low == whole.x.low && picture->x.high == whole.x.high &&
                picture->series_count == whole.series_count &&
                memcmp(picture->bands, whole.bands, sizeof whole.bands) == 0 &&
                memcmp(picture->marks, whole.marks, sizeof whole.marks) == 0;
    for (size_t i = 0; i < whole.series_count && same; i++) {
        const struct series *ours = &picture->series[i], *theirs = &whole.series[i];
        size_t bytes = theirs->count * sizeof *theirs->y;
        same = ours->count == theirs->count && memcmp(ours->x, theirs->x, bytes) == 0 &&
               memcmp(ours->y, theirs->y, bytes) == 0 &&
               (ours->names == NULL) == (theirs->names == NULL);
    }
    return same;
}

static int make_it(void)
{
    struct picture picture;
    bool made = picture_kind_make(kind, &shown, &picture);
    int error = errno;
    bool right = made ? is_same(&picture) : error == ENOMEM && picture.series_count == 0;
    picture_free(&picture);
    if (!right) {
        print_error("%s: %s\n", kind->name, made ? "another picture" : strerror(error));
        fail();
    }
    return made;
}

static void a_picture_is_whole_or_empty(void **state)
{
    (void)state;
    static const char *const keys[][2] = {
        {"receiver.snr_db", "22"},          {"echo a.delay_us", "7.5"},
        {"echo a.level_db", "-9"},          {"service phone.rate_mbps", "2"},
        {"service phone.snr_db", "6"},      {"service roof.snr_db", "21"},
        {"station A.rf_channel", "10"},     {"station A.erp_kw", "20"},
        {"station A.height_m", "150"},      {"station A.distance_km", "30"},
        {"station A.generation", "second"}, {"station A.network", "Valley"},
    };
    scenario = scenario_default();
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        assert_int_equal(scenario_set(&scenario, keys[i][0], keys[i][1], NULL), STATUS_OK);
    }
    scenario.stations[1] = scenario.stations[0];
    strcpy(scenario.stations[1].name, "B");
    scenario.stations[1].bearing_deg = 90.0;
    scenario.station_count = 2;
    assert_int_equal(report_make(&scenario, &report, NULL), STATUS_OK);
    for (size_t i = 0; i < picture_kind_count(); i++) {
        kind = picture_kind_row(i);
        bool quick = (kind->view && strcmp(kind->view, "main") == 0) || kind->reads_log;
        if (!quick && effort(0, 1, 1) == 0) {
            continue;
        }
        assert_true(picture_kind_make(kind, &shown, &whole));
        fail_allocations(make_it, kind->name, (long)effort(2, 2, 0));
        picture_free(&whole);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_picture_is_whole_or_empty),
        cmocka_unit_test(the_picture_stays_empty),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
