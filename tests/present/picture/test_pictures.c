#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "present/picture/pictures.h"
#include "profile/profile.h"
#include "study/verdict/sweep.h"
#include "support/effort.h"
#include "support/scenarios.h"

/* What the pictures of a scenario hold, before anything draws them. */

static struct scenario sample_scenario(void)
{
    struct scenario scenario = scenario_default();
    scenario.receiver.snr_db = 22.0;
    scenario.echo_count = 2;
    scenario.echoes[0] = (struct echo){7.5, -9.0, 30.0, 0.0};
    scenario.echoes[1] = (struct echo){60.0, -16.0, 100.0, 0.0};
    scenario.station_count = 1;
    scenario.stations[0] = (struct station){.name = "Tower",
                                            .generation = GENERATION_SECOND,
                                            .rf_channel = 10,
                                            .erp_kw = 20.0,
                                            .height_m = 150.0,
                                            .distance_km = 30.0};
    assert_int_equal(scenario_set(&scenario, "service phone.rate_mbps", "2", NULL), STATUS_OK);
    assert_int_equal(scenario_set(&scenario, "service phone.snr_db", "6", NULL), STATUS_OK);
    assert_int_equal(scenario_set(&scenario, "service roof.snr_db", "21", NULL), STATUS_OK);
    return scenario;
}

static void every_kind_has_a_title_axes_and_values(void **state)
{
    (void)state;
    struct scenario scenario = sample_scenario();
    text_format(scenario.stations[0].network, NAME_MAX_BYTES, "Valley");
    scenario.stations[1] = scenario.stations[0];
    text_format(scenario.stations[1].name, NAME_MAX_BYTES, "Other tower");
    scenario.stations[1].bearing_deg = 90.0;
    scenario.station_count = 2;
    struct report report;
    assert_int_equal(report_make(&scenario, &report, NULL), STATUS_OK);
    double time_s[] = {0.0, 1.0, 2.0}, snr_db[] = {20.0, 12.0, 18.0};
    const struct reading_log log = {3, time_s, snr_db};
    const struct picture_case shown = {.scenario = &scenario, .report = &report, .readings = &log};
    for (size_t i = 0; i < picture_kind_count(); i++) {
        const struct picture_kind *kind = picture_kind_row(i);
        assert_ptr_equal(picture_kind_find(kind->name), kind);
        assert_true(strlen(kind->title) > 3 && strlen(kind->help) > 8);
        struct picture picture;
        assert_true(picture_kind_make(kind, &shown, &picture));
        assert_true(picture.title[0] && picture.note[0]);
        assert_true(picture.x.label[0] && picture.y.label[0]);
        assert_true(picture.x.low < picture.x.high && picture.y.low < picture.y.high);
        size_t inside = 0;
        for (size_t s = 0; s < picture.series_count; s++) {
            for (size_t k = 0; k < picture.series[s].count; k++) {
                double x = picture_axis_place(&picture.x, picture.series[s].x[k]);
                double y = picture_axis_place(&picture.y, picture.series[s].y[k]);
                inside += x >= 0.0 && x <= 1.0 && y >= 0.0 && y <= 1.0;
            }
        }
        assert_true(inside > 0);
        picture_free(&picture);
    }
    assert_null(picture_kind_find("cubes"));
}

static const struct series *find_series(const struct picture *picture, const char *label)
{
    for (size_t i = 0; i < picture->series_count; i++) {
        if (strstr(picture->series[i].label, label)) {
            return &picture->series[i];
        }
    }
    return NULL;
}

static void delays_show_the_echoes_where_they_are(void **state)
{
    (void)state;
    struct scenario scenario = sample_scenario();
    struct report report;
    struct picture picture;
    assert_int_equal(report_make(&scenario, &report, NULL), STATUS_OK);
    const struct picture_case shown = {.scenario = &scenario, .report = &report};
    assert_true(picture_kind_make(picture_kind_find("delays"), &shown, &picture));
    const struct series *echoes = find_series(&picture, "echo");
    assert_non_null(echoes);
    assert_int_equal(echoes->count, 2);
    for (int i = 0; i < 2; i++) {
        assert_near(echoes->x[i], scenario.echoes[i].delay_us, 0.0, "the scenario");
        assert_near(echoes->y[i], scenario.echoes[i].level_db, 0.0, "the scenario");
    }
    picture_free(&picture);
}

