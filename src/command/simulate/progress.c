/* The line of progress. A line wider than the terminal would wrap, and the next one could no longer
 * take its place. */
#include <string.h>

#include "command/simulate/simulate.h"

#define BAR_COLUMNS 20

/* How much of the line is written, most first. */
static const struct detail {
    int bar_columns;
    bool bit_rate, rate;
} details[] = {
    {BAR_COLUMNS, true, true},
    {BAR_COLUMNS / 2, true, true},
    {BAR_COLUMNS / 2, false, true},
    {0, false, true},
    {0, false, false},
};

/* Share of the point's work that is done, by whichever limit is nearer. */
static double share_done(const struct simulate_progress *progress)
{
    const struct run_limits *limits = progress->task->limits;
    double by_frames = (double)progress->frames * limits->parts / (double)limits->frames;
    double by_errors = limits->errors > 0
                           ? (double)progress->errors * limits->parts / (double)limits->errors
                           : 0.0;
    double share = by_frames > by_errors ? by_frames : by_errors;
    return share < 1.0 ? share : 1.0;
}

static size_t append_bar(char *line, size_t size, int columns, double share)
{
    char bar[BAR_COLUMNS + 1];
    for (int i = 0; i < columns; i++) {
        bar[i] = i < (int)(share * columns) ? '#' : '.';
    }
    bar[columns] = '\0';
    return columns > 0 ? text_format(line, size, " [%s]", bar) : 0;
}

/* Other SNRs may take far longer or shorter: the time is told for this one only. */
static size_t append_left(char *line, size_t size, double elapsed_s, double share)
{
    double left_s = share > 0.0 ? elapsed_s * (1.0 - share) / share : -1.0;
    return left_s < 0.0     ? text_format(line, size, "; - left at this SNR")
           : left_s < 1e4   ? text_format(line, size, "; %.0f s left at this SNR", left_s)
           : left_s < 3.6e6 ? text_format(line, size, "; %.0f h left at this SNR", left_s / 3600.0)
                            : text_format(line, size, "; over 1000 h left at this SNR");
}

static void format_with(const struct simulate_progress *progress, const struct detail *detail,
                        char *line, size_t size)
{
    const struct simulate_task *task = progress->task;
    const struct scenario *scenario = &task->invocation->profile.scenario;
    double share = share_done(progress);
    double elapsed_s = progress->elapsed_s > 1e-3 ? progress->elapsed_s : 1e-3;
    size_t used = text_format(line, size, "%d of %d: %.*f dB", task->point, task->points,
                              task->decimals, task->snr_db);
    used += append_bar(line + used, size - used, detail->bar_columns, share);
    used += text_format(line + used, size - used, " %ld, %ld wrong", progress->frames,
                        progress->errors);
    if (detail->rate) {
        used += text_format(line + used, size - used, "; %.0f %s/s",
                            (double)progress->frames / elapsed_s,
                            proof_simulation(scenario, task->choice)->count.frames);
    }
    if (detail->bit_rate) {
        used += text_format(line + used, size - used, ", %.1f Mbit/s",
                            (double)progress->bits / elapsed_s * 1e-6);
    }
    append_left(line + used, size - used, elapsed_s, share);
}

void simulate_progress_format(const struct simulate_progress *progress, int columns, char *line,
                              size_t size)
{
    size_t most = (size_t)columns < size ? (size_t)columns : size - 1;
    for (size_t i = 0; i < sizeof details / sizeof details[0]; i++) {
        format_with(progress, &details[i], line, size);
        if (strlen(line) <= most) {
            return;
        }
    }
    line[most] = '\0';
}
