#include "support/near.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include <jansson.h>

#include "support/run.h"

static json_t *echo_json(const char *arguments)
{
    char line[1024];
    snprintf(line, sizeof line, "echo --format json %s", arguments);
    return run_json(line);
}

/* NAN for null. */
static double number(json_t *json, const char *part, const char *name)
{
    json_t *value = json_object_get(json_object_get(json, part), name);
    assert_true(json_is_number(value) || json_is_null(value));
    return json_is_null(value) ? NAN : json_number_value(value);
}

static bool yes(json_t *json, const char *part, const char *name)
{
    json_t *value = json_object_get(json_object_get(json, part), name);
    assert_true(json_is_boolean(value));
    return json_is_true(value);
}

/* The account ends in the margin. */
static void check_account(json_t *json, const char *part)
{
    json_t *account = json_object_get(json_object_get(json, part), "account");
    assert_true(json_array_size(account) >= 4);
    json_t *last = json_array_get(account, json_array_size(account) - 1);
    assert_near(json_number_value(json_object_get(last, "snr_db")), number(json, part, "margin_db"),
                1e-9, "to spare");
}

static void the_contract_of_names_is_kept(void **state)
{
    (void)state;
    json_t *json = echo_json("profiles/echo-hill.ini");
    static const char *const both[] = {"required_cn_db", "margin_db",       "margin_90_db",
                                       "margin_99_db",   "margin_noise_db", "positions_share"};
    static const char *const first[] = {"output_snr_db", "threshold_db", "echo_loss_db"};
    static const char *const second[] = {"effective_snr_db", "needed_snr_db", "fading_loss_db"};
    for (int i = 0; i < 3; i++) {
        assert_false(isnan(number(json, "first", first[i])));
        assert_false(isnan(number(json, "second", second[i])));
    }
    for (size_t i = 0; i < sizeof both / sizeof both[0]; i++) {
        assert_false(isnan(number(json, "first", both[i])));
        assert_false(isnan(number(json, "second", both[i])));
    }
    check_account(json, "first");
    check_account(json, "second");
    assert_true(yes(json, "second", "inside_guard"));
    assert_true(isnan(number(json, "second", "self_interference_db")));
    assert_near(number(json, "first", "margin_db"),
                number(json, "first", "output_snr_db") - number(json, "first", "threshold_db"),
                1e-9, "margin");
    assert_near(number(json, "second", "margin_db"),
                number(json, "second", "effective_snr_db") -
                    number(json, "second", "needed_snr_db"),
                1e-9, "margin");
    assert_int_equal(yes(json, "first", "works"), number(json, "first", "margin_db") >= 0.0);
    assert_int_equal(yes(json, "second", "works"), number(json, "second", "margin_db") >= 0.0);
    json_decref(json);
}

/* Nothing is said of echoes that are not there, and nothing costs less than nothing. */
static void words_without_echoes_speak_of_none(void **state)
{
    (void)state;
    static const char *const lines[] = {"echo", "echo --set receiver.snr_db=23.4",
                                        "report --set receiver.snr_db=23.4"};
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        struct run run = run_line(lines[i]);
        assert_int_equal(run.status, 0);
        assert_null(strstr(run.out, "these echoes"));
        assert_null(strstr(run.out, "-0.0"));
        run_free(&run);
    }
}

/* Levels of other transmitters: free space where they are given by distance and power, the
 * prediction of the place where they are stations, and nothing is said where there are none. */