static struct picture picture_of(const struct scenario *scenario, const char *kind)
{
    struct report report;
    struct picture picture;
    assert_int_equal(report_make(scenario, &report, NULL), STATUS_OK);
    const struct picture_case shown = {.scenario = scenario, .report = &report};
    assert_true(picture_kind_make(picture_kind_find(kind), &shown, &picture));
    return picture;
}

/* A weak echo far ahead of the others: the window rather leaves it out than the main signal. */
static void the_guard_interval_stands_where_the_rays_have_it(void **state)
{
    (void)state;
    struct scenario scenario = sample_scenario();
    scenario.receiver.snr_db = 25.0;
    scenario.echo_count = 1;
    scenario.echoes[0] = (struct echo){-160.0, -35.0, 0.0, 0.0};
    struct picture delays = picture_of(&scenario, "delays");
    struct picture rays = picture_of(&scenario, "rays");
    assert_non_null(strstr(delays.bands[1].label, "guard interval"));
    assert_non_null(strstr(rays.bands[1].label, "guard interval"));
    assert_near(delays.bands[1].low, rays.bands[1].low, 1e-9, "rays");
    assert_near(delays.bands[1].high, rays.bands[1].high, 1e-9, "rays");
    assert_near(delays.bands[1].high, 0.0, 1e-9, "the main signal is the last inside");
    assert_true(delays.x.low < -160.0 && delays.x.high > 38.5);
    picture_free(&delays);
    picture_free(&rays);
}

/* With echoes whose ripple a choice of carriers once kept time with. */
static const char *const swept_profiles[] = {
    "profiles/shared-tower.ini", "profiles/portable-indoor.ini",
    "profiles/echo-two-transmitters.ini", "profiles/indoor-high-vhf.ini"};
#define SWEPT_PROFILES (sizeof swept_profiles / sizeof swept_profiles[0])
#define CURVE_CLOSE_DB 0.01

static void the_margins_drawn_are_those_of_the_verdict(void **state)
{
    (void)state;
    static struct verdicts study;
    static struct verdict moved;
    size_t step = effort(SWEPT_PROFILES, 1, 1), apart = effort(14, 7, 1);
    for (size_t i = 0; i < SWEPT_PROFILES; i += step) {
        struct profile profile;
        assert_int_equal(profile_read_file(swept_profiles[i], &profile, NULL), STATUS_OK);
        double now_us = profile.scenario.echoes[0].delay_us;
        struct picture picture = picture_of(&profile.scenario, "margin");
        const struct series *first = find_series(&picture, "8-VSB");
        const struct series *second = find_series(&picture, "OFDM");
        bool has_now = false;
        assert_int_equal(verdicts_make(&profile.scenario, &study, NULL), STATUS_OK);
        for (int g = 0; g < GENERATION_COUNT; g++) {
            const struct series *line = g == GENERATION_FIRST ? first : second;
            for (size_t k = 0; k < line->count; k++) {
                bool is_now = line->x[k] == now_us;
                has_now |= is_now;
                if (k % apart == 0 || is_now) {
                    moved = study.of[g];
                    verdict_hold_position(&moved);
                    moved.conditions.channel.rays[1].delay_us = line->x[k];
                    assert_int_equal(verdict_solve(&moved, NULL), STATUS_OK);
                    assert_near(line->y[k], moved.margin_db, CURVE_CLOSE_DB, "verdict");
                }
                if (is_now) {
                    assert_near(line->y[k], study.of[g].margin_db, CURVE_CLOSE_DB,
                                "where it stands");
                }
            }
        }
        assert_true(has_now);
        picture_free(&picture);
        profile_free(&profile);
    }
}

