/* Key press to redrawn grid, in processor time of the interface's own thread, and start to first
 * screen, by the clock on the wall. Budgets: 16 ms and 100 ms. Run from the build: the program to
 * start is the first argument, else build/guardspan. */
#define _DEFAULT_SOURCE
#include <poll.h>
#include <pty.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "explorer/frame/frame.h"
#include "explorer/run.h"

static double now_ms(clockid_t clock)
{
    struct timespec now;
    clock_gettime(clock, &now);
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
    printf("%-44s median %7.3f ms, worst of %d %7.3f ms, %5.1f %% of %g ms\n", what, ms[count / 2],
           count, ms[count - 1], 100.0 * ms[count / 2] / budget_ms, budget_ms);
}

#define PRESSES 200

static void bench_press(int rows, int columns, const char *before, const char *what)
{
    struct profile profile = {.scenario = scenario_default()};
    struct explorer *explorer = explorer_new(&profile, NULL);
    struct grid grid = {0};
    static double ms[PRESSES];
    if (!explorer) {
        return;
    }
    explorer->rows = rows;
    explorer->columns = columns;
    explorer_run_script(explorer, before);
    for (int i = 0; i < PRESSES; i++) {
        struct event event = event_key(i / 2 % 2 ? PRESS_LEFT : PRESS_RIGHT);
        double begin = now_ms(CLOCK_THREAD_CPUTIME_ID);
        explorer_run_event(explorer, &event, &grid);
        explorer_draw(explorer, &grid);
        ms[i] = now_ms(CLOCK_THREAD_CPUTIME_ID) - begin;
    }
    report(what, ms, PRESSES, 16.0);
    grid_free(&grid);
    explorer_free(explorer);
}

/* The time until the bottom line of the first screen has come through a pseudo terminal. */
static double first_screen_ms(const char *program)
{
    struct winsize size = {.ws_row = 24, .ws_col = 80};
    int terminal;
    double begin = now_ms(CLOCK_MONOTONIC);
    pid_t child = forkpty(&terminal, NULL, NULL, &size);
    if (child == 0) {
        setenv("TERM", "xterm-256color", 1);
        setenv("LC_ALL", "C.UTF-8", 1);
        execl(program, program, "explore", "profiles/echo-hill.ini", (char *)NULL);
        _exit(127);
    }
    char seen[65536];
    size_t length = 0;
    struct pollfd source = {.fd = terminal, .events = POLLIN};
    double ms = -1.0;
    while (ms < 0.0 && length + 1 < sizeof seen && poll(&source, 1, 5000) == 1) {
        ssize_t got = read(terminal, seen + length, sizeof seen - 1 - length);
        if (got <= 0) {
            break;
        }
        length += (size_t)got;
        seen[length] = '\0';
        if (strstr(seen, "prove")) {
            ms = now_ms(CLOCK_MONOTONIC) - begin;
        }
    }
    kill(child, SIGTERM);
    close(terminal);
    waitpid(child, NULL, 0);
    return ms;
}

#define STARTS 30

int main(int argc, char **argv)
{
    bench_press(24, 80, "Down", "guard interval stepped, delays, 80x24");
    bench_press(24, 80, "n Down", "guard interval stepped, Doppler, 80x24");
    bench_press(24, 80, "n n Down", "guard interval stepped, rate and SNR, 80x24");
    bench_press(60, 200, "p n Down", "guard interval stepped, two pictures, 200x60");
    bench_press(24, 80, "e 2 0 Enter a a a a a a m Down",
                "guard interval stepped, 6 echoes, 80x24");
    bench_press(24, 80, "e 2 0 Enter a a a a a a l a Wait",
                "power of a station stepped, 6 echoes, 80x24");
    double ms[STARTS];
    for (int i = 0; i < STARTS; i++) {
        ms[i] = first_screen_ms(argc > 1 ? argv[1] : "build/guardspan");
        if (ms[i] < 0.0) {
            fprintf(stderr, "bench_explorer: no first screen\n");
            return 1;
        }
    }
    report("start to first screen, 80x24", ms, STARTS, 100.0);
    return 0;
}
