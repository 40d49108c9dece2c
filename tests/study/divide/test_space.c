/* Divisions at the ends of what a channel can be divided into: frames that are short or long,
 * services that move, fade or are out of reach, blocks that hardly fit. What comes out serves every
 * service. */
#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "study/divide/divide.h"
#include "support/scenarios.h"
#include "system/space/atsc3.h"

struct setting {
    const char *key, *value;
};

static bool is_of_a_few_waveforms(const struct space_geometry *geometry)
{
    struct waveform waveform;
    atsc3_space_waveform(geometry, &waveform);
    return waveform.reduction == 0 && (waveform.boost == 0 || waveform.boost == 4) &&
           waveform.guard != GI1_192 &&
           (waveform.pilots == SP6_4 || waveform.pilots == SP3_2 || waveform.pilots == SP12_2);
}

static bool is_level(int level)
{
    return level % 8 == 3;
}

/* The numbers of T2's choices stand in the order of its row. */
static bool is_of_a_few_t2_waveforms(const struct space_geometry *geometry)
{
    return geometry->numbers[1] == 0 && geometry->numbers[2] == T2_GI_1_16;
}

static enum status divide(enum pair pair, const struct setting *settings,
                          struct divisions *divisions)
{
    struct scenario scenario = scenario_default_of(pair);
    const struct divide_limits limits = {
        .takes_geometry = pair == PAIR_DVB ? is_of_a_few_t2_waveforms : is_of_a_few_waveforms,
        .takes_level = is_level};
    struct fault fault = {0};
    for (; settings->key != NULL; settings++) {
        scenario_say(&scenario, settings->key, settings->value);
    }
    enum status status = divide_make_limited(&scenario, &limits, divisions, &fault);
    for (int i = 0; status == STATUS_OK && i < divisions->count; i++) {
        const struct division *division = &divisions->best[i];
        assert_int_equal(division->count, scenario.service_count);
        for (int s = 0; s < division->count; s++) {
            const struct division_service *given = &division->services[s];
            double asked_mbps = scenario.services[s].rate_mbps;
            assert_true(given->margin_db >= -1e-9);
            assert_true(isnan(asked_mbps) || given->net_mbps >= asked_mbps - 1e-9);
        }
    }
    return status;
}

#define END        \
    {              \
        NULL, NULL \
    }
#define TWO                                                      \
    {"service low.rate_mbps", "1"}, {"service low.snr_db", "8"}, \
    {                                                            \
        "service high.snr_db", "20"                              \
    }

struct row {
    enum pair pair;
    enum status status;
    struct setting settings[16];
};

static void assert_divided(const struct row *rows, size_t count)
{
    static struct divisions divisions;
    for (size_t i = 0; i < count; i++) {
        assert_int_equal(divide(rows[i].pair, rows[i].settings, &divisions), rows[i].status);
        int kinds = rows[i].pair == PAIR_DVB ? 2 : DIVISION_KIND_COUNT;
        assert_true(rows[i].status != STATUS_OK || divisions.count == kinds);
    }
}

static void frames_of_every_length_are_divided(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {PAIR_ATSC, STATUS_OK, {TWO, {"mode.frame_ms", "5000"}, END}},
        {PAIR_ATSC, STATUS_OK, {TWO, {"frame.alignment", "time"}, END}},
        {PAIR_DVB, STATUS_OK, {TWO, END}},
        /* Blocks of the short code fill what is left of a short frame better. */
        {PAIR_DVB,
         STATUS_OK,
         {TWO, {"service low.rate_mbps", "0.1"}, {"dvbt2.symbols", "12"}, END}},
        {PAIR_DVB,
         STATUS_OK,
         {TWO,
          {"service low.rate_mbps", "0.3"},
          {"service low.snr_db", "9.3"},
          {"service high.snr_db", "17.3"},
          {"dvbt2.symbols", "5"},
          END}},
    };
    assert_divided(rows, sizeof rows / sizeof rows[0]);
}

static void who_moves_or_fades_is_served_or_told_that_nothing_serves(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {PAIR_ATSC, STATUS_OK, {TWO, {"service low.speed_kmh", "600"}, END}},
        {PAIR_ATSC,
         STATUS_OK,
         {TWO, {"service low.speed_kmh", "150"}, {"service high.channel", "rayleigh"}, END}},
        {PAIR_ATSC,
         STATUS_OK,
         {TWO,
          {"service low.snr_db", "80"},
          {"service high.snr_db", "80"},
          {"service low.speed_kmh", "3"},
          {"service high.speed_kmh", "20"},
          END}},
        {PAIR_ATSC, STATUS_NO_SOLUTION, {TWO, {"service low.snr_db", "-19"}, END}},
        {PAIR_ATSC, STATUS_NO_SOLUTION, {TWO, {"service high.rate_mbps", "26"}, END}},
        {PAIR_DVB, STATUS_NO_SOLUTION, {TWO, {"service low.snr_db", "-19"}, END}},
        {PAIR_DVB, STATUS_NO_SOLUTION, {TWO, {"service high.snr_db", "-19"}, END}},
    };
    assert_divided(rows, sizeof rows / sizeof rows[0]);
}