static void levels_of_other_transmitters_are_told_as_what_they_are(void **state)
{
    (void)state;
    static const struct {
        const char *line;
        bool free_space, predicted;
    } rows[] = {
        {"echo --set receiver.snr_db=20 --transmitter 12,50 --transmitter 31,10", true, false},
        {"echo profiles/single-frequency-network.ini", false, true},
        {"echo profiles/echo-hill.ini", false, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct run run = run_line(rows[i].line);
        assert_int_equal(run.status, 0);
        assert_int_equal(strstr(run.out, "free space") != NULL, rows[i].free_space);
        assert_int_equal(strstr(run.out, "of the network: predicted") != NULL, rows[i].predicted);
        run_free(&run);
    }
}

static void without_echoes_both_keep_the_snr(void **state)
{
    (void)state;
    json_t *json = echo_json("--set receiver.snr_db=23.4");
    assert_near(number(json, "first", "output_snr_db"), 23.4, 0.01, "nothing disturbs");
    assert_near(number(json, "second", "effective_snr_db"), 23.4, 0.01, "nothing disturbs");
    json_decref(json);
}

static void the_verdict_comes_first(void **state)
{
    (void)state;
    static const char *const formats[] = {"text", "markdown"};
    for (int i = 0; i < 2; i++) {
        char line[128];
        snprintf(line, sizeof line, "echo profiles/echo-two-transmitters.ini --format %s",
                 formats[i]);
        struct run run = run_line(line);
        assert_int_equal(run.status, 0);
        for (char *at = run.out; *at != 0; at++) {
            *at = *at == '\n' ? ' ' : *at; /* wherever its lines are wrapped */
        }
        assert_int_equal(strncmp(run.out, "8-VSB fails at all positions, ", 30), 0);
        assert_non_null(strstr(run.out, " dB short at half of them."));
        assert_non_null(strstr(run.out, " OFDM decodes at all"));
        /* 24 km and 4 dB: as much echo outside of the equaliser as no SNR makes up for. */
        assert_non_null(strstr(run.out, "8-VSB decodes here at no SNR, however"));
        assert_non_null(strstr(run.out, " dB of SNR on."));
        assert_non_null(strstr(run.out, "equaliser's reach (29.5 us"));
        assert_non_null(strstr(run.out, "fit into the guard interval"));
        run_free(&run);
    }
}

/* And no receiver makes the SNR better than it is. */
static void every_echo_profile_answers(void **state)
{
    (void)state;
    static const char *const names[] = {
        "echo-tu6",          "echo-laboratory-a",     "echo-laboratory-b", "echo-laboratory-c",
        "echo-laboratory-d", "echo-laboratory-e",     "echo-room",         "echo-hill",
        "echo-pre",          "echo-two-transmitters", "indoor-high-vhf"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        char line[128];
        snprintf(line, sizeof line, "profiles/%s.ini", names[i]);
        json_t *json = echo_json(line);
        assert_true(number(json, "first", "output_snr_db") <=
                    number(json, "input", "snr_db") + 1e-6);
        assert_true(number(json, "second", "effective_snr_db") <=
                    number(json, "input", "snr_db") + 1e-6);
        json_decref(json);
    }
}

/* 24 km further, 20 kW against 50 kW: the profile's own figures. */
static void transmitters_are_echoes_by_distance_and_power(void **state)
{
    (void)state;
    json_t *given = echo_json("profiles/echo-two-transmitters.ini");
    json_t *computed = echo_json("--transmitter 14,50 --transmitter 38,20 --set receiver.snr_db=22 "
                                 "--set mode.constellation=64QAM --set mode.rate=9/15 "
                                 "--set site.rf_channel=24");
    assert_near(number(given, "first", "margin_db"), number(computed, "first", "margin_db"), 0.05,
                "the same echo");
    assert_near(number(given, "second", "margin_db"), number(computed, "second", "margin_db"), 0.05,
                "the same echo");
    json_decref(given);
    json_decref(computed);
}

static void bad_transmitters_are_refused(void **state)
{
    (void)state;
    static const char *const bad[] = {"12",       "0,5",   "12,0", "12,5,1,1", "x,5",   "12;5",
                                      "12,5,1e9", "1e9,5", "12,",  ",",        "12,nan"};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        char line[128];
        snprintf(line, sizeof line, "echo --transmitter 10,5 --transmitter %s", bad[i]);
        struct run run = run_line(line);
        assert_int_equal(run.status, 2);
        assert_string_equal(run.out, "");
        assert_non_null(strstr(run.err, "--transmitter"));
        run_free(&run);
    }
    struct run run = run_line("echo --transmitter 10,5");
    assert_int_equal(run.status, 2);
    run_free(&run);
}

/* Nothing arrives: that is an answer, and no margin is a number. */
static void rays_that_cancel_fail_without_a_margin(void **state)
{
    (void)state;
    run_enter_folder();
    const char profile[] = "[echo mirror]\ndelay_us = 0\nlevel_db = 0\nphase_deg = 180\n";
    run_write_file("p.ini", profile, sizeof profile - 1);
    struct run run = run_line("echo p.ini --set receiver.snr_db=20");
    assert_int_equal(run.status, 0);
    assert_string_equal(run.err, "");
    assert_non_null(strstr(run.out, "8-VSB fails, the rays cancel each other."));
    assert_non_null(strstr(run.out, "OFDM fails, the rays cancel each other."));
    run_free(&run);
    json_t *root = run_json("echo p.ini --format json --set receiver.snr_db=20");
    static const char *const sides[] = {"first", "second"};
    for (int i = 0; i < 2; i++) {
        const json_t *side = json_object_get(root, sides[i]);
        assert_true(json_is_null(json_object_get(side, "margin_db")));
        assert_true(json_is_null(json_object_get(side, "required_cn_db")));
        assert_true(json_is_false(json_object_get(side, "works")));
        assert_near(json_number_value(json_object_get(side, "positions_share")), 0.0, 0.0,
                    sides[i]);
    }
    json_decref(root);
    run_leave_folder();
}