static bool is_drawn(const struct scenario *scenario, const char *kind)
{
    struct report report;
    struct picture picture;
    assert_int_equal(report_make(scenario, &report, NULL), STATUS_OK);
    const struct picture_case shown = {.scenario = scenario, .report = &report};
    bool made = picture_kind_make(picture_kind_find(kind), &shown, &picture);
    picture_free(&picture);
    return made;
}

/* Nothing is made up: margins, borne levels and carriers need an SNR. Where the receivers stand
 * among the rays is as at one in the middle, and so with a station of one generation alone. */
/* Of several PLPs each is drawn, with the margin of its own verdict. */
static void every_plp_is_drawn_with_its_verdict(void **state)
{
    (void)state;
    static const char *const keys[][2] = {
        {"receiver.snr_db", "15"},        {"receiver.positions", "8"},
        {"echo e.delay_us", "3"},         {"echo e.level_db", "-6"},
        {"plp phone.rate", "4/15"},       {"plp phone.constellation", "QPSK"},
        {"plp roof.share_percent", "70"},
    };
    struct scenario scenario = scenario_default();
    struct pipes pipes;
    struct picture picture;
    char label[64];
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        assert_int_equal(scenario_set(&scenario, keys[i][0], keys[i][1], NULL), STATUS_OK);
    }
    struct report *report = malloc(sizeof *report);
    assert_int_equal(report_make(&scenario, report, NULL), STATUS_OK);
    assert_int_equal(pipes_make(&scenario, GENERATION_SECOND, &pipes, NULL), STATUS_OK);
    assert_int_equal(pipes.count, 2);
    const struct picture_case shown = {.scenario = &scenario, .report = report, .pipes = &pipes};
    assert_true(picture_kind_make(picture_kind_find("rate"), &shown, &picture));
    const struct series *points = find_series(&picture, "its PLPs");
    assert_non_null(points);
    for (int i = 0; i < pipes.count; i++) {
        const struct facts *facts = &pipes.verdicts[i].facts;
        assert_string_equal(points->names[i], facts->plp);
        assert_near(points->x[i], facts->required_snr_db, 0.0, "its own need");
        assert_near(points->y[i], facts->net_mbps, 0.0, "its own rate");
    }
    picture_free(&picture);
    assert_true(picture_kind_make(picture_kind_find("frame"), &shown, &picture));
    for (int i = 0; i < pipes.count; i++) {
        text_format(label, sizeof label, ", %+.1f dB", pipes.verdicts[i].margin_db);
        assert_non_null(strstr(picture.series[i].label, label));
    }
    picture_free(&picture);
    assert_true(picture_kind_make(picture_kind_find("positions"), &shown, &picture));
    for (int i = 0; i < pipes.count; i++) {
        text_format(label, sizeof label, "%s, %d %% decode", pipes.verdicts[i].facts.plp,
                    verdict_percent(&pipes.verdicts[i]));
        assert_non_null(find_series(&picture, label));
    }
    picture_free(&picture);
    pipes_free(&pipes);
    free(report);
}

static struct picture picture_of_profile(const char *path, const char *kind)
{
    struct profile profile;
    assert_int_equal(profile_read_file(path, &profile, NULL), STATUS_OK);
    assert_int_equal(scenario_set(&profile.scenario, "receiver.positions", "8", NULL), STATUS_OK);
    struct picture picture = picture_of(&profile.scenario, kind);
    profile_free(&profile);
    return picture;
}

