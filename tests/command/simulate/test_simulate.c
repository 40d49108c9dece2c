#include "support/near.h"

#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "simulation/interval.h"
#include "support/run.h"

/* The shortest words with the sparsest constellation: fast. */
#define SMALL "simulate --set mode.length=16200 --set mode.constellation=QPSK --set mode.rate=8/15 "

static double number_of(const json_t *row, const char *name)
{
    const json_t *value = json_object_get(row, name);
    assert_true(json_is_number(value));
    return json_number_value(value);
}

static void json_has_the_names_of_the_contract(void **state)
{
    (void)state;
    json_t *rows = run_json(SMALL "--snr 0.5:0.5:1.5 --frames 60 --errors 0 --format json");
    static const char *const names[] = {"snr_db",  "frames",   "frame_errors", "bit_errors", "fer",
                                        "fer_low", "fer_high", "ber",          "iterations"};
    assert_int_equal(json_array_size(rows), 3);
    for (size_t i = 0; i < 3; i++) {
        const json_t *row = json_array_get(rows, i);
        for (size_t k = 0; k < sizeof names / sizeof names[0]; k++) {
            number_of(row, names[k]);
        }
        double frames = number_of(row, "frames"), errors = number_of(row, "frame_errors");
        struct interval interval = interval_of_rate((long)errors, (long)frames, 0.95);
        assert_near(number_of(row, "snr_db"), 0.5 + 0.5 * (double)i, 1e-12, "--snr");
        assert_true(frames == 60.0);
        assert_near(number_of(row, "fer"), errors / frames, 1e-9, "definition");
        assert_near(number_of(row, "fer_low"), interval.low, 1e-9, "Clopper and Pearson");
        assert_near(number_of(row, "fer_high"), interval.high, 1e-9, "Clopper and Pearson");
        /* 8472 payload bits, A/322 Table 6.7 */
        assert_near(number_of(row, "ber"), number_of(row, "bit_errors") / (frames * 8472.0), 1e-9,
                    "definition");
        assert_between(number_of(row, "iterations"), 1.0, 50.0, "--iterations");
    }
    /* Far below and far above the limit of 0.1 dB. */
    json_decref(rows);
    rows = run_json(SMALL "--snr -1:4:3 --frames 20 --format json");
    assert_true(number_of(json_array_get(rows, 0), "fer") == 1.0);
    assert_true(number_of(json_array_get(rows, 1), "fer") == 0.0);
    json_decref(rows);
}

static void the_first_generation_counts_segments(void **state)
{
    (void)state;
    json_t *rows = run_json(
        "simulate --generation first --snr 14:10:24 --frames 3120 --errors 0 --format json");
    static const char *const names[] = {"snr_db", "segments", "segment_errors",
                                        "ser",    "ser_low",  "ser_high"};
    for (size_t i = 0; i < 2; i++) {
        const json_t *row = json_array_get(rows, i);
        for (size_t k = 0; k < sizeof names / sizeof names[0]; k++) {
            number_of(row, names[k]);
        }
        assert_null(json_object_get(row, "fer"));
        assert_true(number_of(row, "segments") == 3120.0);
    }
    assert_true(number_of(json_array_get(rows, 0), "ser") > 0.5);
    assert_true(number_of(json_array_get(rows, 1), "ser") == 0.0);
    json_decref(rows);
}

static void threads_do_not_change_the_counts(void **state)
{
    (void)state;
    struct run one = run_line(SMALL "--snr 0.9 --frames 200 --errors 20 --threads 1 --format json");
    struct run many =
        run_line(SMALL "--snr 0.9 --frames 200 --errors 20 --threads 5 --format json");
    assert_int_equal(one.status, 0);
    assert_string_equal(one.out, many.out);
    struct run other = run_line(SMALL "--snr 0.9 --frames 200 --errors 20 --seed 2 --format json");
    assert_string_not_equal(one.out, other.out);
    run_free(&one);
    run_free(&many);
    run_free(&other);
}

