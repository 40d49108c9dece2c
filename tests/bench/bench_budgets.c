/* What the questions cost that users ask, of one processor: each against its budget, against what
 * it would cost to ask naively (position by position, mode by mode), and how the cost grows.
 * Measured in processor time, so that other work on the machine matters little; decides nothing.
 *
 * Growth is an exponent: 0, the cost does not depend on the number; 1, it is proportional. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "command/command.h"
#include "present/picture/pictures.h"

#define WORDS_MAX 64
#define LINE_MAX_BYTES 2048
#define ROUNDS 3

static double now_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return 1e3 * (double)now.tv_sec + 1e-6 * (double)now.tv_nsec;
}

/* Runs a command line, its words apart by '|'; NAN where it fails. */
static double run_ms(const char *line, FILE *out)
{
    char words[LINE_MAX_BYTES], program[] = "guardspan", *argv[WORDS_MAX] = {program};
    int argc = 1;
    snprintf(words, sizeof words, "%s", line);
    for (char *rest, *word = strtok_r(words, "|", &rest); word && argc + 1 < WORDS_MAX;
         word = strtok_r(NULL, "|", &rest)) {
        argv[argc++] = word;
    }
    double begin_ms = now_ms();
    enum exit_status status = command_line_run(argc, argv, out, stderr);
    return status == EXIT_DONE ? now_ms() - begin_ms : NAN;
}

/* The least of some rounds: what disturbs only adds. */
static double cost_ms(const char *line, int rounds)
{
    double least_ms = NAN;
    FILE *out = fopen("/dev/null", "w");
    for (int round = 0; out && round < rounds; round++) {
        least_ms = fmin(least_ms, run_ms(line, out));
    }
    if (out) {
        fclose(out);
    }
    return least_ms;
}

/* `count` echoes, 2 us and 1 dB apart, their phases unknown. */
static void add_echoes(char *line, size_t size, int count)
{
    for (int i = 1; i <= count; i++) {
        size_t used = strlen(line);
        snprintf(line + used, size - used,
                 "|--set|echo e%d.delay_us=%d|--set|echo e%d.level_db=-%d", i, 2 * i, i, 5 + i);
    }
}

static void add_services(char *line, size_t size, int count)
{
    for (int i = 1; i <= count; i++) {
        size_t used = strlen(line);
        snprintf(line + used, size - used,
                 "|--set|service s%d.rate_mbps=%d|--set|service s%d.snr_db=%d", i, i, i, 2 + 6 * i);
    }
}

static double cost_with(const char *command, int echoes, int positions)
{
    char line[LINE_MAX_BYTES];
    snprintf(line, sizeof line, "%s|--set|receiver.snr_db=22|--set|receiver.positions=%d", command,
             positions);
    add_echoes(line, sizeof line, echoes);
    return cost_ms(line, ROUNDS);
}

/* Of three echoes the last turns, and the taps learn: each position's lag would be followed. */
static double moving_ms(const char *command, int positions)
{
    char line[LINE_MAX_BYTES];
    snprintf(line, sizeof line,
             "%s|--set|receiver.snr_db=22|--set|receiver.positions=%d|--set|"
             "first.adaptation_step=0.05",
             command, positions);
    add_echoes(line, sizeof line, 3);
    strncat(line, "|--set|echo e3.doppler_hz=1", sizeof line - strlen(line) - 1);
    return cost_ms(line, ROUNDS);
}

static double divide_ms(int services)
{
    char line[LINE_MAX_BYTES] = "divide";
    add_services(line, sizeof line, services);
    return cost_ms(line, ROUNDS);
}

static double growth(double few_ms, double many_ms, double times)
{
    return log(many_ms / few_ms) / log(times);
}

static void row(const char *question, double ms, double budget_ms, double naive_ms,
                const char *grows)
{
    char ratio[32] = "-";
    if (isfinite(naive_ms)) {
        snprintf(ratio, sizeof ratio, "1/%.0f", naive_ms / ms);
    }
    printf("| %-38s | %8.1f ms | %5.0f ms | %4.0f %% | %9s | %s |\n", question, ms, budget_ms,
           100.0 * ms / budget_ms, ratio, grows);
    fflush(stdout);
}

static void positions_row(const char *command, double budget_ms)
{
    char question[64], grows[96];
    double ms = cost_with(command, 3, 256), one_ms = cost_with(command, 3, 1);
    snprintf(question, sizeof question, "%s, 3 echoes, 256 positions", command);
    snprintf(grows, sizeof grows, "positions %.1f, echoes %.1f",
             growth(ms, cost_with(command, 3, 1024), 4.0),
             growth(cost_with(command, 2, 256), cost_with(command, 8, 256), 4.0));
    row(question, ms, budget_ms, 256.0 * one_ms, grows);
}

static void moving_row(const char *command, double budget_ms)
{
    char question[64], grows[96];
    double ms = moving_ms(command, 256);
    snprintf(question, sizeof question, "%s, an echo turns, taps learn", command);
    snprintf(grows, sizeof grows, "positions %.1f", growth(ms, moving_ms(command, 1024), 4.0));
    row(question, ms, budget_ms, 256.0 * moving_ms(command, 1), grows);
}

