/* Reading a log of times and SNRs, and how long each generation would have held. */
#include "study/reading/log.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "scenario/field.h"

/* ---- One line. ---- */

struct log_line {
    const char *at, *end;
    int number;
};

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r';
}

/* The next word up to a blank, a comma or a semicolon; a comma between digits is a decimal one. */
static size_t take_word(struct log_line *line, char *word, size_t size)
{
    size_t length = 0;
    while (line->at < line->end && (is_blank(*line->at) || strchr(",;|=", *line->at))) {
        line->at++;
    }
    while (line->at < line->end && !is_blank(*line->at) && !strchr(";|=", *line->at)) {
        bool decimal = *line->at == ',' && line->at + 1 < line->end && line->at[1] >= '0' &&
                       line->at[1] <= '9' && !strchr(word, ':') && !strchr(word, '.');
        if (*line->at == ',' && !decimal) {
            break;
        }
        if (length + 1 < size) {
            word[length++] = *line->at == ',' ? '.' : *line->at;
            word[length] = '\0';
        }
        line->at++;
    }
    word[length] = '\0';
    return length;
}

static bool two_digits(const char *at, double most, double *value)
{
    bool digits = at[0] >= '0' && at[0] <= '9' && at[1] >= '0' && at[1] <= '9';
    *value = digits ? (at[0] - '0') * 10.0 + (at[1] - '0') : NAN;
    return digits && *value <= most;
}

/* "20:15", "20:15:02.5" in seconds of the day. */
static bool read_clock(const char *word, double *seconds)
{
    double hours, minutes, rest = 0.0;
    size_t length = strlen(word);
    if (length < 5 || !two_digits(word, 23.0, &hours) || word[2] != ':' ||
        !two_digits(word + 3, 59.0, &minutes)) {
        return false;
    }
    bool to_seconds =
        word[5] == ':' && number_read_double(word + 6, &rest) && rest >= 0.0 && rest < 61.0;
    *seconds = hours * 3600.0 + minutes * 60.0 + rest;
    return word[5] == '\0' || to_seconds;
}

/* Days since 1970-03-01 of the calendar that all logs have: years begin in March, so that a leap
 * day is a year's last. */
static double day_number(int year, int month, int day)
{
    int y = month < 3 ? year - 1 : year, m = (month + 9) % 12;
    return 365.0 * (y - 1970) + floor(y / 4.0) - floor(y / 100.0) + floor(y / 400.0) +
           floor((153.0 * m + 2.0) / 5.0) + day;
}

/* "2026-03-01" in seconds; false: no date. */
static bool read_date(const char *word, double *seconds)
{
    double year_high, year_low, month, day;
    if (strlen(word) != 10 || word[4] != '-' || word[7] != '-' ||
        !two_digits(word, 99.0, &year_high) || !two_digits(word + 2, 99.0, &year_low) ||
        !two_digits(word + 5, 12.0, &month) || !two_digits(word + 8, 31.0, &day) || month < 1.0 ||
        day < 1.0) {
        return false;
    }
    *seconds = 86400.0 * day_number((int)(100.0 * year_high + year_low), (int)month, (int)day);
    return true;
}

/* A time of any of the three kinds; a date may be a word of its own, and may end in Z. */
static bool read_time(struct log_line *line, double *seconds)
{
    char word[48] = "";
    double clock = 0.0;
    size_t length = take_word(line, word, sizeof word);
    if (length > 0 && word[length - 1] == 'Z') {
        word[--length] = '\0';
    }
    char *parting = strchr(word, 'T');
    if (parting && length > 11 && parting == word + 10) {
        *parting = '\0';
        bool date = read_date(word, seconds), time = read_clock(parting + 1, &clock);
        *seconds += clock;
        return date && time;
    }
    if (read_date(word, seconds)) {
        length = take_word(line, word, sizeof word);
        word[length > 0 && word[length - 1] == 'Z' ? length - 1 : length] = '\0';
        *seconds += read_clock(word, &clock) ? clock : NAN;
        return isfinite(*seconds);
    }
    if (length > 1 && word[length - 1] == 's') {
        word[length - 1] = '\0';
    }
    return read_clock(word, seconds) || number_read_double(word, seconds);
}