/* Each one's account stands at a position of its own, but a picture of a channel shows one. */
static void carriers_of_both_are_of_one_channel(void **state)
{
    (void)state;
    static const char *const profiles[][3] = {
        {"profiles/indoor-high-vhf.ini", "8-VSB, as it arrives", "OFDM, its carriers"},
        {"profiles/dvb-room.ini", "DVB-T, as it arrives", "weakest carriers"}};
    for (int i = 0; i < 2; i++) {
        struct picture picture = picture_of_profile(profiles[i][0], "carriers");
        const struct series *first = find_series(&picture, profiles[i][1]);
        const struct series *second = find_series(&picture, profiles[i][2]);
        assert_non_null(first);
        assert_non_null(second);
        double sum = 0.0;
        for (size_t k = 0, j = 0; k < first->count; k++) {
            while (j + 1 < second->count && second->x[j + 1] <= first->x[k]) {
                j++;
            }
            sum += fmin(fabs(first->y[k] - second->y[j]), 10.0);
        }
        assert_between(sum / (double)first->count, 0.0, 0.9, "dB apart on an average");
        picture_free(&picture);
    }
}

static void what_follows_nothing_has_no_margin_to_draw(void **state)
{
    (void)state;
    static const char *const kinds[] = {"account", "positions", "time"};
    for (int i = 0; i < 3; i++) {
        struct picture picture = picture_of_profile("profiles/mobile.ini", kinds[i]);
        assert_non_null(find_series(&picture, "8-VSB cannot follow the motion"));
        assert_true((i == 0 ? picture.x.low : picture.y.low) > -10.0);
        picture_free(&picture);
    }
}

/* Each stair leads by its verdict's losses from the SNR to what is left and on to what is needed,
 * and the second begins below where the first ends. */
static void accounts_stand_one_under_the_other(void **state)
{
    (void)state;
    static const char *const profiles[] = {"profiles/indoor-high-vhf.ini",
                                           "profiles/dvb-network.ini"};
    for (int i = 0; i < 2; i++) {
        struct profile profile = {0};
        static struct verdicts verdicts;
        assert_int_equal(profile_read_file(profiles[i], &profile, NULL), STATUS_OK);
        assert_int_equal(verdicts_make(&profile.scenario, &verdicts, NULL), STATUS_OK);
        struct picture picture = picture_of(&profile.scenario, "account");
        double above = INFINITY;
        assert_int_equal(picture.series_count, GENERATION_COUNT);
        for (int g = 0; g < GENERATION_COUNT; g++) {
            const struct verdict *verdict = &verdicts.of[g];
            const struct series *stair = &picture.series[g];
            size_t last = stair->count - 1;
            assert_near(stair->x[0], verdict->fare.snr_db, 1e-9, "the verdict's SNR");
            assert_near(stair->x[last - 1], verdict->fare.left_db, 1e-9, "what is left");
            assert_near(stair->x[last], verdict->reception.needed_db, 1e-9, "what is needed");
            assert_near(stair->x[last - 1] - stair->x[last], verdict->margin_db, 1e-9, "to spare");
            assert_true(stair->y[0] < above);
            for (size_t k = 1; k <= last; k++) {
                bool down = stair->x[k] == stair->x[k - 1], along = stair->y[k] == stair->y[k - 1];
                assert_true(down || along || fabs(stair->x[k] - stair->x[k - 1]) < 0.2);
                assert_true(stair->y[k] <= stair->y[k - 1]);
            }
            above = stair->y[last];
        }
        picture_free(&picture);
        profile_free(&profile);
    }
}

/* With many causes of loss in both. */
static struct scenario many_losses(void)
{
    static const char *const set[][2] = {
        {"receiver.snr_db", "24"},        {"receiver.speed_kmh", "5"},
        {"first.adaptation_step", "0.1"}, {"first.implementation_loss_db", "1"},
        {"echo near.delay_us", "0.4"},    {"echo near.level_db", "-8"},
        {"echo near.doppler_hz", "1.5"},  {"echo late.delay_us", "160"},
        {"echo late.level_db", "-14"},    {"echo late.doppler_hz", "-12"}};
    struct scenario scenario = scenario_default();
    for (size_t i = 0; i < sizeof set / sizeof set[0]; i++) {
        scenario_say(&scenario, set[i][0], set[i][1]);
    }
    return scenario;
}

