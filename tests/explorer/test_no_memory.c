/* Allocations of the explorer fail, some of each view's. It goes on, or does not begin at all:
 * nothing crashes, nothing is kept when it has ended, and a profile is as it was or as it was
 * changed. */
#include "support/failing.h"

#include <pthread.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "explorer/drive.h"
#include "explorer/lesson.h"
#include "support/effort.h"
#include "support/run.h"

enum { AT_ONCE = 4 };

static void *wait_for_others(void *barrier)
{
    pthread_barrier_wait(barrier);
    return NULL;
}

/* The C library keeps what ended threads leave, for as many as ever run at once: that is no loss,
 * whenever two errands of a view happen to meet. */
static int let_threads_meet(void **state)
{
    (void)state;
    pthread_t threads[AT_ONCE];
    pthread_barrier_t barrier;
    int wrong = pthread_barrier_init(&barrier, NULL, AT_ONCE);
    for (int i = 0; i < AT_ONCE; i++) {
        wrong |= pthread_create(&threads[i], NULL, wait_for_others, &barrier);
    }
    for (int i = 0; i < AT_ONCE; i++) {
        wrong |= pthread_join(threads[i], NULL);
    }
    return wrong | pthread_barrier_destroy(&barrier);
}

static const char *script;
static struct scenario before, after;

static int run_it(void)
{
    struct profile profile = {.scenario = before};
    struct text screen = {0};
    struct grid grid = {0};
    struct explorer *explorer = explorer_new(&profile, NULL);
    if (explorer == NULL) {
        profile_free(&profile);
        return false;
    }
    explorer->rows = 24;
    explorer->columns = 80;
    explorer_run_script(explorer, script);
    desk_wait(&explorer->desk);
    explorer_update(explorer);
    bool drawn = explorer_draw(explorer, &grid);
    bool changed = memcmp(&explorer->desk.profile.scenario, &after, sizeof after) == 0;
    assert_true(changed || memcmp(&explorer->desk.profile.scenario, &before, sizeof before) == 0);
    grid_free(&grid);
    text_free(&screen);
    explorer_free(explorer);
    return drawn && changed;
}

/* What the keys make of the profile where nothing fails. */
static void fail_in(const char *keys, long parts)
{
    struct explorer *explorer = explorer_with(&before, keys, 24, 80);
    after = explorer->desk.profile.scenario;
    explorer_free(explorer);
    script = keys;
    fail_allocations(run_it, keys, parts);
}

static void opening_with_unsaved_work_goes_on(void **state)
{
    (void)state;
    run_enter_folder();
    assert_int_equal(mkdir("guardspan", 0700), 0);
    run_write_file("guardspan/earlier.ini", "[mode]\n", 7);
    char *here = getcwd(NULL, 0);
    assert_non_null(here);
    setenv("XDG_STATE_HOME", here, 1);
    free(here);
    before = scenario_default();
    fail_in("o", 0);
    unsetenv("XDG_STATE_HOME");
    unlink("guardspan/earlier.ini");
    assert_int_equal(rmdir("guardspan"), 0);
    run_leave_folder();
}

static void every_view_goes_on(void **state)
{
    (void)state;
    static const char *const keys[] = {"Right", "e a", "w", "t", "l",
                                       "c",     "b",   "g", "?", "Right p"};
    before = scenario_default();
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        fail_in(keys[i], (long)effort(1, 4, 0));
    }
}

/* Read, begun and gone on with, or refused for want of memory. */
static int play_it(void)
{
    struct profile profile = {.scenario = before};
    struct lesson lesson;
    struct fault fault = {0};
    struct explorer *explorer = explorer_new(&profile, NULL);
    if (explorer == NULL) {
        profile_free(&profile);
        return false;
    }
    enum status status = lesson_read_file("demo/lessons/guard-interval.txt", &lesson, &fault);
    if (status == STATUS_OK) {
        status = lesson_begin(explorer, &lesson, &fault);
    }
    lesson_free(&lesson);
    assert_true(status == STATUS_OK || status == STATUS_NO_MEMORY);
    explorer_run_script(explorer, "Space Space Backspace");
    explorer_free(explorer);
    return status == STATUS_OK;
}

static void a_lesson_goes_on_or_does_not_begin(void **state)
{
    (void)state;
    before = scenario_default();
    fail_allocations(play_it, "lesson", (long)effort(2, 12, 0));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_view_goes_on), cmocka_unit_test(a_lesson_goes_on_or_does_not_begin),
        cmocka_unit_test(opening_with_unsaved_work_goes_on), /* leaves the folder */
    };
    return cmocka_run_group_tests(tests, let_threads_meet, NULL);
}