/* Nothing is assumed: what hangs on an SNR is null, what does not is told, and the words say what
 * to give. */
static void without_an_snr_margins_are_null_and_words_say_what_to_give(void **state)
{
    (void)state;
    json_t *json = echo_json("");
    assert_string_equal(
        json_string_value(json_object_get(json_object_get(json, "input"), "snr_source")), "none");
    assert_true(isnan(number(json, "input", "snr_db")));
    static const char *const parts[] = {"first", "second"};
    for (int i = 0; i < 2; i++) {
        assert_true(isnan(number(json, parts[i], "margin_db")));
        assert_true(isnan(number(json, parts[i], "margin_noise_db")));
        assert_true(json_is_null(json_object_get(json_object_get(json, parts[i]), "works")));
    }
    assert_true(isnan(number(json, "first", "output_snr_db")));
    assert_true(isnan(number(json, "second", "effective_snr_db")));
    assert_near(number(json, "first", "required_cn_db"), 14.9, 0.001, "ATSC A/54A, no echoes");
    json_decref(json);
    struct run run = run_line("echo --format markdown"); /* lines are not wrapped */
    assert_int_equal(run.status, 0);
    assert_int_equal(strncmp(run.out, "No verdict: no SNR is known.", 28), 0);
    assert_non_null(strstr(run.out, "8-VSB decodes here from 14.9 dB of SNR on."));
    assert_non_null(strstr(run.out, "give receiver.snr_db, receiver.level_dbm"));
    assert_null(strstr(run.out, "20.0"));
    run_free(&run);
    run = run_line("echo --tolerated");
    assert_int_equal(run.status, 2);
    assert_string_equal(run.out, "");
    assert_non_null(strstr(run.err, "receiver.level_dbm"));
    run_free(&run);
}

static void csv_and_the_table_of_tolerated_levels_are_written(void **state)
{
    (void)state;
    struct run run = run_line("echo profiles/echo-pre.ini --format csv");
    assert_int_equal(run.status, 0);
    assert_non_null(strstr(run.out, "second,required_cn_db,"));
    run_free(&run);
    run = run_line("echo --tolerated --format json --set receiver.snr_db=25");
    assert_int_equal(run.status, 0);
    json_t *json = json_loads(run.out, JSON_REJECT_DUPLICATES, NULL);
    assert_true(json_is_array(json));
    size_t count = json_array_size(json);
    assert_true(count > 20);
    for (size_t i = 0; i < count; i++) {
        json_t *row = json_array_get(json, i);
        assert_true(json_number_value(json_object_get(row, "second_db")) <= 0.0);
    }
    json_decref(json);
    run_free(&run);
}

/* Taps that lean more on decisions, the less noise there is, can undo what a weaker signal does. */
static void a_better_signal_that_fails_where_a_weaker_one_decodes_is_told(void **state)
{
    (void)state;
    static const struct {
        const char *snr_db, *words;
    } asked[] = {{"20", "8-VSB decodes here from 19.3 dB of SNR on."},
                 {"25", "8-VSB decodes here at 19.3 dB of SNR, but not with this better"},
                 {"25", "can make that worse before it mends it"}};
    for (size_t i = 0; i < sizeof asked / sizeof asked[0]; i++) {
        char line[256];
        snprintf(line, sizeof line,
                 "echo --set echo%%20a.delay_us=-18.58 --set echo%%20a.level_db=-9.3 --set "
                 "echo%%20a.phase_deg=107 --set first.feedback=slicer --set receiver.snr_db=%s",
                 asked[i].snr_db);
        struct run run = run_line(line);
        assert_int_equal(run.status, 0);
        for (char *end = run.out; (end = strchr(end, '\n')) != NULL;) {
            *end = ' '; /* words may stand on two lines */
        }
        assert_non_null(strstr(run.out, asked[i].words));
        run_free(&run);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_better_signal_that_fails_where_a_weaker_one_decodes_is_told),
        cmocka_unit_test(the_contract_of_names_is_kept),
        cmocka_unit_test(words_without_echoes_speak_of_none),
        cmocka_unit_test(levels_of_other_transmitters_are_told_as_what_they_are),
        cmocka_unit_test(without_echoes_both_keep_the_snr),
        cmocka_unit_test(without_an_snr_margins_are_null_and_words_say_what_to_give),
        cmocka_unit_test(the_verdict_comes_first),
        cmocka_unit_test(every_echo_profile_answers),
        cmocka_unit_test(transmitters_are_echoes_by_distance_and_power),
        cmocka_unit_test(bad_transmitters_are_refused),
        cmocka_unit_test(csv_and_the_table_of_tolerated_levels_are_written),
        cmocka_unit_test(rays_that_cancel_fail_without_a_margin), /* leaves the project's folder */
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