static void assert_names_stand(const struct picture *picture, int rows, int columns, bool ascii)
{
    struct grid grid = {.ascii = ascii};
    struct text drawn = {0};
    assert_true(grid_resize(&grid, rows, columns));
    picture_draw_grid(picture, &grid, (struct rect){0, 0, rows, columns});
    grid_dump(&grid, &drawn);
    for (size_t s = 0; s < picture->series_count; s++) {
        for (size_t i = 0; i < picture->series[s].count; i++) {
            if (strstr(text_string(&drawn), picture->series[s].names[i]) == NULL) {
                print_message("%dx%d: no \"%s\" in\n%s", columns, rows, picture->series[s].names[i],
                              text_string(&drawn));
            }
            assert_non_null(strstr(text_string(&drawn), picture->series[s].names[i]));
        }
    }
    text_free(&drawn);
    grid_free(&grid);
}

/* In the room that the main view leaves at 80x24 and at 100x32, and in more. */
static void each_step_of_an_account_is_named(void **state)
{
    (void)state;
    const struct scenario many = many_losses();
    struct picture pictures[] = {picture_of_profile("profiles/indoor-high-vhf.ini", "account"),
                                 picture_of_profile("profiles/mobile.ini", "account"),
                                 picture_of_profile("profiles/dvb-room.ini", "account"),
                                 picture_of(&many, "account")};
    static const int sizes[][2] = {{7, 80}, {9, 100}, {10, 120}, {26, 200}};
    assert_true(pictures[3].series[0].count + pictures[3].series[1].count >= 18);
    for (size_t i = 0; i < sizeof pictures / sizeof pictures[0]; i++) {
        for (size_t k = 0; k < 2 * sizeof sizes / sizeof sizes[0]; k++) {
            assert_names_stand(&pictures[i], sizes[k / 2][0], sizes[k / 2][1], k % 2 == 1);
        }
        picture_free(&pictures[i]);
    }
}

static void without_an_snr_only_the_rays_are_drawn(void **state)
{
    (void)state;
    static const char *const others[] = {"margin", "tolerance", "carriers"};
    struct scenario scenario = sample_scenario();
    struct station tower = scenario.stations[0];
    scenario.receiver.snr_db = 20.0;
    struct picture known = picture_of(&scenario, "rays");
    scenario.receiver.snr_db = NAN;
    for (int stations = 0; stations < 3; stations++) {
        scenario.station_count = stations > 0;
        scenario.stations[0] = tower;
        scenario.stations[0].generation = stations == 1 ? GENERATION_FIRST : GENERATION_SECOND;
        for (int i = 0; i < 3; i++) {
            bool can = stations == 2 || (stations == 1 && strcmp(others[i], "carriers") != 0);
            assert_int_equal(is_drawn(&scenario, others[i]), can);
        }
        struct picture rays = picture_of(&scenario, "rays");
        assert_int_equal(rays.series_count, known.series_count);
        for (size_t s = 0; s < rays.series_count; s++) {
            assert_int_equal(rays.series[s].count, known.series[s].count);
            for (size_t k = 0; k < rays.series[s].count; k++) {
                assert_near(rays.series[s].x[k], known.series[s].x[k], 0.0, "the same rays");
                assert_near(rays.series[s].y[k], known.series[s].y[k], 1e-9, "the same window");
            }
        }
        for (size_t b = 0; b < rays.band_count; b++) {
            assert_near(rays.bands[b].low, known.bands[b].low, 1e-9, "the same receivers");
            assert_near(rays.bands[b].high, known.bands[b].high, 1e-9, "the same receivers");
        }
        picture_free(&rays);
    }
    picture_free(&known);
}

