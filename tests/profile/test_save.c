#include "support/near.h"

#include <dirent.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "profile/profile.h"
#include "support/run.h"

static const char old_text[] = "; kept\n[mode]\nboost = 1\n";
static const char new_text[] = "; kept\n[mode]\nboost = 3\n";

static struct profile changed(void)
{
    struct profile profile;
    struct fault fault;
    assert_int_equal(profile_read_text(old_text, strlen(old_text), &profile, &fault), STATUS_OK);
    assert_int_equal(scenario_set(&profile.scenario, "mode.boost", "3", &fault), STATUS_OK);
    return profile;
}

static void assert_holds(const char *path, const char *expected)
{
    char *bytes = run_read_file(path);
    assert_non_null(bytes);
    assert_string_equal(bytes, expected);
    free(bytes);
}

/* Files in the folder, hidden ones included: nothing is left over. */
static int files_here(void)
{
    int count = 0;
    DIR *directory = opendir(".");
    assert_non_null(directory);
    for (struct dirent *entry; (entry = readdir(directory)) != NULL;) {
        count += strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0;
    }
    closedir(directory);
    return count;
}

static int enter(void **state)
{
    (void)state;
    run_enter_folder();
    run_write_file("p.ini", old_text, strlen(old_text));
    return 0;
}

static void a_save_replaces_the_file_and_keeps_its_permissions(void **state)
{
    (void)state;
    struct profile profile = changed();
    struct fault fault;
    assert_int_equal(chmod("p.ini", 0640), 0);
    assert_int_equal(profile_save(&profile, "p.ini", &fault), STATUS_OK);
    assert_holds("p.ini", new_text);
    struct stat about;
    assert_int_equal(stat("p.ini", &about), 0);
    assert_int_equal(about.st_mode & 07777, 0640);
    assert_int_equal(files_here(), 1);
    /* A second save starts from what the first one wrote. */
    assert_int_equal(scenario_set(&profile.scenario, "mode.boost", "2", &fault), STATUS_OK);
    assert_int_equal(profile_save(&profile, "p.ini", &fault), STATUS_OK);
    assert_holds("p.ini", "; kept\n[mode]\nboost = 2\n");
    profile_free(&profile);
}

static void a_file_that_somebody_else_has_written_is_left_alone(void **state)
{
    (void)state;
    struct profile profile = changed();
    struct fault fault;
    static const char theirs[] = "; kept\n[mode]\nboost = 4\n";
    run_write_file("p.ini", theirs, strlen(theirs));
    assert_int_equal(profile_save_unchanged(&profile, "p.ini", &fault), STATUS_CHANGED);
    assert_holds("p.ini", theirs);
    run_write_file("p.ini", old_text, strlen(old_text));
    assert_int_equal(profile_save_unchanged(&profile, "p.ini", &fault), STATUS_OK);
    assert_holds("p.ini", new_text);
    assert_int_equal(unlink("p.ini"), 0); /* what is gone cannot be lost */
    assert_int_equal(profile_save_unchanged(&profile, "p.ini", &fault), STATUS_OK);
    assert_holds("p.ini", new_text);
    assert_int_equal(files_here(), 1);
    profile_free(&profile);
}

/* A child that saves a value of its own ends with 0 where it wrote, with 1 where it saw another's.
 */
static pid_t save_in_a_child(int boost, int wait_for)
{
    pid_t child = fork();
    if (child == 0) {
        struct profile profile = changed();
        struct fault fault;
        char value[8], byte;
        snprintf(value, sizeof value, "%d", boost);
        (void)scenario_set(&profile.scenario, "mode.boost", value, &fault);
        (void)!read(wait_for, &byte, 1); /* until all are ready */
        enum status status = profile_save_unchanged(&profile, "p.ini", &fault);
        _exit(status == STATUS_OK ? 0 : status == STATUS_CHANGED ? 1 : 2);
    }
    return child;
}

static void of_several_that_save_at_once_one_writes_and_the_others_see_it(void **state)
{
    (void)state;
    enum { SAVERS = 4 };
    static const int boosts[SAVERS] = {0, 2, 3, 4};
    for (int time = 0; time < 5; time++) {
        pid_t children[SAVERS];
        int gate[2], written = -1;
        run_write_file("p.ini", old_text, strlen(old_text));
        assert_int_equal(pipe(gate), 0);
        for (int i = 0; i < SAVERS; i++) {
            children[i] = save_in_a_child(boosts[i], gate[0]);
            assert_true(children[i] > 0);
        }
        assert_int_equal(write(gate[1], "abcd", SAVERS), SAVERS);
        for (int i = 0; i < SAVERS; i++) {
            int result;
            assert_int_equal(waitpid(children[i], &result, 0), children[i]);
            assert_true(WIFEXITED(result) && WEXITSTATUS(result) <= 1);
            if (WEXITSTATUS(result) == 0) {
                assert_int_equal(written, -1); /* one alone */
                written = i;
            }
        }
        assert_in_range(written, 0, SAVERS - 1);
        char expected[64];
        snprintf(expected, sizeof expected, "; kept\n[mode]\nboost = %d\n", boosts[written]);
        assert_holds("p.ini", expected);
        close(gate[0]);
        close(gate[1]);
    }
}

static void a_new_file_has_the_permissions_of_the_users_mask(void **state)
{
    (void)state;
    struct profile profile = changed();
    struct fault fault;
    mode_t mask = umask(027);
    assert_int_equal(profile_save(&profile, "new.ini", &fault), STATUS_OK);
    umask(mask);
    struct stat about;
    assert_int_equal(stat("new.ini", &about), 0);
    assert_int_equal(about.st_mode & 07777, 0640);
    profile_free(&profile);
}

