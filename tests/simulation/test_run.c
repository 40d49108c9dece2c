#include "support/near.h"

#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/random.h"
#include "base/status.h"
#include "simulation/run.h"

/* A job whose units take unequal time and fail with a known rate. */
struct coin {
    double error_rate;
    int frames_per_unit;
    int workers_that_fail; /* 1: worker_create finds no memory */
    struct run_watch *stop_at_unit_20;
};

static void *coin_worker(const void *context)
{
    const struct coin *coin = context;
    return coin->workers_that_fail ? NULL : malloc(1);
}

static struct run_counts coin_unit(const void *context, void *worker, uint64_t seed,
                                   uint64_t number)
{
    (void)worker;
    const struct coin *coin = context;
    struct random random = random_seeded(seed, number);
    struct run_counts counts = {.frames = coin->frames_per_unit, .bits = 100};
    if (random_uniform(&random) < 0.1) { /* some threads fall behind */
        struct timespec pause = {0, 200000};
        nanosleep(&pause, NULL);
    }
    for (int i = 0; i < coin->frames_per_unit; i++) {
        counts.frame_errors += random_uniform(&random) < coin->error_rate;
        counts.iterations += 5;
    }
    counts.bit_errors = 2 * counts.frame_errors;
    if (coin->stop_at_unit_20 && number == 20) {
        atomic_store(&coin->stop_at_unit_20->stop, true);
    }
    return counts;
}

static struct run_job coin_job(const struct coin *coin)
{
    return (struct run_job){.context = coin,
                            .worker_create = coin_worker,
                            .worker_free = free,
                            .unit = coin_unit,
                            .frames_per_unit = coin->frames_per_unit};
}

static struct run_limits limits_of(long frames, long errors, int threads)
{
    return (struct run_limits){
        .frames = frames, .errors = errors, .seed = 7, .threads = threads, .part = 1, .parts = 1};
}

static void the_same_seed_gives_the_same_counts_with_any_number_of_threads(void **state)
{
    (void)state;
    struct coin coin = {.error_rate = 0.1, .frames_per_unit = 3};
    struct run_job job = coin_job(&coin);
    for (int by_errors = 0; by_errors < 2; by_errors++) {
        struct run_counts first;
        struct run_limits limits = limits_of(3000, by_errors ? 50 : 0, 1);
        assert_int_equal(run_execute(&job, &limits, NULL, &first), STATUS_OK);
        for (int threads = 2; threads <= 16; threads *= 2) {
            struct run_counts counts;
            limits.threads = threads;
            assert_int_equal(run_execute(&job, &limits, NULL, &counts), STATUS_OK);
            assert_memory_equal(&counts, &first, sizeof counts);
        }
        if (by_errors) {
            assert_between(first.frame_errors, 50, 52, "stops at the first unit that reaches 50");
        } else {
            assert_int_equal(first.frames, 3000);
            assert_near(first.frame_errors, 300, 5.0 * sqrt(270.0), "binomial");
        }
        assert_int_equal(first.iterations, 5 * first.frames);
        assert_int_equal(first.bit_errors, 2 * first.frame_errors);
    }
}

static void another_seed_gives_other_counts(void **state)
{
    (void)state;
    struct coin coin = {.error_rate = 0.5, .frames_per_unit = 1};
    struct run_job job = coin_job(&coin);
    struct run_limits limits = limits_of(1000, 0, 2);
    struct run_counts one, other;
    run_execute(&job, &limits, NULL, &one);
    limits.seed = 8;
    run_execute(&job, &limits, NULL, &other);
    assert_int_not_equal(one.frame_errors, other.frame_errors);
}