static bool read_snr(struct log_line *line, double *db)
{
    char word[48] = "", unit[8];
    size_t length = take_word(line, word, sizeof word);
    for (const char *name = "dB"; length > 2 && strcmp(word + length - 2, name) == 0;) {
        word[length - 2] = '\0';
        length -= 2;
    }
    bool read = number_read_double(word, db);
    size_t more = take_word(line, unit, sizeof unit);
    return read && (more == 0 || strcmp(unit, "dB") == 0 || strcmp(unit, "db") == 0) &&
           take_word(line, unit, sizeof unit) == 0;
}

/* ---- All lines. ---- */

static enum status wrong_line(const struct log_line *line, enum status status, const char *allowed,
                              const char *wrong, struct fault *fault)
{
    char place[32];
    text_format(place, sizeof place, "line %d", line->number);
    return fault_set(fault, status, place, allowed, "%s", wrong);
}

static bool grow(double **values, size_t room)
{
    double *more = realloc(*values, room * sizeof *more);
    if (more == NULL) {
        return false;
    }
    *values = more;
    return true;
}

static bool add_reading(struct reading_log *log, double time_s, double snr_db)
{
    size_t count = log->count;
    if ((count & (count - 1)) == 0) {
        size_t room = count ? 2 * count : 16;
        if (!grow(&log->time_s, room) || !grow(&log->snr_db, room)) {
            return false;
        }
    }
    log->time_s[count] = time_s;
    log->snr_db[count] = snr_db;
    log->count++;
    return true;
}

/* Midnight lies between a clock that goes back by more than half a day. */
static double over_midnight(const struct reading_log *log, double time_s)
{
    double last_s = log->count > 0 ? log->time_s[log->count - 1] : time_s;
    return last_s - time_s > 43200.0 ? time_s + 86400.0 * ceil((last_s - time_s) / 86400.0)
                                     : time_s;
}

static enum status take_line(struct log_line *line, struct reading_log *log, struct fault *fault)
{
    static const char form[] = "a time and an SNR: \"12.5 24.3\", \"20:15:02 24.3 dB\"";
    const struct field *field = field_named("receiver.snr_db");
    double time_s, snr_db;
    if (!read_time(line, &time_s) || !read_snr(line, &snr_db)) {
        return wrong_line(line, STATUS_MALFORMED, form, "is no reading", fault);
    }
    if (snr_db < field->low || snr_db > field->high) {
        char allowed[48];
        text_format(allowed, sizeof allowed, "%g to %g dB", field->low, field->high);
        return wrong_line(line, STATUS_OUT_OF_RANGE, allowed, "has no possible SNR", fault);
    }
    time_s = over_midnight(log, time_s);
    if (log->count > 0 && time_s <= log->time_s[log->count - 1]) {
        return wrong_line(line, STATUS_OUT_OF_RANGE, "later than the line before",
                          "goes back in time", fault);
    }
    if (log->count >= LOG_READINGS_MAX) {
        return wrong_line(line, STATUS_OUT_OF_RANGE, "at most 1000000 readings", "is too much",
                          fault);
    }
    return add_reading(log, time_s, snr_db) ? STATUS_OK : fault_of_status(fault, STATUS_NO_MEMORY);
}

/* Words only, and first: "time, SNR". */
static bool is_heading(const struct log_line *line)
{
    for (const char *at = line->at; at < line->end; at++) {
        if (*at >= '0' && *at <= '9') {
            return false;
        }
    }
    return true;
}

static bool is_empty(const struct log_line *line)
{
    const char *at = line->at;
    while (at < line->end && is_blank(*at)) {
        at++;
    }
    return at == line->end;
}

