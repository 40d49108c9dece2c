/* Work beside the interface. */
#include "support/near.h"

#include <stdlib.h>
#include <time.h>

#include "explorer/desk/errand.h"

static void count_up(struct job *job, void *context)
{
    int *count = context;
    while (!job_is_stopped(job)) {
        job_set_progress(job, ++*count / 1000.0);
        nanosleep(&(struct timespec){.tv_nsec = 100000}, NULL);
    }
}

static void work_once(struct job *job, void *context)
{
    job_set_progress(job, 2.0);
    *(int *)context = 42;
}

static void a_job_stops_when_asked(void **state)
{
    (void)state;
    struct job job = {0};
    int count = 0;
    assert_true(job_start(&job, count_up, &count));
    assert_false(job_start(&job, count_up, &count)); /* one at a time */
    while (job_progress(&job) < 0.003) {
        nanosleep(&(struct timespec){.tv_nsec = 100000}, NULL);
    }
    assert_true(job_is_running(&job));
    assert_false(job_finished(&job));
    job_stop(&job);
    assert_false(job_is_running(&job));
    assert_true(count >= 3);
    job_stop(&job); /* harmless */
}

static void a_job_says_once_that_it_is_done(void **state)
{
    (void)state;
    struct job job = {0};
    int result = 0;
    assert_true(job_start(&job, work_once, &result));
    while (!job_finished(&job)) {
        nanosleep(&(struct timespec){.tv_nsec = 100000}, NULL);
    }
    assert_int_equal(result, 42);
    assert_near(job_progress(&job), 1.0, 0.0, "progress is cut at the whole");
    assert_false(job_finished(&job));
}

/* ---- Errands. ---- */

struct sum {
    int from, to, milliseconds;
    long answer;
};

static void add_up(struct job *job, void *box)
{
    struct sum *sum = box;
    for (int i = 0; i < sum->milliseconds && !job_is_stopped(job); i++) {
        nanosleep(&(struct timespec){.tv_nsec = 1000000}, NULL);
    }
    for (int i = sum->from; i <= sum->to; i++) {
        sum->answer += i;
    }
}

static struct sum *sum_of(int from, int to, int milliseconds)
{
    struct sum *sum = calloc(1, sizeof *sum);
    assert_non_null(sum);
    *sum = (struct sum){from, to, milliseconds, 0};
    return sum;
}

static void what_is_quick_is_there_at_once(void **state)
{
    (void)state;
    struct errand errand = {.work = add_up};
    errand_want(&errand, sum_of(1, 100, 0), 60000.0);
    assert_true(errand.pending); /* until it is looked at */
    assert_true(errand_look(&errand));
    assert_false(errand.pending);
    assert_int_equal(((struct sum *)errand.done)->answer, 5050);
    assert_false(errand_look(&errand)); /* once for each answer */
    errand_free(&errand);
}

static void only_the_newest_wish_is_answered(void **state)
{
    (void)state;
    struct errand errand = {.work = add_up};
    errand_want(&errand, sum_of(1, 2, 10000), 0.0); /* told to stop by the next */
    errand_want(&errand, sum_of(1, 3, 0), 0.0);
    errand_want(&errand, sum_of(1, 4, 0), 0.0);
    errand_wait(&errand);
    assert_true(errand_look(&errand));
    assert_int_equal(((struct sum *)errand.done)->answer, 10);
    errand_want(&errand, sum_of(1, 5, 10000), 0.0);
    assert_int_equal(((struct sum *)errand.done)->answer, 10); /* the old one, until then */
    errand_want(&errand, NULL, 0.0);                           /* no longer wanted */
    assert_false(errand.pending);
    errand_wait(&errand);
    while (errand.job.started) {
        assert_false(errand_look(&errand));
    }
    assert_null(errand.done);
    errand_want(&errand, sum_of(1, 6, 10000), 0.0);
    errand_free(&errand); /* stops it */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_job_stops_when_asked),
        cmocka_unit_test(a_job_says_once_that_it_is_done),
        cmocka_unit_test(what_is_quick_is_there_at_once),
        cmocka_unit_test(only_the_newest_wish_is_answered),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