static void a_link_stays_a_link(void **state)
{
    (void)state;
    struct profile profile = changed();
    struct fault fault;
    assert_int_equal(symlink("p.ini", "link.ini"), 0);
    assert_int_equal(profile_save(&profile, "link.ini", &fault), STATUS_OK);
    assert_holds("p.ini", new_text);
    struct stat about;
    assert_int_equal(lstat("link.ini", &about), 0);
    assert_true(S_ISLNK(about.st_mode));
    assert_int_equal(symlink("nowhere.ini", "lost.ini"), 0);
    assert_int_equal(profile_save(&profile, "lost.ini", &fault), STATUS_UNWRITABLE);
    profile_free(&profile);
}

static void a_full_device_is_reported(void **state)
{
    (void)state;
    struct profile profile = changed();
    struct fault fault;
    assert_int_equal(profile_save(&profile, "/dev/full", &fault), STATUS_UNWRITABLE);
    assert_string_equal(fault.wrong, "cannot be written: No space left on device");
    struct stat about;
    assert_int_equal(stat("/dev/full", &about), 0);
    assert_true(S_ISCHR(about.st_mode));
    profile_free(&profile);
}

static void a_folder_or_a_missing_folder_is_reported(void **state)
{
    (void)state;
    struct profile profile = changed();
    struct fault fault;
    assert_int_equal(profile_save(&profile, "/", &fault), STATUS_UNWRITABLE);
    assert_string_equal(fault.wrong, "cannot be written: Is a directory");
    assert_int_equal(profile_save(&profile, "no/such/p.ini", &fault), STATUS_UNWRITABLE);
    assert_string_equal(fault.wrong, "cannot be written: No such file or directory");
    profile_free(&profile);
}

/* Runs `body` in a process of its own; returns its wait status. */
static int in_child(void (*body)(void))
{
    fflush(NULL);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        body();
        _exit(0);
    }
    int status;
    assert_int_equal(waitpid(child, &status, 0), child);
    return status;
}

/* Room for the old text, not for the new one: the write of the new one breaks off. */
#define LIMIT_BYTES 40

static int interrupt_when_synced;

/* In the place of the C library's: the user interrupts while the new file is being synced. */
int fsync(int file)
{
    (void)file;
    if (interrupt_when_synced) {
        interrupt_when_synced = 0;
        raise(SIGTERM);
    }
    return 0;
}

static void limit_file_size(rlim_t bytes)
{
    struct rlimit limit = {bytes, bytes};
    if (setrlimit(RLIMIT_FSIZE, &limit) != 0) {
        _exit(99);
    }
}

static struct profile waiting; /* made before the fork, saved by the child */

static void save_waiting_on_a_full_disk(void)
{
    struct fault fault;
    signal(SIGXFSZ, SIG_IGN);
    limit_file_size(LIMIT_BYTES);
    enum status status = profile_save(&waiting, "p.ini", &fault);
    _exit(status == STATUS_UNWRITABLE ? 7 : 1);
}

static void save_waiting_until_killed(void)
{
    struct fault fault;
    limit_file_size(LIMIT_BYTES); /* SIGXFSZ kills in the middle of the write */
    (void)profile_save(&waiting, "p.ini", &fault);
}

static void an_interrupted_save_leaves_the_old_file(void **state)
{
    (void)state;
    struct fault fault;
    waiting = changed();
    assert_true(strlen(old_text) < LIMIT_BYTES);
    assert_int_equal(scenario_set(&waiting.scenario, "receiver.noise_figure_db", "5.25", &fault),
                     STATUS_OK);
    int status = in_child(save_waiting_on_a_full_disk);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 7);
    assert_holds("p.ini", old_text);
    assert_int_equal(files_here(), 1);
    status = in_child(save_waiting_until_killed);
    assert_true(WIFSIGNALED(status));
    assert_int_equal(WTERMSIG(status), SIGXFSZ);
    assert_holds("p.ini", old_text);
    profile_free(&waiting);
}

static void save_waiting_and_be_interrupted(void)
{
    struct fault fault;
    interrupt_when_synced = 1;
    (void)profile_save(&waiting, "p.ini", &fault);
}

static void a_signal_waits_until_the_new_file_is_whole(void **state)
{
    (void)state;
    waiting = changed();
    int status = in_child(save_waiting_and_be_interrupted);
    assert_true(WIFSIGNALED(status));
    assert_int_equal(WTERMSIG(status), SIGTERM);
    assert_holds("p.ini", new_text);
    assert_int_equal(files_here(), 1);
    profile_free(&waiting);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_file_that_somebody_else_has_written_is_left_alone, enter,
                                        run_tear_down),
        cmocka_unit_test_setup_teardown(
            of_several_that_save_at_once_one_writes_and_the_others_see_it, enter, run_tear_down),
        cmocka_unit_test_setup_teardown(a_save_replaces_the_file_and_keeps_its_permissions, enter,
                                        run_tear_down),
        cmocka_unit_test_setup_teardown(a_new_file_has_the_permissions_of_the_users_mask, enter,
                                        run_tear_down),
        cmocka_unit_test_setup_teardown(a_link_stays_a_link, enter, run_tear_down),
        cmocka_unit_test_setup_teardown(a_full_device_is_reported, enter, run_tear_down),
        cmocka_unit_test_setup_teardown(a_folder_or_a_missing_folder_is_reported, enter,
                                        run_tear_down),
        cmocka_unit_test_setup_teardown(an_interrupted_save_leaves_the_old_file, enter,
                                        run_tear_down),
        cmocka_unit_test_setup_teardown(a_signal_waits_until_the_new_file_is_whole, enter,
                                        run_tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
