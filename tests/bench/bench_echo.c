/* Echo studies: the whole answer, its parts, and an echo slid in the explorer. Budgets: `echo`
 * 100 ms, a slide 30 ms. */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "base/random.h"
#include "explorer/frame/frame.h"
#include "explorer/run.h"
#include "study/verdict/verdict.h"

static double now_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return 1e3 * (double)now.tv_sec + 1e-6 * (double)now.tv_nsec;
}

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void report(const char *what, double *ms, int count, double budget_ms)
{
    qsort(ms, (size_t)count, sizeof *ms, compare);
    printf("%-52s median %7.3f ms, worst of %d %7.3f ms, %5.1f %% of %g ms\n", what, ms[count / 2],
           count, ms[count - 1], 100.0 * ms[count / 2] / budget_ms, budget_ms);
}

static struct scenario scenario_of(int echoes, double step, double doppler_hz)
{
    struct scenario scenario = scenario_default();
    struct random random = random_seeded(1, 0);
    scenario.echo_count = echoes;
    scenario.receiver.snr_db = 22.0;
    scenario.first.adaptation_step = step;
    for (int i = 0; i < echoes; i++) {
        scenario.echoes[i] = (struct echo){.delay_us = 60.0 * random_uniform(&random) - 20.0,
                                           .level_db = -6.0 - 14.0 * random_uniform(&random),
                                           .phase_deg = 360.0 * random_uniform(&random),
                                           .doppler_hz = i < 2 ? doppler_hz : 0.0};
        snprintf(scenario.echo_names[i], sizeof scenario.echo_names[i], "%d", i + 1);
    }
    return scenario;
}

#define RUNS 60

static void bench_study(const char *what, int echoes, double step, double doppler_hz)
{
    static struct verdicts study;
    static double ms[RUNS];
    struct scenario scenario = scenario_of(echoes, step, doppler_hz);
    for (int i = 0; i < RUNS; i++) {
        double begin = now_ms();
        if (verdicts_make(&scenario, &study, NULL) != STATUS_OK) {
            printf("%s: no answer\n", what);
            return;
        }
        ms[i] = now_ms() - begin;
    }
    report(what, ms, RUNS, 100.0);
}

static void bench_slide(const char *what, int rows, int columns, struct scenario scenario)
{
    struct profile profile = {.scenario = scenario};
    struct explorer *explorer = explorer_new(&profile, NULL);
    struct grid grid = {0};
    static double ms[RUNS];
    if (!explorer) {
        return;
    }
    explorer->rows = rows;
    explorer->columns = columns;
    explorer_run_script(explorer, "e");
    explorer_draw(explorer, &grid);
    for (int i = 0; i < RUNS; i++) {
        struct event event = event_key(PRESS_RIGHT);
        double begin = now_ms();
        explorer_run_event(explorer, &event, &grid);
        explorer_draw(explorer, &grid);
        ms[i] = now_ms() - begin;
    }
    report(what, ms, RUNS, 30.0);
    grid_free(&grid);
    explorer_free(explorer);
}

int main(void)
{
    bench_study("study, no echo", 0, 0.0, 0.0);
    bench_study("study, 6 echoes at rest", 6, 0.0, 0.0);
    bench_study("study, 6 echoes, 2 of them move", 6, 0.0, 2.0);
    bench_study("study, 6 echoes, 2 move, adapting equaliser", 6, 0.05, 2.0);
    bench_study("study, 256 echoes at rest", 256, 0.0, 0.0);
    bench_slide("slide, 6 echoes at rest, 80x24", 24, 80, scenario_of(6, 0.0, 0.0));
    bench_slide("slide, 6 echoes at rest, 200x60", 60, 200, scenario_of(6, 0.0, 0.0));
    bench_slide("slide, 6 echoes, 2 move, adapting, 80x24", 24, 80, scenario_of(6, 0.05, 2.0));
    struct scenario wide = scenario_of(6, 0.0, 0.0);
    wide.first.equaliser_before_us = wide.first.equaliser_after_us = 50.0;
    bench_slide("slide, 6 echoes, reaches of 50 us, 80x24", 24, 80, wide);
    return 0;
}