static void keep_output(const char *line, const char *name)
{
    struct run run = run_line(line);
    assert_int_equal(run.status, 0);
    run_write_file(name, run.out, run.out_length);
    run_free(&run);
}

static void write_parts(void)
{
    for (int part = 1; part <= 3; part++) {
        char line[256], name[32];
        snprintf(line, sizeof line,
                 SMALL "--snr 0.8:0.2:1 --frames 50 --errors 0 --format json --part %d/3", part);
        snprintf(name, sizeof name, "part%d.json", part);
        keep_output(line, name);
    }
}

static void merged_parts_are_exactly_the_whole(void **state)
{
    (void)state;
    run_enter_folder();
    write_parts();
    struct run whole = run_line(SMALL "--snr 0.8:0.2:1 --frames 50 --errors 0 --format json");
    struct run merged = run_line("simulate --format json --merge part1.json part2.json part3.json");
    assert_int_equal(merged.status, 0);
    assert_string_equal(merged.out, whole.out);
    run_free(&merged);
    /* In two steps, and with the option given again. */
    keep_output("simulate --merge part3.json --merge part1.json --format json", "some.json");
    char *some = run_read_file("some.json");
    assert_non_null(strstr(some, "\"part\": \"1,3/3\""));
    free(some);
    merged = run_line("simulate --format json --merge some.json part2.json");
    assert_string_equal(merged.out, whole.out);
    run_free(&merged);
    run_free(&whole);
    run_leave_folder();
}

/* At 0.2 dB every word is wrong: each of three parts stops at its third of four errors, rounded up.
 */
static void parts_that_stopped_early_are_no_whole_run(void **state)
{
    (void)state;
    run_enter_folder();
    for (int part = 1; part <= 3; part++) {
        char line[256], name[32];
        snprintf(line, sizeof line,
                 SMALL "--snr 0.2 --frames 50 --errors %d --format json --part %d/3",
                 part == 2 ? 0 : 4, part);
        snprintf(name, sizeof name, "part%d.json", part);
        keep_output(line, name);
    }
    json_t *rows = run_json("simulate --format json --merge part1.json part2.json part3.json");
    const json_t *row = json_array_get(rows, 0);
    assert_true(number_of(row, "frames") == 2.0 + 17.0 + 2.0);
    assert_true(number_of(row, "planned") == 50.0);
    json_decref(rows);
    struct run run = run_line("simulate --merge part1.json part2.json part3.json");
    assert_non_null(strstr(run.out, ", awgn\nseed 1, stopped early: not all 50 code words\n\n"));
    assert_null(strstr(run.out, "whole"));
    run_free(&run);
    run = run_line("simulate --merge part1.json part3.json");
    assert_non_null(
        strstr(run.out, "\nparts 1,3 of 3, seed 1, stopped early: not all 33 code words\n"));
    run_free(&run);
    run = run_line("simulate --merge part2.json");
    assert_non_null(strstr(run.out, "\npart 2/3, seed 1\n"));
    run_free(&run);
    run = run_line(SMALL "--snr 0.2:0.8:1 --frames 20 --errors 3");
    assert_non_null(strstr(run.out,
                           "0.20 to 0.20 dB: seed 1, stopped early: not all 20 code words\n"
                           "1.00 to 1.00 dB: the whole run, seed 1\n"));
    run_free(&run);
    run_leave_folder();
}

