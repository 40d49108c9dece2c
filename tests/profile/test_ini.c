/* What stands between a text and its values: the copy that the library reads, and the library,
 * which is not believed blindly. Its functions and the system's write are the test's own here. */
#define _GNU_SOURCE /* RTLD_NEXT. NOLINT(bugprone-reserved-identifier) */
#include "support/near.h"

#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <iniparser/iniparser.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <unistd.h>

#include "profile/preferences.h"
#include "profile/profile.h"
#include "support/run.h"

static struct {
    int interrupted; /* writes that a signal breaks off before their first byte */
    size_t most;     /* bytes that a write takes; 0: all */
    int until_full;  /* bytes that there is room for; below 0: no end */
} disk = {.until_full = -1};

static bool library_refuses;       /* a text that the scanner has let pass */
static const char *library_reads;  /* whatever is asked for */
static bool library_reads_nothing; /* of any key */

ssize_t write(int file, const void *bytes, size_t count)
{
    if (disk.interrupted > 0) {
        disk.interrupted--;
        errno = EINTR;
        return -1;
    }
    if (disk.until_full == 0) {
        errno = ENOSPC;
        return -1;
    }
    count = disk.most > 0 && count > disk.most ? disk.most : count;
    if (disk.until_full > 0) {
        count = count > (size_t)disk.until_full ? (size_t)disk.until_full : count;
        disk.until_full -= (int)count;
    }
    return syscall(SYS_write, file, bytes, count);
}

dictionary *iniparser_load(const char *path)
{
    dictionary *(*load)(const char *);
    void *symbol = dlsym(RTLD_NEXT, "iniparser_load");
    memcpy(&load, &symbol, sizeof load);
    return library_refuses ? NULL : load(path);
}

const char *iniparser_getstring(const dictionary *values, const char *key, const char *otherwise)
{
    const char *(*get)(const dictionary *, const char *, const char *);
    void *symbol = dlsym(RTLD_NEXT, "iniparser_getstring");
    memcpy(&get, &symbol, sizeof get);
    return library_reads_nothing ? otherwise
           : library_reads       ? library_reads
                                 : get(values, key, otherwise);
}

static const char sample[] = "[echo hill]\ndelay_us = \"4\"\nlevel_db = -3\n";

static enum status read_sample(struct fault *fault)
{
    struct profile profile;
    *fault = (struct fault){0};
    enum status status = profile_read_text(sample, strlen(sample), &profile, fault);
    if (status == STATUS_OK) {
        assert_near(profile.scenario.echoes[0].delay_us, 4.0, 0.0, "as written");
        assert_near(profile.scenario.echoes[0].level_db, -3.0, 0.0, "as written");
        profile_free(&profile);
    }
    return status;
}

static void a_copy_is_made_in_pieces_and_across_signals(void **state)
{
    (void)state;
    struct fault fault;
    disk.interrupted = 2;
    disk.most = 5;
    assert_int_equal(read_sample(&fault), STATUS_OK);
    assert_int_equal(disk.interrupted, 0);
    disk.most = 0;
}

/* Neither the copy in memory nor the one in a folder. */
static void a_copy_that_finds_no_room_is_told(void **state)
{
    (void)state;
    struct fault fault;
    run_enter_folder();
    disk.until_full = 7;
    enum status status = read_sample(&fault);
    disk.until_full = -1;
    assert_int_equal(status, STATUS_UNREADABLE);
    assert_string_equal(fault.wrong, "cannot be read: no temporary copy: No space left on device");
    assert_int_equal(read_sample(&fault), STATUS_OK);
    run_leave_folder();
}

/* With one file left to open, which the copy takes, the library cannot open it. It would say so on
 * standard error by itself. */
static void a_copy_that_cannot_be_opened_is_told_once(void **state)
{
    (void)state;
    struct fault fault;
    struct rlimit limit, narrow;
    run_enter_folder();
    assert_int_equal(getrlimit(RLIMIT_NOFILE, &limit), 0);
    int heard = open("heard", O_RDWR | O_CREAT | O_CLOEXEC, 0600), error = dup(2);
    assert_true(heard >= 0 && error >= 0);
    int next = dup(0);
    close(next);
    narrow = (struct rlimit){(rlim_t)next + 1, limit.rlim_max};
    assert_int_equal(setrlimit(RLIMIT_NOFILE, &narrow), 0);
    dup2(heard, 2);
    enum status status = read_sample(&fault);
    dup2(error, 2);
    assert_int_equal(setrlimit(RLIMIT_NOFILE, &limit), 0);
    assert_int_equal(status, STATUS_UNREADABLE);
    assert_string_equal(fault.wrong, "cannot be read: no temporary copy: Too many open files");
    assert_int_equal(lseek(heard, 0, SEEK_END), 0);
    close(heard);
    close(error);
    run_leave_folder();
}

static const char likes[] = "[explorer]\n\nmouse = no\n";

static void what_the_library_reads_otherwise_is_refused(void **state)
{
    (void)state;
    struct preferences preferences;
    struct fault fault;
    library_reads = "5";
    assert_int_equal(read_sample(&fault), STATUS_MALFORMED);
    assert_string_equal(fault.place, "echo hill.delay_us");
    assert_string_equal(fault.wrong, "line 2 can be read in more than one way");
    assert_int_equal(preferences_read_text(likes, strlen(likes), &preferences, &fault),
                     STATUS_MALFORMED);
    assert_string_equal(fault.place, "explorer.mouse");
    assert_string_equal(fault.wrong, "line 3 can be read in more than one way");
    assert_true(preferences.mouse); /* the default */
    library_reads = NULL;
    library_refuses = true;
    assert_int_equal(read_sample(&fault), STATUS_MALFORMED);
    assert_string_equal(fault.wrong, "can be read in more than one way");
    library_refuses = false;
    assert_int_equal(read_sample(&fault), STATUS_OK);
}

/* It drops a value that it finds no memory for, without a word. */
static void what_the_library_has_lost_is_want_of_memory(void **state)
{
    (void)state;
    struct preferences preferences;
    struct fault fault;
    library_reads_nothing = true;
    assert_int_equal(read_sample(&fault), STATUS_NO_MEMORY);
    assert_int_equal(preferences_read_text(likes, strlen(likes), &preferences, &fault),
                     STATUS_NO_MEMORY);
    assert_true(preferences.mouse);
    library_reads_nothing = false;
    assert_int_equal(read_sample(&fault), STATUS_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_copy_is_made_in_pieces_and_across_signals),
        cmocka_unit_test(a_copy_that_finds_no_room_is_told),
        cmocka_unit_test(a_copy_that_cannot_be_opened_is_told_once),
        cmocka_unit_test(what_the_library_reads_otherwise_is_refused),
        cmocka_unit_test(what_the_library_has_lost_is_want_of_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