enum status log_read(const char *bytes, size_t length, struct reading_log *log, struct fault *fault)
{
    *log = (struct reading_log){0};
    enum status status = STATUS_OK;
    const char *end = bytes + length;
    struct log_line line = {bytes, bytes, 0};
    for (const char *at = bytes; status == STATUS_OK && at < end;) {
        const char *stop = memchr(at, '\n', (size_t)(end - at));
        stop = stop ? stop : end;
        const char *comment = memchr(at, '#', (size_t)(stop - at));
        line = (struct log_line){at, comment ? comment : stop, line.number + 1};
        if (!is_empty(&line) && !(log->count == 0 && is_heading(&line))) {
            status = take_line(&line, log, fault);
        }
        at = stop + 1;
    }
    if (status == STATUS_OK && log->count < 2) {
        status = fault_set(fault, STATUS_MALFORMED, "", "a time and an SNR in each line",
                           "there are fewer than two readings");
    }
    if (status != STATUS_OK) {
        log_free(log);
        return status;
    }
    double first_s = log->time_s[0];
    for (size_t i = 0; i < log->count; i++) {
        log->time_s[i] -= first_s;
    }
    return STATUS_OK;
}

void log_free(struct reading_log *log)
{
    free(log->time_s);
    free(log->snr_db);
    *log = (struct reading_log){0};
}

/* ---- How long each held. ---- */

double log_span_s(const struct reading_log *log)
{
    return log->time_s[log->count - 1] * (double)log->count / (double)(log->count - 1);
}

enum status log_hold(const struct reading_log *log, const struct verdict *verdict,
                     struct log_held *held, struct fault *fault)
{
    *held = (struct log_held){.system = verdict->reception.system};
    enum status status = verdict_required_db(verdict, &held->needed_snr_db, fault);
    double span_s = log_span_s(log), held_s = 0.0, lost_s = 0.0;
    bool lost = false;
    for (size_t i = 0; i < log->count && status == STATUS_OK; i++) {
        double until_s = i + 1 < log->count ? log->time_s[i + 1] : span_s;
        double for_s = until_s - log->time_s[i];
        bool holds = log->snr_db[i] >= held->needed_snr_db;
        held->losses += !holds && !lost;
        lost_s = holds ? 0.0 : lost_s + for_s;
        held_s += holds ? for_s : 0.0;
        held->longest_loss_s = fmax(held->longest_loss_s, lost_s);
        lost = !holds;
    }
    held->share = held_s / span_s;
    return status;
}

static const struct figure rows[] = {
    {"needed_snr_db", "Needed SNR", FIGURE_AT(struct log_held, needed_snr_db, "dB", 1)},
    {"share", "Share of the time held", FIGURE_AT(struct log_held, share, "", 3)},
    {"losses", "Losses", FIGURE_WHOLE_AT(struct log_held, losses)},
    {"longest_loss_s", "Longest loss", FIGURE_AT(struct log_held, longest_loss_s, "s", 1)},
};
const struct figure_table log_figures = {rows, sizeof rows / sizeof rows[0]};

void log_write_words(const struct reading_log *log, const struct log_held held[GENERATION_COUNT],
                     struct text *out)
{
    text_printf(out, "%zu readings in %.4g s.", log->count, log_span_s(log));
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct log_held *one = &held[i];
        if (isinf(one->needed_snr_db)) {
            text_printf(out, " %s holds at no SNR in these conditions.", one->system->name);
            continue;
        }
        text_printf(out, " %s needs %.1f dB and would have held for %.1f %% of the time",
                    one->system->name, one->needed_snr_db, 100.0 * one->share);
        if (one->losses > 0.0) {
            text_printf(out, ", lost %.0f time%s, for %.3g s at the longest", one->losses,
                        one->losses > 1.0 ? "s" : "", one->longest_loss_s);
        }
        text_append(out, ".");
    }
}