/* Interleavers that go with some codes only are none of a division's. */
static void an_interleaver_of_some_codes_gives_way(void **state)
{
    (void)state;
    static const struct setting settings[][8] = {
        {TWO, END},
        {TWO, {"mode.interleaver", "HTI 4"}, END},
        {TWO, {"mode.constellation", "QPSK"}, {"mode.interleaver", "CTI 1448"}, END},
    };
    static struct divisions divisions;
    double spare_mbps = NAN;
    for (size_t i = 0; i < sizeof settings / sizeof settings[0]; i++) {
        assert_int_equal(divide(PAIR_ATSC, settings[i], &divisions), STATUS_OK);
        if (i > 0) {
            assert_near(divisions.best[0].spare_mbps, spare_mbps, 1e-9, "the same division");
        }
        spare_mbps = divisions.best[0].spare_mbps;
    }
}

static bool is_of_late_echoes(const struct space_geometry *geometry)
{
    struct waveform waveform;
    atsc3_space_waveform(geometry, &waveform);
    return waveform.reduction == 0 && waveform.boost == 0 && waveform.fft == FFT_16K &&
           (waveform.guard == GI6_1536 || waveform.guard == GI7_2048);
}

static bool is_one_level(int level)
{
    return level == 11;
}

/* With as many services as there may be, what is told of each subframe and layer does not fit into
 * one preamble symbol of some waveforms, which are then left to the other kinds. */
static void what_a_preamble_cannot_tell_is_not_divided_so(void **state)
{
    (void)state;
    static struct divisions divisions;
    struct scenario scenario = scenario_default();
    for (int i = 0; i < SERVICES_MAX; i++) {
        char key[48], snr[8];
        text_format(key, sizeof key, "service s%d.snr_db", i);
        text_format(snr, sizeof snr, "%d", 10 + i);
        scenario_say(&scenario, key, snr);
        text_format(key, sizeof key, "service s%d.rate_mbps", i);
        scenario_say(&scenario, key, i ? "0.1" : "rest");
    }
    scenario_say(&scenario, "frame.preamble_symbols", "1");
    scenario_say(&scenario, "frame.bonding", "plain");
    scenario_say(&scenario, "frame.tone_reservation", "yes");
    const struct divide_limits limits = {.takes_geometry = is_of_late_echoes,
                                         .takes_level = is_one_level};
    assert_int_equal(divide_make_limited(&scenario, &limits, &divisions, NULL), STATUS_OK);
    assert_true(divisions.count >= 2);
    for (int i = 0; i < divisions.count; i++) {
        assert_int_equal(transmission_check(&divisions.best[i].transmission, NULL), STATUS_OK);
    }
}

/* A core that takes nearly all leaves nothing beside. */
static void who_finds_no_room_beside_a_core_is_served_in_other_ways(void **state)
{
    (void)state;
    static const struct row row = {PAIR_ATSC,
                                   STATUS_OK,
                                   {TWO,
                                    {"service low.rate_mbps", "7.5"},
                                    {"service middle.rate_mbps", "2"},
                                    {"service middle.snr_db", "12"},
                                    END}};
    assert_divided(&row, 1);
    const struct scenario none = scenario_default();
    assert_null(division_taker(&none));
}

static bool is_8k_with_a_fourth(const struct space_geometry *geometry)
{
    return geometry->numbers[0] == T2_8K && geometry->numbers[2] == T2_GI_1_4;
}

/* Of 8K and a guard interval of 224 us PP1 reaches 299 us, PP8 149 us (EN 302 755 table 57: a sixth
 * of 896 us). */
static void pilots_have_to_reach_as_far_as_the_echo(void **state)
{
    (void)state;
    static struct divisions divisions;
    static const struct {
        const char *echo_us;
        int pilots;
    } rows[] = {{"140", T2_PP8}, {"200", T2_PP1}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct scenario scenario = scenario_default_of(PAIR_DVB);
        const struct divide_limits limits = {.takes_geometry = is_8k_with_a_fourth};
        scenario_say(&scenario, "service one.snr_db", "20");
        scenario_say(&scenario, "service one.echo_us", rows[i].echo_us);
        assert_int_equal(divide_make_limited(&scenario, &limits, &divisions, NULL), STATUS_OK);
        assert_int_equal(divisions.best[0].waveforms[0][3], rows[i].pilots);
    }
}

static bool goes_on_until_kinds_are_sought(void *watcher, double share)
{
    return share < *(const double *)watcher;
}

static void it_can_be_stopped_while_a_kind_is_sought(void **state)
{
    (void)state;
    static struct divisions divisions;
    struct scenario scenario = scenario_default();
    static const struct setting settings[] = {TWO, END};
    for (const struct setting *setting = settings; setting->key != NULL; setting++) {
        scenario_say(&scenario, setting->key, setting->value);
    }
    for (double until = 0.26; until < 0.6; until += 0.1) {
        struct fault fault = {0};
        const struct divide_limits limits = {.takes_geometry = is_of_a_few_waveforms,
                                             .takes_level = is_level,
                                             .goes_on = goes_on_until_kinds_are_sought,
                                             .watcher = &until};
        assert_int_equal(divide_make_limited(&scenario, &limits, &divisions, &fault),
                         STATUS_STOPPED);
        assert_string_equal(fault.wrong, "stopped");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(frames_of_every_length_are_divided),
        cmocka_unit_test(who_moves_or_fades_is_served_or_told_that_nothing_serves),
        cmocka_unit_test(an_interleaver_of_some_codes_gives_way),
        cmocka_unit_test(what_a_preamble_cannot_tell_is_not_divided_so),
        cmocka_unit_test(who_finds_no_room_beside_a_core_is_served_in_other_ways),
        cmocka_unit_test(pilots_have_to_reach_as_far_as_the_echo),
        cmocka_unit_test(it_can_be_stopped_while_a_kind_is_sought),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