/* The receiver moves through a field of waves. */
static void on_the_way_row(const char *command, double budget_ms)
{
    char line[LINE_MAX_BYTES], question[64], grows[96];
    double ms[3];
    static const int positions[] = {256, 1024, 1};
    for (int i = 0; i < 3; i++) {
        snprintf(line, sizeof line,
                 "%s|--set|receiver.snr_db=22|--set|receiver.speed_kmh=20|--set|"
                 "receiver.positions=%d",
                 command, positions[i]);
        add_echoes(line, sizeof line, 3);
        ms[i] = cost_ms(line, ROUNDS);
    }
    snprintf(question, sizeof question, "%s, the receiver moves", command);
    snprintf(grows, sizeof grows, "positions %.1f", growth(ms[0], ms[1], 4.0));
    row(question, ms[0], budget_ms, 256.0 * ms[2], grows);
}

/* Transmitters beyond the equaliser's reach, in the way whatever the SNR. */
static void late_row(const char *command, double budget_ms)
{
    char line[LINE_MAX_BYTES], question[64];
    double ms[2];
    for (int i = 0; i < 2; i++) {
        snprintf(line, sizeof line,
                 "%s|profiles/single-frequency-network.ini|--set|receiver.positions=%d", command,
                 i == 0 ? 256 : 1);
        ms[i] = cost_ms(line, ROUNDS);
    }
    snprintf(question, sizeof question, "%s, a network beyond the reach", command);
    row(question, ms[0], budget_ms, 256.0 * ms[1], "-");
}

enum { MODES = 243000, DVB_MODES = 22848 };

/* All modes of a pair where the profile has it. */
static void weigh_profile_row(const char *question, const char *profile, int modes)
{
    char weigh[LINE_MAX_BYTES], report[LINE_MAX_BYTES];
    snprintf(weigh, sizeof weigh, "weigh|--margin-at-least|0|--top|1|profiles/%s.ini", profile);
    snprintf(report, sizeof report, "report|profiles/%s.ini", profile);
    row(question, cost_ms(weigh, ROUNDS), 1000.0, modes * cost_ms(report, ROUNDS), "-");
}

static void weigh_rows(void)
{
    char grows[96];
    double plain_ms = cost_ms("weigh|--top|1", ROUNDS);
    row("weigh, all modes, no echoes", plain_ms, 100.0, MODES * cost_ms("report", ROUNDS), "-");
    double ms = cost_with("weigh|--margin-at-least|0|--top|1", 1, 256);
    snprintf(grows, sizeof grows, "echoes %.1f",
             growth(ms, cost_with("weigh|--margin-at-least|0|--top|1", 4, 256), 4.0));
    row("weigh, all modes, an echo of any phase", ms, 1000.0, MODES * cost_with("echo", 1, 256),
        grows);
    weigh_profile_row("weigh, late echoes, DVB", "dvb-network", DVB_MODES);
    weigh_profile_row("weigh, late echoes", "single-frequency-network", MODES);
    weigh_profile_row("weigh, slowly turning rays", "portable-indoor", MODES);
    weigh_profile_row("weigh, in motion", "mobile", MODES);
}

static void divide_row(void)
{
    char grows[96];
    double ms = divide_ms(3);
    snprintf(grows, sizeof grows, "services %.1f", growth(divide_ms(2), ms, 1.5));
    row("divide, three services", ms, 1000.0, NAN, grows);
}

/* Pictures of stations want some. */
static const char *profile_of(const char *picture)
{
    static const struct {
        const char *begins, *profile;
    } stations[] = {{"field", "|profiles/shared-tower.ini"},
                    {"reach", "|profiles/shared-tower.ini"},
                    {"plan", "|profiles/shared-tower.ini"},
                    {"network", "|profiles/single-frequency-network.ini"}};
    for (size_t i = 0; i < sizeof stations / sizeof stations[0]; i++) {
        if (strncmp(picture, stations[i].begins, strlen(stations[i].begins)) == 0) {
            return stations[i].profile;
        }
    }
    return "";
}

static void draw_rows(void)
{
    const char *folder = getenv("TMPDIR");
    char line[LINE_MAX_BYTES], path[256], question[64];
    snprintf(path, sizeof path, "%s/guardspan-bench.svg", folder ? folder : "/tmp");
    for (size_t i = 0; i <= picture_kind_count(); i++) {
        const char *name = i < picture_kind_count() ? picture_kind_row(i)->name : "sheet";
        bool of_log = i < picture_kind_count() && picture_kind_row(i)->reads_log;
        snprintf(line, sizeof line, "draw|%s|-o|%s%s|--set|receiver.snr_db=22", name, path,
                 of_log ? "|--readings|demo/readings/a-hand-and-the-wind.txt" : "");
        add_echoes(line, sizeof line, 1);
        if (strcmp(name, "divide") == 0) {
            add_services(line, sizeof line, 2);
        }
        const char *profile = profile_of(name);
        strncat(line, profile, sizeof line - strlen(line) - 1);
        snprintf(question, sizeof question, "draw %s", name);
        row(question, cost_ms(line, 1), 1000.0, NAN, "-");
    }
    remove(path);
}

int main(void)
{
    printf("| question | cost | budget | share | to naive | grows with |\n"
           "| --- | --- | --- | --- | --- | --- |\n");
    positions_row("report", 100.0);
    positions_row("echo", 100.0);
    moving_row("report", 100.0);
    moving_row("echo", 100.0);
    late_row("report", 100.0);
    late_row("echo", 100.0);
    on_the_way_row("report", 100.0);
    on_the_way_row("echo", 100.0);
    weigh_rows();
    divide_row();
    draw_rows();
    return 0;
}