static void seeds_may_be_added_but_nothing_twice(void **state)
{
    (void)state;
    run_enter_folder();
    write_parts();
    keep_output(SMALL "--snr 1 --frames 50 --errors 0 --seed 9 --format json", "other.json");
    json_t *rows = run_json("simulate --format json --merge part1.json other.json");
    assert_true(number_of(json_array_get(rows, 1), "frames") == 17.0 + 50.0);
    assert_true(json_is_null(json_object_get(json_array_get(rows, 1), "seed")));
    json_decref(rows);
    keep_output(SMALL "--snr 1 --frames 5 --part 1/2 --format json", "half.json");
    keep_output("simulate --generation first --snr 20 --frames 1 --format json", "first.json");
    keep_output("simulate --merge part1.json other.json --format json", "mixed.json");
    run_write_file("odd.json", "[{\"snr_db\": 1}]", 15);
    run_write_file("bad.json", "[", 1);
    static const char *const rows_refused[][2] = {
        {"part1.json part1.json", "there twice"},    {"part1.json half.json", "overlaps another"},
        {"part1.json first.json", "is another run"}, {"mixed.json part2.json", "several seeds"},
        {"odd.json", "not a result of simulate"},    {"bad.json", "line 1"},
    };
    for (size_t i = 0; i < sizeof rows_refused / sizeof rows_refused[0]; i++) {
        char line[128];
        snprintf(line, sizeof line, "simulate --merge %s", rows_refused[i][0]);
        struct run run = run_line(line);
        assert_int_equal(run.status, 2);
        assert_int_equal(run.out_length, 0);
        if (!strstr(run.err, rows_refused[i][1])) {
            print_error("%s: %s", line, run.err);
            fail();
        }
        run_free(&run);
    }
    struct run run = run_line("simulate --merge missing.json");
    assert_int_equal(run.status, 1);
    run_free(&run);
    run_leave_folder();
}