/* The lesser of a lone echo's margins with either phase. */
static double lone_margin_db(const struct scenario *scenario, double delay_us, double level_db)
{
    static struct scenario lone;
    static struct verdict verdict;
    double least_db = INFINITY;
    lone = *scenario;
    lone.echo_count = 1;
    lone.receiver.speed_kmh = 0.0; /* at rest */
    for (int phase = 0; phase < 2; phase++) {
        lone.echoes[0] = (struct echo){delay_us, level_db, 180.0 * phase, 0.0};
        assert_int_equal(verdict_make(&lone, GENERATION_SECOND, &verdict, NULL), STATUS_OK);
        least_db = fmin(least_db, verdict.margin_db);
    }
    return least_db;
}

static void the_levels_drawn_as_borne_are_borne_by_the_verdict(void **state)
{
    (void)state;
    struct profile profile;
    assert_int_equal(profile_read_file("profiles/shared-tower.ini", &profile, NULL), STATUS_OK);
    profile.scenario.echo_count = 0; /* the lone echo is none of the profile's */
    struct picture picture = picture_of(&profile.scenario, "tolerance");
    const struct series *second = find_series(&picture, "OFDM");
    size_t step = effort(4, 1, 1);
    for (size_t k = 0; k < second->count; k += step) {
        double at_us = second->x[k], level_db = second->y[k];
        if (at_us == 0.0) {
            continue; /* it may cancel the main signal: only just below its level */
        }
        double margin_db = lone_margin_db(&profile.scenario, at_us, level_db);
        assert_true(margin_db > -CURVE_CLOSE_DB);
        if (level_db < ECHO_TOLERATED_MOST_DB) {
            margin_db = lone_margin_db(&profile.scenario, at_us, level_db + 0.1);
            assert_true(margin_db < CURVE_CLOSE_DB);
        }
    }
    picture_free(&picture);
    profile_free(&profile);
}

static void the_frontier_rises_and_no_mode_stands_above_it(void **state)
{
    (void)state;
    struct scenario scenario = sample_scenario();
    struct report report;
    struct picture picture;
    assert_int_equal(report_make(&scenario, &report, NULL), STATUS_OK);
    const struct picture_case shown = {.scenario = &scenario, .report = &report};
    assert_true(picture_kind_make(picture_kind_find("best"), &shown, &picture));
    const struct series *best = find_series(&picture, "any mode");
    const struct series *bearing = find_series(&picture, "echoes up to 148.1 us");
    assert_true(best != NULL && bearing != NULL);
    double at_mode = NAN;
    for (size_t i = 0; i < best->count; i++) {
        assert_true(i == 0 || isnan(best->y[i - 1]) || best->y[i] >= best->y[i - 1]);
        assert_true(isnan(bearing->y[i]) || bearing->y[i] <= best->y[i]);
        if (isnan(at_mode) &&
            best->x[i] >= report_facts(&report, GENERATION_SECOND)->required_snr_db) {
            at_mode = bearing->y[i];
        }
    }
    assert_true(at_mode >= report_facts(&report, GENERATION_SECOND)->net_mbps - 1e-9);
    /* The largest mode at 6 MHz carries about 57 Mbit/s (its PLP; published capacity). */
    assert_between(best->y[best->count - 1], 55.0, 59.0, "published capacity, 40 dB is enough");
    picture_free(&picture);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_has_a_title_axes_and_values),
        cmocka_unit_test(delays_show_the_echoes_where_they_are),
        cmocka_unit_test(the_guard_interval_stands_where_the_rays_have_it),
        cmocka_unit_test(the_margins_drawn_are_those_of_the_verdict),
        cmocka_unit_test(every_plp_is_drawn_with_its_verdict),
        cmocka_unit_test(carriers_of_both_are_of_one_channel),
        cmocka_unit_test(what_follows_nothing_has_no_margin_to_draw),
        cmocka_unit_test(accounts_stand_one_under_the_other),
        cmocka_unit_test(each_step_of_an_account_is_named),
        cmocka_unit_test(without_an_snr_only_the_rays_are_drawn),
        cmocka_unit_test(the_levels_drawn_as_borne_are_borne_by_the_verdict),
        cmocka_unit_test(the_frontier_rises_and_no_mode_stands_above_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
