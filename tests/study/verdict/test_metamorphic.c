/* One question, one answer: over all profiles that come along and changes of one key each, all that
 * shows a margin shows the same one; and what cannot change a verdict does not. */
#include "support/near.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <jansson.h>

#include "base/units.h"
#include "present/paper/sheet.h"
#include "study/place/place.h"
#include "study/reading/reading.h"
#include "study/verdict/changes.h"
#include "support/run.h"

#define SAME_DB 0.01

static const struct change changes[] = {
    {NULL, NULL},
    {"receiver.snr_db", "15"},
    {"receiver.snr_db", "45"},
    {"receiver.snr_db", "none"},
    {"receiver.level_dbm", "-75"},
    {"receiver.noise_figure_db", "11"},
    {"receiver.speed_kmh", "0"},
    {"receiver.speed_kmh", "40"},
    {"echo.level_db", "-4"},
    {"echo.level_db", "2"},
    {"echo.delay_us", "-13"},
    {"echo.delay_us", "170"},
    {"echo.phase_deg", "200"},
    {"echo.doppler_hz", "6"},
    {"first.threshold_db", "16.5"},
    {"first.equaliser_after_us", "5"},
    {"first.tracking_hz", "2"},
    {"first.adaptation_step", "0.03"},
    {"first.feedback", "slicer"},
    {"first.implementation_loss_db", "1.7"},
    {"mode.boost", "1"},
    {"mode.reduction", "3"},
    {"mode.length", "16200"},
    {"mode.rate", "5/15"},
    {"mode.constellation", "16QAM"},
    {"mode.interleaver", "none"},
    {"site.rf_channel", "31"},
    {"station.erp_kw", "0.2"},
    {"place.location_percent", "95"},
};
#define CHANGES (sizeof changes / sizeof changes[0])

/* What was asked last, for who compares. */
static struct {
    const char *path, *set;
    struct verdicts verdicts;
} asked;

static void ask(const struct scenario *scenario, const char *path, const char *set)
{
    asked.path = path;
    asked.set = set;
    assert_int_equal(verdicts_make(scenario, &asked.verdicts, NULL), STATUS_OK);
}

static void assert_same(double got_db, double expected_db, const char *who)
{
    bool same = isfinite(expected_db) ? fabs(got_db - expected_db) <= SAME_DB
                                      : !isfinite(got_db); /* JSON has null for none */
    if (!same) {
        print_error("%s%s: %s: %.4f dB, expected %.4f dB\n", asked.path, asked.set, who, got_db,
                    expected_db);
    }
    assert_true(same);
}

/* ---- Everybody who shows a margin. ---- */

static json_t *json_of(const char *command)
{
    char line[512];
    snprintf(line, sizeof line, "%s --format json %s%s", command, asked.path, asked.set);
    return run_json(line);
}

static double number(json_t *object, const char *name)
{
    json_t *value = json_object_get(object, name);
    assert_true(json_is_number(value) || json_is_null(value));
    return json_is_null(value) ? NAN : json_number_value(value);
}

static void check_command(const char *command)
{
    static const char *const parts[GENERATION_COUNT] = {"first", "second"};
    json_t *json = json_of(command);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct verdict *verdict = &asked.verdicts.of[i];
        json_t *part = json_object_get(json, parts[i]);
        assert_same(number(part, "margin_db"), verdict->margin_db, command);
        assert_same(number(part, "margin_noise_db"), verdict->margin_noise_db, command);
    }
    json_decref(json);
}

/* Step by step from the SNR to the margin, and in words. */
static void check_account(const struct verdict *verdict)
{
    struct account account;
    struct text words = {0};
    char expected[64];
    verdict_account(verdict, &account);
    assert_int_equal(account.count > 0, verdict->known);
    if (verdict->known) {
        double db = account.steps[0].snr_db - verdict->reception.needed_db;
        for (int k = 1; k < account.count; k++) {
            db += account.steps[k].is_loss ? account.steps[k].change_db : 0.0;
        }
        assert_same(db, verdict->margin_db, "account");
    }
    verdict_words_short(verdict, &words);
    if (verdict->known && verdict->positions > 1) {
        const char *start = verdict->positions_share > 0.0 ? "decodes " : "fails ";
        assert_int_equal(strncmp(text_string(&words), start, strlen(start)), 0);
        snprintf(expected, sizeof expected, ", %.1f dB %s ", fabs(verdict->margin_db),
                 verdict->margin_db >= 0.0 ? "to spare" : "short");
        assert_non_null(strstr(text_string(&words),
                               verdict->fare.lost ? ", it cannot follow the motion" : expected));
    } else {
        snprintf(expected, sizeof expected,
                 !verdict->known      ? "has no known SNR"
                 : verdict->works     ? "decodes, %.1f dB to spare"
                 : verdict->fare.lost ? "fails, it cannot follow the motion"
                                      : "fails, %.1f dB short",
                 fabs(verdict->margin_db));
        assert_string_equal(text_string(&words), expected);
    }
    text_free(&words);
}

