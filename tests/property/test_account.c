/* The account of every shipped profile and ensemble, both generations of either pair: in JSON each
 * step is the one before and its change, to the last figure that is written, and ends at the margin
 * that is told; in words it is the same steps, each as it is rounded. */
#include "support/near.h"

#include <glob.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include <jansson.h>

#include "support/run.h"

#define WRITTEN_DB 1e-9 /* twelve figures */
#define ROUNDED_DB 0.0501
#define SET "--set receiver.positions=4"

static const char *const generations[] = {"first", "second"};

static double number(const json_t *object, const char *name)
{
    const json_t *value = json_object_get(object, name);
    return json_is_number(value) ? json_number_value(value) : NAN;
}

static const char *step_name(const json_t *step)
{
    return json_string_value(json_object_get(step, "step"));
}

/* Of an account, where null is no SNR left. */
static double snr_of(const json_t *object, const char *name)
{
    double snr_db = number(object, name);
    return isnan(snr_db) ? -INFINITY : snr_db;
}

static void assert_alike(double got_db, double expected_db, const char *source)
{
    if (got_db != expected_db) { /* nor is nothing less nothing a number */
        assert_near(got_db, expected_db, WRITTEN_DB, source);
    }
}

/* Returns how many losses it has; 0 where no SNR is known. */
static int check_sum(const json_t *part)
{
    const json_t *account = json_object_get(part, "account");
    double snr_db = NAN, lost_db = NAN, needed_db = NAN, left_db = NAN;
    int losses = 0;
    size_t count = json_array_size(account);
    for (size_t i = 0; i < count; i++) {
        const json_t *step = json_array_get(account, i);
        double here_db = snr_of(step, "snr_db"), change_db = number(step, "change_db");
        bool takes_all = i > 0 && i + 3 < count && isnan(change_db);
        if (!isnan(change_db)) {
            assert_alike(here_db, snr_db + change_db, "the step before and its change");
        }
        assert_true(!takes_all || here_db == -INFINITY);
        losses += !isnan(change_db) || takes_all;
        lost_db = i == 0 || !isnan(change_db) || takes_all ? here_db : lost_db;
        snr_db = here_db;
        left_db = strcmp(step_name(step), "Left for the decision") == 0 ? here_db : left_db;
        needed_db = strcmp(step_name(step), "Needed in white noise") == 0 ? here_db : needed_db;
    }
    if (count > 0) {
        assert_string_equal(step_name(json_array_get(account, count - 1)), "To spare");
        assert_alike(lost_db, left_db, "what the last loss leaves is left");
        assert_alike(snr_db, left_db - needed_db, "left less needed");
        assert_alike(snr_db, snr_of(part, "margin_db"), "the margin that is told");
    }
    return losses;
}

/* Its lines of the table in words: "Implementation  16.6  -1.0". */
static void check_words(const json_t *part, const char **words)
{
    const json_t *account = json_object_get(part, "account");
    for (size_t i = 0; i < json_array_size(account); i++) {
        const json_t *step = json_array_get(account, i);
        const char *name = step_name(step);
        double snr_db = NAN, change_db = NAN;
        char first[16] = "";
        do {
            *words = strstr(*words + 1, name);
            if (*words == NULL) {
                fail_msg("%s: not in words", name);
            }
        } while ((*words)[-1] != '\n' ||
                 sscanf(*words + strlen(name), "%15s %lf", first, &change_db) < 1);
        if (strcmp(first, "none") == 0) {
            assert_true(json_is_null(json_object_get(step, "snr_db")));
            continue;
        }
        assert_int_equal(sscanf(first, "%lf", &snr_db), 1);
        assert_near(snr_db, number(step, "snr_db"), ROUNDED_DB, "as in JSON");
        if (!isnan(number(step, "change_db"))) {
            assert_near(change_db, number(step, "change_db"), ROUNDED_DB, "as in JSON");
        }
    }
}

static int check_profile(const char *path)
{

    static const char *const commands[] = {"report", "echo"};
    char line[512];
    int losses = 0;
    for (size_t c = 0; c < sizeof commands / sizeof commands[0]; c++) {
        snprintf(line, sizeof line, "%s %s " SET " --format json", commands[c], path);
        json_t *json = run_json(line);
        snprintf(line, sizeof line, "%s %s " SET, commands[c], path);
        struct run run = run_line(line);
        const char *words = run.out;
        assert_int_equal(run.status, 0);
        for (int g = 0; g < 2; g++) {
            const json_t *part = json_object_get(json, generations[g]);
            losses += check_sum(part);
            if (strcmp(commands[c], "echo") == 0) {
                check_words(part, &words);
            }
        }
        run_free(&run);
        json_decref(json);
    }
    return losses;
}

static void each_account_adds_up_in_json_and_words(void **state)
{
    (void)state;
    glob_t paths;
    int losses = 0;
    assert_int_equal(glob("profiles/*.ini", 0, NULL, &paths), 0);
    for (size_t i = 0; i < paths.gl_pathc; i++) {
        losses += check_profile(paths.gl_pathv[i]);
    }
    assert_true(paths.gl_pathc > 20);
    assert_true(losses > 200);
    globfree(&paths);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_account_adds_up_in_json_and_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