static void parts_add_up_to_the_whole(void **state)
{
    (void)state;
    struct coin coin = {.error_rate = 0.2, .frames_per_unit = 4};
    struct run_job job = coin_job(&coin);
    struct run_limits limits = limits_of(1001, 0, 2);
    struct run_counts whole, sum = {0};
    run_execute(&job, &limits, NULL, &whole);
    assert_int_equal(whole.frames, 1004); /* whole units */
    assert_int_equal(whole.planned, 1004);
    limits.parts = 3;
    for (limits.part = 1; limits.part <= 3; limits.part++) {
        struct run_counts counts;
        assert_int_equal(run_execute(&job, &limits, NULL, &counts), STATUS_OK);
        run_counts_add(&sum, &counts);
    }
    assert_memory_equal(&sum, &whole, sizeof sum);
}

static void more_parts_than_units_leave_some_empty(void **state)
{
    (void)state;
    struct coin coin = {.error_rate = 0.2, .frames_per_unit = 1};
    struct run_job job = coin_job(&coin);
    struct run_limits limits = limits_of(2, 0, 1);
    struct run_counts counts;
    limits.parts = limits.part = 3;
    assert_int_equal(run_execute(&job, &limits, NULL, &counts), STATUS_OK);
    assert_int_equal(counts.frames, 0);
    assert_true(isnan(run_frame_error_rate(&counts)));
}

static void a_stopped_run_keeps_what_was_counted(void **state)
{
    (void)state;
    struct run_watch watch;
    run_watch_clear(&watch);
    struct coin coin = {.error_rate = 0.2, .frames_per_unit = 1, .stop_at_unit_20 = &watch};
    struct run_job job = coin_job(&coin);
    struct run_limits limits = limits_of(1000000, 0, 1);
    struct run_counts counts;
    assert_int_equal(run_execute(&job, &limits, &watch, &counts), STATUS_STOPPED);
    assert_int_equal(counts.frames, 21);
    assert_int_equal(counts.planned, 1000000);
    assert_int_equal(atomic_load(&watch.frames), 21);
    assert_int_equal(atomic_load(&watch.frame_errors), counts.frame_errors);
}

static void a_thread_without_memory_ends_the_run(void **state)
{
    (void)state;
    struct coin coin = {.error_rate = 0.2, .frames_per_unit = 1, .workers_that_fail = 1};
    struct run_job job = coin_job(&coin);
    struct run_limits limits = limits_of(100, 0, 3);
    struct run_counts counts;
    assert_int_equal(run_execute(&job, &limits, NULL, &counts), STATUS_NO_MEMORY);
}

static void impossible_limits_are_refused(void **state)
{
    (void)state;
    static const struct {
        struct run_limits limits;
        const char *place;
    } rows[] = {
        {{.frames = 0, .threads = 1, .part = 1, .parts = 1}, "--frames"},
        {{.frames = -5, .threads = 1, .part = 1, .parts = 1}, "--frames"},
        {{.frames = 1, .errors = -1, .threads = 1, .part = 1, .parts = 1}, "--errors"},
        {{.frames = 1, .threads = 0, .part = 1, .parts = 1}, "--threads"},
        {{.frames = 1, .threads = 257, .part = 1, .parts = 1}, "--threads"},
        {{.frames = 1, .threads = 1, .part = 3, .parts = 2}, "--part"},
        {{.frames = 1, .threads = 1, .part = 0, .parts = 2}, "--part"},
        {{.frames = 1, .threads = 1, .part = 1, .parts = 0}, "--part"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct fault fault;
        assert_int_equal(run_limits_check(&rows[i].limits, &fault), STATUS_OUT_OF_RANGE);
        assert_string_equal(fault.place, rows[i].place);
    }
    struct run_limits good = limits_of(1, 0, 1);
    assert_int_equal(run_limits_check(&good, NULL), STATUS_OK);
    assert_between(run_processors(), 1, RUN_THREADS_MAX, "this machine");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_same_seed_gives_the_same_counts_with_any_number_of_threads),
        cmocka_unit_test(another_seed_gives_other_counts),
        cmocka_unit_test(parts_add_up_to_the_whole),
        cmocka_unit_test(more_parts_than_units_leave_some_empty),
        cmocka_unit_test(a_stopped_run_keeps_what_was_counted),
        cmocka_unit_test(a_thread_without_memory_ends_the_run),
        cmocka_unit_test(impossible_limits_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