static int stations_seen;

/* Where the SNR is a station's, its margin is that of the station in `place`. */
static void check_place(const struct scenario *scenario, enum generation generation)
{
    static struct place_study study;
    double margin_db = asked.verdicts.of[generation].margin_db;
    assert_int_equal(place_study_make(scenario, &study, NULL), STATUS_OK);
    size_t station = 0;
    while (study.stations[station].link.tower.generation != generation) {
        station++;
    }
    assert_same(study.stations[station].verdict.margin_db, margin_db, "place_study_make");
    json_t *json = json_of("place");
    assert_same(number(json_array_get(json, station), "margin_db"), margin_db, "place");
    json_decref(json);
    stations_seen++;
}

static void check_all(const struct scenario *scenario, const char *path, const char *set)
{
    ask(scenario, path, set);
    check_command("report");
    check_command("echo");
    for (int i = 0; i < GENERATION_COUNT; i++) {
        check_account(&asked.verdicts.of[i]);
        if (asked.verdicts.of[i].conditions.source == SNR_STATION) {
            check_place(scenario, (enum generation)i);
        }
    }
}

static void reports_echoes_accounts_words_and_places_say_one_margin(void **state)
{
    (void)state;
    stations_seen = 0;
    assert_true(each_change(changes, CHANGES, check_all) > (int)effort(70, 180, 400));
    assert_true(stations_seen > (int)effort(6, 15, 40));
}

/* A measured SNR equal to what a level or a station gives makes the same verdict on that channel.
 */
static void check_source(const struct scenario *scenario, const char *path, const char *set)
{
    static struct verdict measured;
    ask(scenario, path, set);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct conditions *conditions = &asked.verdicts.of[i].conditions;
        struct scenario other = *scenario;
        if (conditions->source == SNR_NONE) {
            continue;
        }
        other.receiver.snr_db = conditions->snr_db;
        scenario_set_center(&other, conditions->channel.centre_hz / 1e6);
        assert_int_equal(verdict_make(&other, (enum generation)i, &measured, NULL), STATUS_OK);
        assert_int_equal(measured.conditions.source, SNR_MEASURED);
        assert_same(measured.margin_db, asked.verdicts.of[i].margin_db, "measured");
    }
}

static void the_source_of_the_snr_does_not_matter(void **state)
{
    (void)state;
    static const struct change sources[] = {{NULL, NULL},
                                            {"receiver.snr_db", "none"},
                                            {"receiver.level_dbm", "-75"},
                                            {"receiver.speed_kmh", "40"}};
    each_change(sources, 4, check_source);
}

/* ---- Sheet and pictures. ---- */

/* Beside a margin that is known, one that is not says why. */
static void cell(double db, double beside_db, char *buffer, size_t size)
{
    if (isnan(db)) {
        snprintf(buffer, size, "%s", isnan(beside_db) ? "-" : "no SNR");
    } else {
        figure_number_text(db, "dB", 1, buffer, size);
    }
}

static void check_sheet(const struct picture_case *shown)
{
    const struct paper paper = {PAPER_SVG, 210.0, 297.0, 0.0, 1.0};
    const struct verdict *of = asked.verdicts.of;
    char name[] = "/tmp/guardspan-sheet-XXXXXX", row[128], first[32], second[32];
    int file = mkstemp(name);
    assert_true(file >= 0);
    assert_int_equal(comparison_sheet_draw(shown, &paper, name, NULL), STATUS_OK);
    char *svg = run_read_file(name);
    double first_db = of[GENERATION_FIRST].margin_db, second_db = of[GENERATION_SECOND].margin_db;
    cell(first_db, second_db, first, sizeof first);
    cell(second_db, first_db, second, sizeof second);
    snprintf(row, sizeof row, "\nMargin, with echoes and motion\n%s\n%s\ndB\n", first, second);
    assert_non_null(strstr(svg, row));
    free(svg);
    close(file);
    unlink(name);
}

