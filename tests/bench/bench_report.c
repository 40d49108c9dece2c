/* How long a report takes, inside the program and as a command from start to end.
 * Budgets: report under 50 ms, start to first output the same. */
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "command/command.h"
#include "study/report/report.h"

static double now_ms(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec * 1e3 + (double)time.tv_nsec * 1e-6;
}

static double in_program_ms(const char *format)
{
    enum { ROUNDS = 300 };
    char program[] = "guardspan", report[] = "report", option[] = "--format", value[16],
         profile[] = "profiles/mobile.ini";
    snprintf(value, sizeof value, "%s", format);
    char *argv[] = {program, report, option, value, profile, NULL};
    FILE *out = fopen("/dev/null", "w");
    if (!out) {
        return -1.0;
    }
    double begin = now_ms();
    for (int i = 0; i < ROUNDS; i++) {
        if (command_line_run(5, argv, out, stderr) != EXIT_DONE) {
            fclose(out);
            return -1.0;
        }
    }
    double each = (now_ms() - begin) / ROUNDS;
    fclose(out);
    return each;
}

static double as_process_ms(const char *program)
{
    enum { ROUNDS = 50 };
    fflush(NULL);
    double begin = now_ms();
    for (int i = 0; i < ROUNDS; i++) {
        pid_t child = fork();
        if (child == 0) {
            int nowhere = open("/dev/null", O_WRONLY);
            if (nowhere < 0 || dup2(nowhere, STDOUT_FILENO) < 0) {
                _exit(126);
            }
            execl(program, "guardspan", "report", "profiles/mobile.ini", (char *)NULL);
            _exit(127);
        }
        int status;
        if (child < 0 || waitpid(child, &status, 0) != child || status != 0) {
            return -1.0;
        }
    }
    return (now_ms() - begin) / ROUNDS;
}

static double modes_per_second(void)
{
    enum { ROUNDS = 20000 };
    struct scenario scenario = scenario_default();
    struct facts facts;
    double begin = now_ms();
    for (int i = 0; i < ROUNDS; i++) {
        scenario.transmission.plps[0].code.rate_15ths = RATE_MIN_15THS + i % RATE_COUNT;
        (void)system_of(&scenario, GENERATION_SECOND)
            ->describe(&scenario, PIPE_MOST_ROBUST, &facts, NULL);
    }
    return ROUNDS / ((now_ms() - begin) * 1e-3);
}

int main(int argc, char **argv)
{
    (void)argc;
    static const char *const forms[] = {"text", "json", "csv", "markdown"};
    for (size_t i = 0; i < 4; i++) {
        printf("report, %-9s in the program  %8.3f ms (budget 50 ms)\n", forms[i],
               in_program_ms(forms[i]));
    }
    /* BUILD/tests/bench/bench_report -> BUILD/guardspan */
    char path[512];
    snprintf(path, sizeof path, "%s", argv[0]);
    char *cut = strstr(path, "/tests/bench/");
    if (cut) {
        snprintf(cut, sizeof path - (size_t)(cut - path), "/guardspan");
        printf("report, process start to end   %8.3f ms (budget 50 ms)\n", as_process_ms(path));
    }
    printf("facts of the second generation %8.0f modes a second\n", modes_per_second());
    return 0;
}
