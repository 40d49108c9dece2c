#ifndef STUDY_READING_LOG_H
#define STUDY_READING_LOG_H

#include "base/text.h"
#include "study/figure.h"
#include "study/verdict/verdict.h"

/* A log of readings: the SNR at a receiver as a hand or the wind changes it, held against what both
 * generations need. A line has a time and an SNR: seconds ("12.5"), a clock ("20:15:02.5") or a
 * date with one ("2026-03-01T20:15:02"); then dB, with or without the unit, with a point or a
 * comma. What follows '#' is a comment; a first line of words is a heading. */

#define LOG_READINGS_MAX 1000000
#define LOG_BYTES_MAX 50000000

struct reading_log {
    size_t count;
    double *time_s; /* from the first reading on, ascending; owned, as is the next */
    double *snr_db;
};

/* Faults name the line: STATUS_MALFORMED, STATUS_OUT_OF_RANGE, also for times that go back and for
 * fewer than two readings; STATUS_NO_MEMORY. */
enum status log_read(const char *bytes, size_t length, struct reading_log *log,
                     struct fault *fault);
void log_free(struct reading_log *log);

/* How one generation would have held. A reading holds until the next one; the last as long as the
 * others on the average. */
struct log_held {
    const struct system *system;
    double needed_snr_db; /* under the scenario's echoes and motion; INFINITY: no SNR suffices */
    double share;         /* of the time, 0 to 1 */
    double losses;        /* how often it was lost */
    double longest_loss_s;
};
enum status log_hold(const struct reading_log *log, const struct verdict *verdict,
                     struct log_held *held, struct fault *fault);
extern const struct figure_table log_figures; /* of struct log_held */

/* "8-VSB would have held for 62 % of the 120 s, ..." */
void log_write_words(const struct reading_log *log, const struct log_held held[GENERATION_COUNT],
                     struct text *out);

/* From the first reading to the end of the last, and the SNR that half of the time was exceeded. */
double log_span_s(const struct reading_log *log);

#endif