/* The value of a picture's series at an x. */
static double drawn_at(const struct picture *picture, const char *label, double x)
{
    for (size_t s = 0; s < picture->series_count; s++) {
        const struct series *series = &picture->series[s];
        for (size_t k = 0; strcmp(series->label, label) == 0 && k < series->count; k++) {
            if (series->x[k] == x) {
                return series->y[k];
            }
        }
    }
    fail_msg("%s: nothing drawn for %s", picture->title, label);
    return NAN;
}

static void check_margins_by_delay(const struct picture_case *shown)
{
    struct picture picture;
    const struct picture_kind *kind = picture_kind_find("margin");
    const struct scenario *scenario = shown->scenario;
    const struct verdict *of = asked.verdicts.of;
    bool can = scenario->echo_count > 0 && (of[0].known || of[1].known);
    assert_int_equal(picture_kind_make(kind, shown, &picture), can);
    if (can) {
        double now_us = scenario->echoes[0].delay_us;
        for (int i = 0; i < GENERATION_COUNT; i++) {
            assert_same(drawn_at(&picture, of[i].reception.system->name, now_us), of[i].margin_db,
                        "margin");
        }
    }
    picture_free(&picture);
}

/* The digit at the station's own distance. */
static void check_reach(const struct picture_case *shown)
{
    struct picture picture;
    const struct scenario *scenario = shown->scenario;
    if (asked.verdicts.of[GENERATION_SECOND].conditions.source != SNR_STATION) {
        return;
    }
    int station = 0;
    while (scenario->stations[station].generation != GENERATION_SECOND) {
        station++;
    }
    const struct station *tower = &scenario->stations[station];
    assert_true(picture_kind_make(picture_kind_find("reach"), shown, &picture));
    assert_same(drawn_at(&picture, tower->name, tower->distance_km),
                asked.verdicts.of[GENERATION_SECOND].margin_db, "reach");
    picture_free(&picture);
}

#define FEW_ECHOES 2

static void check_paper(const struct scenario *scenario, const char *path, const char *set)
{
    static struct report report;
    ask(scenario, path, set);
    assert_int_equal(report_make(scenario, &report, NULL), STATUS_OK);
    const struct picture_case shown = {.scenario = scenario, .report = &report};
    check_sheet(&shown);
    check_reach(&shown);
    if (scenario->echo_count <= FEW_ECHOES) { /* of more it takes seconds: see test_pictures */
        check_margins_by_delay(&shown);
    }
}

static void sheets_and_pictures_say_the_margin(void **state)
{
    (void)state;
    static const struct change few[] = {{NULL, NULL}, {"receiver.snr_db", "none"}};
    each_change(few, 2, check_paper);
}

/* ---- A receiver's page, and the weighing of all modes. ---- */

static void write_page(const struct scenario *scenario, enum generation generation,
                       struct text *page)
{
    const struct transmission *t = &scenario->transmission;
    const struct waveform *waveform = &t->subframes[0].waveform;
    const struct plp *plp = &t->plps[0];
    text_printf(page, "Frequency: %.6f MHz\n", scenario->site.center_mhz);
    if (!isnan(scenario->receiver.snr_db)) {
        text_printf(page, "SNR: %.3f dB\n", scenario->receiver.snr_db);
    }
    if (!isnan(scenario->receiver.level_dbm)) {
        text_printf(page, "Signal level: %.3f dBm\n", scenario->receiver.level_dbm);
    }
    if (generation == GENERATION_FIRST) {
        text_append(page, "System: ATSC 1.0\n");
        return;
    }
    text_printf(page, "System: ATSC 3.0\nBandwidth: %d MHz\n", waveform->bandwidth_mhz);
    text_printf(page, "FFT size: %s\nGuard interval: %s\nPilot pattern: %s\n",
                fft_name(waveform->fft), guard_name(waveform->guard),
                pilots_name(waveform->pilots));
    text_printf(page, "Pilot boost: %d\nCarrier reduction: %d\n", waveform->boost,
                waveform->reduction);
    text_printf(page, "LDPC: %s\nCode rate: %d/15\nModulation: %s\n",
                code_length_name(plp->code.length), plp->code.rate_15ths,
                constellation_name(plp->code.constellation));
}

