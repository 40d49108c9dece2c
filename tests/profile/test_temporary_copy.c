#include "support/near.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "profile/profile.h"
#include "support/run.h"

/* Where there are no files in memory a profile is read by way of a temporary one. */

int memfd_create(const char *name, unsigned flags);

/* In the place of the C library's: a system without. */
int memfd_create(const char *name, unsigned flags)
{
    (void)name;
    (void)flags;
    errno = ENOSYS;
    return -1;
}

static const char sample[] = "[mode]\nboost = 2\n[echo hill]\ndelay_us = 4\nlevel_db = -3\n";

static void it_is_read_and_the_copy_removed(void **state)
{
    (void)state;
    run_enter_folder();
    assert_int_equal(setenv("TMPDIR", ".", 1), 0);
    struct profile profile;
    struct fault fault = {0};
    assert_int_equal(profile_read_text(sample, strlen(sample), &profile, &fault), STATUS_OK);
    assert_int_equal(profile.scenario.transmission.subframes[0].waveform.boost, 2);
    assert_int_equal(profile.scenario.echo_count, 1);
    profile_free(&profile);
    DIR *directory = opendir(".");
    assert_non_null(directory);
    for (struct dirent *entry; (entry = readdir(directory)) != NULL;) {
        assert_int_equal(entry->d_name[0], '.'); /* itself and its parent: no copy */
    }
    closedir(directory);
    run_leave_folder();
}

static void a_missing_place_for_it_is_said(void **state)
{
    (void)state;
    assert_int_equal(setenv("TMPDIR", "/no/such/folder", 1), 0);
    struct profile profile;
    struct fault fault = {0};
    assert_int_equal(profile_read_text(sample, strlen(sample), &profile, &fault),
                     STATUS_UNREADABLE);
    assert_string_equal(fault.wrong,
                        "cannot be read: no temporary copy: No such file or directory");
    char endless[600];
    memset(endless, 'x', sizeof endless);
    endless[sizeof endless - 1] = '\0';
    assert_int_equal(setenv("TMPDIR", endless, 1), 0);
    assert_int_not_equal(profile_read_text(sample, strlen(sample), &profile, &fault), STATUS_OK);
}

static void without_a_name_for_it_the_usual_place_is_taken(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        struct profile profile;
        assert_int_equal(i == 0 ? unsetenv("TMPDIR") : setenv("TMPDIR", "", 1), 0);
        assert_int_equal(profile_read_text(sample, strlen(sample), &profile, NULL), STATUS_OK);
        profile_free(&profile);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_is_read_and_the_copy_removed),
        cmocka_unit_test(a_missing_place_for_it_is_said),
        cmocka_unit_test(without_a_name_for_it_the_usual_place_is_taken),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
