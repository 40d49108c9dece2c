#define _GNU_SOURCE /* RTLD_NEXT. NOLINT(bugprone-reserved-identifier) */
#include "support/near.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "command/command.h"
#include "profile/preferences.h"
#include "profile/profile.h"
#include "profile/terrain.h"
#include "support/failing_ini.h"
#include "support/run.h"

static const char sample[] = "; kept\n[site]\nrf_channel = 20\n[mode]\nfft = 8K\npilots = SP6_2\n"
                             "[echo hill]\ndelay_us = 3\nlevel_db = -4\n"
                             "[echo dale]\ndelay_us = 5\nlevel_db = -9\n"
                             "[receiver]\nlevel_dbm = -60\nspeed_kmh = 3\nnoise_figure_db = 6\n"
                             "antenna_dbd = 1\nline_loss_db = 2\npositions = 100\n"
                             "[place]\nreceive_height_m = 5\nentry_loss_db = 8\n"
                             "location_percent = 90\nbearing_deg = 10\n"
                             "[first]\nthreshold_db = 15\nequaliser_before_us = 20\n"
                             "equaliser_after_us = 30\nadaptation_step = 0.01\n"
                             "[station hill]\nrf_channel = 20\nerp_kw = 5\nheight_m = 90\n"
                             "distance_km = 8\nterrain = hill.txt\n";

static struct profile made; /* read with all memory there */

static void make_profile(void)
{
    struct fault fault;
    assert_int_equal(profile_read_text(sample, strlen(sample), &made, &fault), STATUS_OK);
    assert_int_equal(scenario_set(&made.scenario, "receiver.snr_db", "20", &fault), STATUS_OK);
    assert_int_equal(scenario_set(&made.scenario, "echo new.delay_us", "1", &fault), STATUS_OK);
    assert_int_equal(scenario_set(&made.scenario, "echo new.level_db", "-1", &fault), STATUS_OK);
}

static int read_it(void)
{
    struct profile profile;
    struct fault fault = {0};
    enum status status = profile_read_text(sample, strlen(sample), &profile, &fault);
    if (status == STATUS_OK) {
        profile_free(&profile);
    } else if (status != STATUS_NO_MEMORY || fault.status != STATUS_NO_MEMORY) {
        print_error("status %d: %s: %s\n", status, fault.place, fault.wrong);
        fail();
    }
    return status == STATUS_OK;
}

static void reading_a_profile_says_so(void **state)
{
    (void)state;
    fail_each_allocation(read_it, "reading");
}

static int read_file_it(void)
{
    struct profile profile;
    struct fault fault = {0};
    enum status status = profile_read_file("p.ini", &profile, &fault);
    if (status == STATUS_OK) {
        profile_free(&profile);
    } else {
        assert_int_equal(status, STATUS_NO_MEMORY);
    }
    return status == STATUS_OK;
}

static void reading_a_file_says_so(void **state)
{
    (void)state;
    run_enter_folder();
    run_write_file("p.ini", sample, strlen(sample));
    run_write_file("hill.txt", "0 1\n8 2\n", 8);
    fail_each_allocation(read_file_it, "reading a file");
    run_leave_folder();
}

/* The file's name becomes a whole one, or stays. */
static int name_it_whole(void)
{
    struct scenario scenario = scenario_default();
    scenario.station_count = 1;
    strcpy(scenario.stations[0].terrain_file, "null");
    terrain_name_whole(&scenario, "/dev/p.ini");
    bool whole = strcmp(scenario.stations[0].terrain_file, "/dev/null") == 0;
    assert_true(whole || strcmp(scenario.stations[0].terrain_file, "null") == 0);
    return whole;
}

static void a_name_stays_that_cannot_be_made_whole(void **state)
{
    (void)state;
    fail_each_allocation(name_it_whole, "a whole name");
}

static int write_it(void)
{
    struct text text = {0};
    struct fault fault = {0};
    enum status status = profile_write_text(&made, &text, &fault);
    assert_true(status == STATUS_OK || status == STATUS_NO_MEMORY);
    text_free(&text);
    return status == STATUS_OK;
}

static void writing_a_profile_says_so(void **state)
{
    (void)state;
    make_profile();
    fail_each_allocation(write_it, "writing");
    profile_free(&made);
}