static struct weigh_space space; /* kept while it serves */

static void check_page(const struct scenario *scenario, const char *path, const char *set)
{
    static struct reading reading;
    if (scenario->site.pair != PAIR_ATSC) {
        return; /* pages of the other pair's receivers are not read yet */
    }
    ask(scenario, path, set);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        struct text text = {0};
        struct page page;
        write_page(scenario, (enum generation)i, &text);
        assert_int_equal(page_read(text_string(&text), text.length, PAIR_ATSC, &page, NULL),
                         STATUS_OK);
        assert_int_equal(reading_make(&page, -1, scenario, &space, &reading, NULL), STATUS_OK);
        assert_int_equal(reading_chosen(&reading)->settled.generation, i);
        assert_same(reading_chosen(&reading)->verdict.margin_db, asked.verdicts.of[i].margin_db,
                    "read");
        reading_free(&reading);
        page_free(&page);
        text_free(&text);
    }
}

static void pages_that_say_the_same_say_the_margin(void **state)
{
    (void)state;
    each_change(changes, 1, check_page);
    weigh_space_free(&space);
}

/* The weighing looks at a share of the carriers and shares its looks between modes: held to what it
 * claims for the present mode. A few profiles, for each takes seconds: motion, a receiver that
 * learns, echoes beyond the guard interval, an SNR of a station. */
#define WEIGHED_DB 0.1
static double weighed_most_db;

static void check_weighing(const struct scenario *scenario, const char *path, const char *set)
{
    static const char *const few[] = {"mobile",       "indoor-high-vhf", "single-frequency-network",
                                      "shared-tower", "dvb-roof",        "dvb-room"};
    bool weighed_here = false;
    for (size_t i = 0; i < sizeof few / sizeof few[0]; i++) {
        weighed_here |= strstr(path, few[i]) != NULL;
    }
    if (!weighed_here) {
        return;
    }
    ask(scenario, path, set);
    const struct verdict *verdict = &asked.verdicts.of[GENERATION_SECOND];
    if (!weigh_space_serves(&space, scenario)) {
        weigh_space_free(&space);
        assert_int_equal(weigh_space_make(scenario, SNR_RECEIVER, &space, NULL), STATUS_OK);
    }
    weigh_space_adopt(&space, scenario);
    assert_int_equal(weigh_echo_margins(&space, NULL, NULL), STATUS_OK);
    static struct verdict weighed;
    long mode = weigh_find(&space, scenario);
    assert_true(mode >= 0);
    weigh_report(&space, (size_t)mode, &weighed);
    assert_same(weighed.margin_noise_db, verdict->margin_noise_db, "weigh, noise alone");
    weighed_most_db = fmax(weighed_most_db, fabs(weighed.margin_db - verdict->margin_db));
    assert_near(weighed.margin_db, verdict->margin_db, WEIGHED_DB, "the mode's own verdict");
}

static void the_weighing_says_the_margin_of_the_present_mode(void **state)
{
    (void)state;
    each_change(changes, 1, check_weighing);
    weigh_space_free(&space);
    print_message("largest difference of the weighing: %.3f dB\n", weighed_most_db);
}

/* ---- What cannot change a verdict. ---- */

static void assert_unchanged(const struct scenario *other, const char *what)
{
    static struct verdicts after;
    assert_int_equal(verdicts_make(other, &after, NULL), STATUS_OK);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        assert_same(after.of[i].margin_db, asked.verdicts.of[i].margin_db, what);
        assert_same(after.of[i].margin_noise_db, asked.verdicts.of[i].margin_noise_db, what);
    }
}

