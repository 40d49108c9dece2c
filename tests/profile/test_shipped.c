#include "support/near.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/file.h"
#include "base/units.h"
#include "profile/profile.h"
#include "study/report/report.h"

/* The profiles that come with the program; make runs tests in its top folder. */

static int each_profile(void (*check)(const char *path, struct profile *profile))
{
    int count = 0;
    DIR *directory = opendir("profiles");
    assert_non_null(directory);
    for (struct dirent *entry; (entry = readdir(directory)) != NULL;) {
        size_t length = strlen(entry->d_name);
        if (length < 5 || strcmp(entry->d_name + length - 4, ".ini") != 0) {
            continue;
        }
        char path[300];
        snprintf(path, sizeof path, "profiles/%s", entry->d_name);
        struct profile profile;
        struct fault fault = {0};
        if (profile_read_file(path, &profile, &fault) != STATUS_OK) {
            print_error("%s: %s: %s (%s)\n", path, fault.place, fault.wrong, fault.allowed);
            fail();
        }
        check(path, &profile);
        profile_free(&profile);
        count++;
    }
    closedir(directory);
    return count;
}

static void check_written(const char *path, struct profile *profile)
{
    struct text text = {0}, file = {0};
    struct fault fault;
    assert_int_equal(profile_write_text(profile, &text, &fault), STATUS_OK);
    assert_int_equal(file_read(path, 1 << 20, &file, &fault), STATUS_OK);
    assert_string_equal(text_string(&text), text_string(&file));
    text_free(&text);
    text_free(&file);
}

static void at_least_eight_are_read_and_written_back_unchanged(void **state)
{
    (void)state;
    assert_true(each_profile(check_written) >= 8);
}

static void check_report(const char *path, struct profile *profile)
{
    struct report report;
    struct fault fault = {0};
    assert_int_equal(report_make(&profile->scenario, &report, &fault), STATUS_OK);
    assert_true(isfinite(report_facts(&report, GENERATION_SECOND)->required_snr_db));
    assert_true(report_facts(&report, GENERATION_SECOND)->net_mbps > 1.0);
    assert_non_null(strchr(text_string(&profile->original), ';'));
    (void)path;
}

static void each_is_commented_and_gives_a_report(void **state)
{
    (void)state;
    each_profile(check_report);
}

/* What the comment of the network's profile says. */
static void the_network_fits_into_its_guard_interval(void **state)
{
    (void)state;
    struct profile profile;
    struct fault fault;
    assert_int_equal(profile_read_file("profiles/single-frequency-network.ini", &profile, &fault),
                     STATUS_OK);
    double first_us = 0.0, last_us = 0.0;
    struct report report;
    assert_int_equal(report_make(&profile.scenario, &report, &fault), STATUS_OK);
    const struct channel *channel = &report.verdicts.of[GENERATION_SECOND].conditions.channel;
    assert_int_equal(channel->count, 3);
    for (int i = 0; i < channel->count; i++) {
        first_us = fmin(first_us, channel->rays[i].delay_us);
        last_us = fmax(last_us, channel->rays[i].delay_us);
    }
    assert_near(km_from_us(last_us - first_us), 63.0, 0.05, "the profile's comment");
    assert_near(report_facts(&report, GENERATION_SECOND)->echo_km, 66.6, 0.05,
                "the profile's comment");
    assert_true(last_us - first_us < report_facts(&report, GENERATION_SECOND)->guard_us);
    profile_free(&profile);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(at_least_eight_are_read_and_written_back_unchanged),
        cmocka_unit_test(each_is_commented_and_gives_a_report),
        cmocka_unit_test(the_network_fits_into_its_guard_interval),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
