/* A log of readings as a picture: the SNR as steps, and a line for what each generation needs. */
#include "present/picture/pictures_log.h"

#include <math.h>

#include "study/reading/log.h"

#define STEPS_MOST 4000 /* of more readings each step shows the least of several */

static bool add_steps(const struct reading_log *log, struct picture *out)
{
    size_t each = (log->count + STEPS_MOST - 1) / STEPS_MOST;
    size_t count = (log->count + each - 1) / each;
    struct series *series = picture_add_series(out, SERIES_STEPS, ROLE_PLAIN, "SNR", count + 1);
    if (!series) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        series->x[i] = log->time_s[i * each];
        series->y[i] = log->snr_db[i * each];
        for (size_t j = i * each; j < (i + 1) * each && j < log->count; j++) {
            series->y[i] = fmin(series->y[i], log->snr_db[j]);
        }
        out->y.low = fmin(out->y.low, series->y[i] - 1.0);
        out->y.high = fmax(out->y.high, series->y[i] + 1.0);
    }
    series->x[count] = log_span_s(log);
    series->y[count] = series->y[count - 1];
    return true;
}

bool pictures_log_readings(const struct picture_case *shown, struct picture *out)
{
    const struct reading_log *log = shown->readings;
    struct text words = {0};
    struct log_held held[GENERATION_COUNT];
    if (!log) {
        return false;
    }
    text_format(out->title, sizeof out->title, "Readings over time, and what is needed");
    out->x = (struct axis){.label = "time", .unit = "s", .high = log_span_s(log)};
    out->y = (struct axis){.label = "SNR", .unit = "dB", .low = INFINITY, .high = -INFINITY};
    bool made = add_steps(log, out);
    for (int i = 0; i < GENERATION_COUNT && made; i++) {
        char label[64];
        made = log_hold(log, &shown->report->verdicts.of[i], &held[i], NULL) == STATUS_OK;
        if (made && isfinite(held[i].needed_snr_db)) {
            text_format(label, sizeof label, "%s: %.1f %%", held[i].system->name,
                        100.0 * held[i].share);
            picture_add_mark(out, role_of_generation((enum generation)i), label, false,
                             held[i].needed_snr_db);
            out->y.low = fmin(out->y.low, held[i].needed_snr_db - 1.0);
            out->y.high = fmax(out->y.high, held[i].needed_snr_db + 1.0);
        }
    }
    if (made) {
        log_write_words(log, held, &words);
        text_format(out->note, sizeof out->note, "%s", text_string(&words));
        made = !words.failed;
    }
    text_free(&words);
    return made;
}