/* Signal and noise alike: by level, and by the stations' power. */
static void check_scaling(const struct scenario *given, const char *path, const char *set)
{
    struct scenario scenario = *given;
    scenario.receiver.snr_db = NAN;
    scenario.receiver.man_made = MAN_MADE_NONE; /* it does not grow with the noise figure */
    scenario.station_count = scenario.station_count > 0; /* what others do hangs on the level */
    for (int level = 0; level < 2; level++) {
        scenario.receiver.level_dbm = level ? -78.0 : NAN;
        ask(&scenario, path, set);
        struct scenario louder = scenario;
        louder.receiver.noise_figure_db += 4.0;
        louder.receiver.level_dbm += 4.0; /* NAN stays */
        for (int i = 0; i < louder.station_count; i++) {
            louder.stations[i].erp_kw *= ratio_from_db(4.0);
            louder.stations[i].erp_vertical_kw *= ratio_from_db(4.0);
        }
        assert_unchanged(&louder, level ? "4 dB of level and noise" : "4 dB of power and noise");
    }
}

static void signal_and_noise_raised_alike_change_nothing(void **state)
{
    (void)state;
    static const struct change few[] = {{NULL, NULL}, {"receiver.speed_kmh", "40"}};
    each_change(few, 2, check_scaling);
}

/* At rest: a receiver that moves gives its rays angles in their order. */
static void check_order(const struct scenario *given, const char *path, const char *set)
{
    struct scenario scenario = *given;
    scenario.receiver.speed_kmh = 0.0;
    ask(&scenario, path, set);
    int count = scenario.echo_count;
    for (int turn = 1; turn < count + 1; turn++) {
        struct scenario other = scenario;
        for (int i = 0; i < count; i++) { /* turned round, and at last reversed */
            int from = turn < count ? (i + turn) % count : count - 1 - i;
            other.echoes[i] = scenario.echoes[from];
            memcpy(other.echo_names[i], scenario.echo_names[from], sizeof other.echo_names[i]);
        }
        assert_unchanged(&other, "other order");
    }
}

static void the_order_of_echoes_changes_nothing(void **state)
{
    (void)state;
    static const struct change few[] = {
        {NULL, NULL}, {"echo.doppler_hz", "6"}, {"echo.level_db", "2"}};
    each_change(few, 3, check_order);
}

/* -80 dB, at any delay and turning: at SNRs of up to 50 dB that is at most a thousandth of the
 * noise. A receiver that learns is asked with echoes at rest only: its lag is reckoned at positions
 * of the fastest echo (physics/vsb/adaptation.c). */
static void check_nothing_added(const struct scenario *given, const char *path, const char *set)
{
    static const struct echo faint[] = {
        {-20.0, ECHO_LEVEL_MIN_DB, 10.0, 0.0}, {0.3, ECHO_LEVEL_MIN_DB, 200.0, 0.0},
        {60.0, ECHO_LEVEL_MIN_DB, 80.0, 0.0},  {700.0, ECHO_LEVEL_MIN_DB, -50.0, 0.0},
        {5.0, ECHO_LEVEL_MIN_DB, 20.0, 3.0},   {5.0, ECHO_LEVEL_MIN_DB, 20.0, 40.0}};
    struct scenario scenario = *given;
    scenario.receiver.speed_kmh = 0.0;
    scenario.receiver.snr_db = fmin(scenario.receiver.snr_db, 50.0); /* 50 where none is measured */
    ask(&scenario, path, set);
    for (size_t i = 0; i < sizeof faint / sizeof faint[0]; i++) {
        struct scenario other = scenario;
        if (faint[i].doppler_hz != 0.0 && scenario.first.adaptation_step > 0.0) {
            continue;
        }
        snprintf(other.echo_names[other.echo_count], NAME_MAX_BYTES, "faint");
        other.echoes[other.echo_count++] = faint[i];
        assert_unchanged(&other, "an echo of -80 dB");
    }
}

static void an_echo_of_minus_80_db_changes_nothing(void **state)
{
    (void)state;
    each_change(changes, 1, check_nothing_added);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reports_echoes_accounts_words_and_places_say_one_margin),
        cmocka_unit_test(the_source_of_the_snr_does_not_matter),
        cmocka_unit_test(sheets_and_pictures_say_the_margin),
        cmocka_unit_test(pages_that_say_the_same_say_the_margin),
        cmocka_unit_test(the_weighing_says_the_margin_of_the_present_mode),
        cmocka_unit_test(signal_and_noise_raised_alike_change_nothing),
        cmocka_unit_test(the_order_of_echoes_changes_nothing),
        cmocka_unit_test(an_echo_of_minus_80_db_changes_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