static void bad_options_are_refused(void **state)
{
    (void)state;
    static const char *const rows[][2] = {
        {"--snr 10:-1:12", "--snr"},
        {"--snr 10:0:12", "--snr"},
        {"--snr 12:1:10", "--snr"},
        {"--snr 10:1", "--snr"},
        {"--snr 1:2:3:4", "--snr"},
        {"--snr ten", "--snr"},
        {"--snr 0:0.001:50", "--snr"},
        {"--snr 99", "--snr"},
        {"--snr nan", "--snr"},
        {"--snr 17:0.0005:17.003", "--snr"},
        {"--snr 17.0005", "--snr"},
        {"--frames 0", "--frames"},
        {"--frames -3", "--frames"},
        {"--frames 1.5", "--frames"},
        {"--errors -1", "--errors"},
        {"--threads 0", "--threads"},
        {"--threads 100000", "--threads"},
        {"--seed -1", "--seed"},
        {"--part 3/2", "--part"},
        {"--part 0/2", "--part"},
        {"--part 1", "--part"},
        {"--part /", "--part"},
        {"--iterations 0", "--iterations"},
        {"--iterations 5000", "--iterations"},
        {"--decoder magic", "--decoder"},
        {"--demapper magic", "--demapper"},
        {"--channel wet", "--channel"},
        {"--plp nobody", "--plp"},
        {"--other-layer loud", "--other-layer"},
        {"--generation first --other-layer noise", "--other-layer"},
        {"--generation third", "--generation"},
        {"--generation first --channel rayleigh", "--channel"},
        {"--generation first --decoder min-sum", "--decoder"},
        {"--generation first --demapper exact", "--demapper"},
        {"--generation first --iterations 50", "--iterations"},
        {"--merge part.json --snr 3", "--snr"},
        {"--frames 3 --merge part.json", "--frames"},
        {"--channel awgn --merge part.json", "--channel"},
        {"--set mode.length=16200 --merge part.json", "--set"},
        {"profiles/echo-hill.ini --merge part.json", "profiles/echo-hill.ini"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char line[128], start[64];
        snprintf(line, sizeof line, "simulate %s", rows[i][0]);
        snprintf(start, sizeof start, "guardspan: %s: ", rows[i][1]);
        struct run run = run_line(line);
        assert_int_equal(run.status, 2);
        assert_int_equal(run.out_length, 0);
        if (strncmp(run.err, start, strlen(start)) != 0) {
            print_error("%s: %s", line, run.err);
            fail();
        }
        run_free(&run);
    }
}

/* What a message says is allowed is what is allowed. */
static void ranges_are_the_true_ones(void **state)
{
    (void)state;
    static const char *const rows[][2] = {{"--iterations 0", "(1 to 1000)"},
                                          {"--iterations 1001", "(1 to 1000)"},
                                          {"--threads 257", "(1 to 256)"},
                                          {"--frames 0", "(1 to 2147483647)"},
                                          {"--snr 17:0.0005:17.003", "finer than 0.001 dB"},
                                          {"--snr 0:0.001:50", "more than 1000 points"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char line[128];
        snprintf(line, sizeof line, "simulate %s", rows[i][0]);
        struct run run = run_line(line);
        assert_int_equal(run.status, 2);
        assert_non_null(strstr(run.err, rows[i][1]));
        run_free(&run);
    }
}

static void near_snrs_are_told_apart(void **state)
{
    (void)state;
    struct run run = run_line(SMALL "--snr 3:0.001:3.002 --frames 2");
    assert_non_null(strstr(run.out, "\n3.001 "));
    run_free(&run);
    run = run_line(SMALL "--snr 3:0.01:3.02 --frames 2");
    assert_non_null(strstr(run.out, "\n3.01 "));
    run_free(&run);
}

static size_t widest_line(const char *text)
{
    size_t widest = 0;
    for (const char *at = text; *at; at += strcspn(at, "\n"), at += *at == '\n') {
        size_t length = strcspn(at, "\n");
        widest = length > widest ? length : widest;
    }
    return widest;
}

static void merge_one(const char *object, struct run *run)
{
    char file[512];
    int length = snprintf(file, sizeof file, "[%s]", object);
    run_write_file("one.json", file, (size_t)length);
    *run = run_line("simulate --merge one.json");
}

#define OBJECT(PART, FRAMES)                                                                    \
    "{\"snr_db\":-10.25,\"frames\":" FRAMES ",\"frame_errors\":123456,\"bit_errors\":12345678," \
    "\"bits\":8472000000000,\"iterations\":12.5,\"planned\":" FRAMES                            \
    ",\"run\":\"OFDM\",\"seed\":1,\"part\":\"" PART "\"}"

static void tables_fit_80_columns(void **state)
{
    (void)state;
    struct run run;
    run_enter_folder();
    merge_one(OBJECT("1/1", "100000000"), &run);
    assert_non_null(strstr(run.out, "100000000  123456  12345678"));
    assert_in_range(widest_line(run.out), 70, 80);
    run_free(&run);
    run = run_line("simulate --generation first --snr 10 --frames 1");
    assert_in_range(widest_line(run.out), 70, 80);
    run_free(&run);
    run_leave_folder();
}

/* However the list of parts is written: at once, and the sum is either right or refused. */
static void parts_in_files_are_checked(void **state)
{
    (void)state;
    static const char *const bad[][2] = {
        {OBJECT("/2", "200000"), "malformed"},
        {OBJECT("", "200000"), "malformed"},
        {OBJECT("1", "200000"), "malformed"},
        {OBJECT("1,/2", "200000"), "malformed"},
        {OBJECT("2-1/2", "200000"), "malformed"},
        {OBJECT("3/2", "200000"), "malformed"},
        {OBJECT("+1/2", "200000"), "malformed"},
        {OBJECT("1-1000001/1000001", "200000"), "malformed"},
        {OBJECT("1,1/2", "200000"), "there twice"},
        {OBJECT("1-3,2/4", "200000"), "part 2/4 of seed 1"},
        {OBJECT("1/1", "9007199254740993"), "cannot be"},
    };
    struct run run;
    run_enter_folder();
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        merge_one(bad[i][0], &run);
        assert_int_equal(run.status, 2);
        assert_int_equal(run.out_length, 0);
        if (!strstr(run.err, bad[i][1])) {
            print_error("%s: %s", bad[i][0], run.err);
            fail();
        }
        run_free(&run);
    }
    merge_one(OBJECT("1-1000000/1000000", "200000"), &run);
    assert_int_equal(run.status, 0);
    run_free(&run);
    /* More than it was to count, and nothing told of that. */
    merge_one("{\"snr_db\":1,\"segments\":624,\"segment_errors\":3,\"planned\":312,"
              "\"run\":\"8-VSB\",\"seed\":1,\"part\":\"1/1\"}",
              &run);
    assert_non_null(strstr(run.err, "counts that cannot be"));
    run_free(&run);
    merge_one("{\"snr_db\":1,\"segments\":312,\"segment_errors\":3,"
              "\"run\":\"8-VSB\",\"seed\":1,\"part\":\"1/1\"}",
              &run);
    assert_non_null(strstr(run.err, "counts that cannot be"));
    run_free(&run);
    merge_one("", &run);
    assert_int_equal(run.status, 2);
    assert_non_null(strstr(run.err, "no results"));
    run_free(&run);
    static const char large[] = "[" OBJECT("1/2", "500000000000000") "]";
    run_write_file("large.json", large, sizeof large - 1);
    run_write_file("nothing.json", "[]", 2);
    run = run_line("simulate --merge nothing.json large.json nothing.json");
    assert_int_equal(run.status, 0);
    assert_non_null(strstr(run.out, "\npart 1/2, seed 1\n"));
    run_free(&run);
    static const char second[] = "[" OBJECT("2/2", "500000000000000") "]";
    run_write_file("second.json", second, sizeof second - 1);
    run = run_line("simulate --merge large.json second.json"); /* iterations: 1.25e16 */
    assert_int_equal(run.status, 2);
    assert_non_null(strstr(run.err, "second.json: the sum of the counts is too large"));
    run_free(&run);
    run_leave_folder();
}

static void other_echoes_are_another_run(void **state)
{
    (void)state;
    run_enter_folder();
    for (int level_db = -30; level_db < -10; level_db += 15) {
        for (int generation = 0; generation < 2; generation++) {
            char line[256], name[32];
            snprintf(line, sizeof line,
                     "simulate --channel profile --set mode.length=16200 --set "
                     "echo%%20hill.delay_us=2 --set echo%%20hill.level_db=%d --snr 25 --frames 313 "
                     "--errors 1 "
                     "--generation %s --format json --part %d/2",
                     level_db, generation ? "second" : "first", level_db == -30 ? 1 : 2);
            snprintf(name, sizeof name, "%d%d.json", generation, -level_db);
            keep_output(line, name);
        }
    }
    static const char *const lines[] = {"simulate --merge 130.json 115.json",
                                        "simulate --merge 030.json 015.json"};
    for (size_t i = 0; i < 2; i++) {
        struct run run = run_line(lines[i]);
        assert_int_equal(run.status, 2);
        assert_non_null(strstr(run.err, "15.json: run: the echoes"));
        run_free(&run);
    }
    run_leave_folder();
}

static void parts_are_named_to_people(void **state)
{
    (void)state;
    run_enter_folder();
    struct run run = run_line(SMALL "--snr 3 --frames 8 --seed 7 --part 1/4");
    assert_non_null(strstr(run.out, ", awgn\npart 1/4, seed 7\n\n"));
    run_free(&run);
    run = run_line(SMALL "--snr 3 --frames 8 --part 1/4 --format markdown");
    assert_non_null(strstr(run.out, ", awgn\n\npart 1/4, seed 1\n\n| SNR"));
    run_free(&run);
    run = run_line(SMALL "--snr 3 --frames 8");
    assert_null(strstr(run.out, "part "));
    run_free(&run);
    write_parts();
    run = run_line("simulate --merge part3.json part1.json");
    assert_non_null(strstr(run.out, ", awgn\nparts 1,3 of 3, seed 1\n\n"));
    run_free(&run);
    keep_output(SMALL "--snr 1:0.2:1.2 --frames 50 --errors 0 --part 2/3 --format json",
                "two.json");
    run = run_line("simulate --merge part3.json part1.json two.json");
    assert_non_null(strstr(run.out, "0.80 to 0.80 dB: parts 1,3 of 3, seed 1\n"
                                    "1.00 to 1.00 dB: the whole run, seed 1\n"
                                    "1.20 to 1.20 dB: part 2/3, seed 1\n"));
    run_free(&run);
    run = run_line(SMALL "--snr 3 --frames 1 --part 2/2");
    assert_int_equal(run.status, 0);
    assert_non_null(strstr(run.out, "Nothing to count: with 1 code word in 2 parts, part 2 has"));
    assert_null(strstr(run.out, "FER"));
    run_free(&run);
    run = run_line(SMALL "--snr 3 --frames 1 --part 2/2 --format json");
    assert_string_equal(run.out, "[]\n");
    run_free(&run);
    run_leave_folder();
}

static void people_read_rates_as_powers_of_ten(void **state)
{
    (void)state;
    struct run run = run_line(SMALL "--snr 3 --frames 5");
    assert_int_equal(run.status, 0);
    assert_non_null(strstr(run.out, "OFDM 16200 QPSK 8/15 BCH, sum-product 50, awgn\n"));
    assert_non_null(strstr(run.out, "5.2e-01")); /* 1 - 0.025^(1/5) */
    assert_non_null(strstr(run.out, "Clopper and Pearson"));
    run_free(&run);
    run = run_line(SMALL "--snr 3 --frames 5 --format csv");
    assert_true(strncmp(run.out, "snr_db,frames,frame_errors,bit_errors,fer,", 42) == 0);
    run_free(&run);
}

/* Two equal rays: some carriers are lost, so more SNR is needed than in white noise, and less than
 * in Rayleigh fading of all cells. */
static void echoes_cost_what_the_study_of_echoes_says(void **state)
{
    (void)state;
    json_t *rows = run_json(SMALL "--channel profile --set echo%20hill.delay_us=20 "
                                  "--set echo%20hill.level_db=0 --snr 0.9:1.6:2.5 --frames 40 "
                                  "--format json");
    assert_between(number_of(json_array_get(rows, 0), "fer"), 0.9, 1.0, "below its threshold");
    assert_between(number_of(json_array_get(rows, 1), "fer"), 0.0, 0.1, "above it");
    json_decref(rows);
}

/* How OFDM takes echoes is not how 8-VSB does. */
static void notes_say_what_echoes_are_taken_for(void **state)
{
    (void)state;
    struct run run = run_line(SMALL "--channel profile --set echo%20hill.delay_us=20 "
                                    "--set echo%20hill.level_db=-9 --snr 3 --frames 2");
    assert_int_equal(run.status, 0);
    assert_non_null(strstr(run.out, "counts as noise"));
    assert_non_null(strstr(run.out, "take the carriers"));
    assert_non_null(strstr(run.out, "white noise is needed"));
    run_free(&run);
    run = run_line(SMALL "--snr 3 --frames 2");
    assert_null(strstr(run.out, "counts as noise"));
    run_free(&run);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(
            bad_options_are_refused), /* reads a shipped profile: before folders change */
        cmocka_unit_test(json_has_the_names_of_the_contract),
        cmocka_unit_test(the_first_generation_counts_segments),
        cmocka_unit_test(threads_do_not_change_the_counts),
        cmocka_unit_test(merged_parts_are_exactly_the_whole),
        cmocka_unit_test(parts_that_stopped_early_are_no_whole_run),
        cmocka_unit_test(seeds_may_be_added_but_nothing_twice),
        cmocka_unit_test(ranges_are_the_true_ones),
        cmocka_unit_test(near_snrs_are_told_apart),
        cmocka_unit_test(tables_fit_80_columns),
        cmocka_unit_test(parts_in_files_are_checked),
        cmocka_unit_test(other_echoes_are_another_run),
        cmocka_unit_test(parts_are_named_to_people),
        cmocka_unit_test(people_read_rates_as_powers_of_ten),
        cmocka_unit_test(echoes_cost_what_the_study_of_echoes_says),
        cmocka_unit_test(notes_say_what_echoes_are_taken_for),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