static int save_it(void)
{
    struct fault fault = {0};
    run_write_file("p.ini", "old", 3);
    enum status status = profile_save(&made, "p.ini", &fault);
    char start[8] = "";
    FILE *file = fopen("p.ini", "r");
    if (file) {
        (void)!fread(start, 1, 4, file);
        fclose(file);
        assert_string_equal(start, status == STATUS_OK ? "; ke" : "old");
    }
    return status == STATUS_OK;
}

/* The old file stays unless the whole new one is there. The test's own file access takes memory,
 * too, so it happens with the failing allocation already behind it or not reached. */
static int save_only(void)
{
    struct fault fault = {0};
    return profile_save(&made, "p.ini", &fault) == STATUS_OK;
}

static void a_save_leaves_the_old_file_or_the_new_one(void **state)
{
    (void)state;
    run_enter_folder();
    make_profile();
    assert_true(save_it());
    char *whole = run_read_file("p.ini");
    for (long n = 0;; n++) {
        run_write_file("p.ini", "old", 3);
        failures = 0;
        countdown = n;
        int saved = save_only();
        countdown = -1;
        char *now = run_read_file("p.ini");
        assert_string_equal(now, saved ? whole : "old");
        free(now);
        if (failures == 0) {
            break;
        }
    }
    free(whole);
    profile_free(&made);
    run_leave_folder();
}

static const char *command_words[6];

/* Standard output and standard error without memory of their own. */
static int run_command(void)
{
    static char out_bytes[1 << 20], err_bytes[4096], out_buffer[4096], err_buffer[512];
    char words[6][40], *argv[7];
    int argc = 0;
    for (; command_words[argc]; argc++) {
        snprintf(words[argc], sizeof words[argc], "%s", command_words[argc]);
        argv[argc] = words[argc];
    }
    argv[argc] = NULL;
    long left = countdown;
    countdown = -1;
    memset(out_bytes, 0, 64);
    memset(err_bytes, 0, 64);
    FILE *out = fmemopen(out_bytes, sizeof out_bytes, "w");
    FILE *err = fmemopen(err_bytes, sizeof err_bytes, "w");
    assert_non_null(out);
    assert_non_null(err);
    setvbuf(out, out_buffer, _IOFBF, sizeof out_buffer);
    setvbuf(err, err_buffer, _IOFBF, sizeof err_buffer);
    countdown = left;
    enum exit_status status = command_line_run(argc, argv, out, err);
    left = countdown;
    countdown = -1;
    fclose(out);
    fclose(err);
    countdown = left;
    if (status != EXIT_DONE) {
        assert_int_equal(status, EXIT_FAILED);
        assert_string_equal(out_bytes, "");
        assert_memory_equal(err_bytes, "guardspan: ", 11);
        assert_non_null(strstr(err_bytes, "out of memory"));
    }
    return status == EXIT_DONE;
}

static void commands_say_so_in_every_form(void **state)
{
    (void)state;
    static const char *const forms[] = {"text", "json", "csv", "markdown"};
    static const char *const names[][2] = {{"report", NULL}, {"facts", NULL}, {"facts", "guard"}};
    for (size_t n = 0; n < 3; n++) {
        for (size_t f = 0; f < 4; f++) {
            const char *words[6] = {"guardspan", names[n][0], "--format", forms[f], names[n][1]};
            memcpy(command_words, words, sizeof words);
            fail_each_allocation(run_command, names[n][0]);
        }
    }
}

static int save_preferences(void)
{
    struct preferences preferences = preferences_default();
    return preferences_save(&preferences, "/dev/null", NULL) != STATUS_NO_MEMORY;
}

static void saving_preferences_says_so(void **state)
{
    (void)state;
    fail_each_allocation(save_preferences, "saving preferences");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reading_a_profile_says_so),
        cmocka_unit_test(reading_a_file_says_so),
        cmocka_unit_test(a_name_stays_that_cannot_be_made_whole),
        cmocka_unit_test(writing_a_profile_says_so),
        cmocka_unit_test(a_save_leaves_the_old_file_or_the_new_one),
        cmocka_unit_test(saving_preferences_says_so),
        cmocka_unit_test(commands_say_so_in_every_form),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
