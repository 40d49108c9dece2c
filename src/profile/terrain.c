/* Reading height profiles: each line is looked at whole, and the first wrong one is told. */
#define _DEFAULT_SOURCE /* realpath. NOLINT(bugprone-reserved-identifier) */
#include "profile/terrain.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/file.h"
#include "base/number.h"
#include "base/text.h"
#include "scenario/section.h"

#define HEIGHT_LOW_M (-500.0) /* below every shore of a dead sea, above every summit */
#define HEIGHT_HIGH_M 9000.0

static enum status wrong_line(int line, enum status status, const char *allowed, const char *wrong,
                              struct fault *fault)
{
    char place[32];
    text_format(place, sizeof place, "line %d", line);
    return fault_set(fault, status, place, allowed, "%s", wrong);
}

/* What separates two numbers: one comma or semicolon at most, and blanks. */
static const char *after_gap(const char *at, const char *end)
{
    int marks = 0;
    while (at < end && strchr(" \t\r,;", *at) && marks < 2) {
        marks += *at == ',' || *at == ';';
        at++;
    }
    return marks < 2 ? at : NULL;
}

static const char *take_number(const char *at, const char *end, double *number)
{
    char word[32];
    size_t length = 0;
    while (at < end && !strchr(" \t\r,;", *at)) {
        if (length + 1 == sizeof word) {
            return NULL;
        }
        word[length++] = *at++;
    }
    word[length] = '\0';
    return length > 0 && number_read_double(word, number) ? at : NULL;
}

/* The line has more than blanks. */
static bool read_pair(const char *at, const char *end, double *km, double *m)
{
    at = take_number(at + strspn(at, " \t"), end, km);
    at = at ? after_gap(at, end) : NULL;
    at = at ? take_number(at, end, m) : NULL;
    return at && after_gap(at, end) == end;
}

/* No digit in it. */
static bool is_heading(const char *at, const char *end)
{
    while (at < end && (*at < '0' || *at > '9')) {
        at++;
    }
    return at == end;
}

static enum status take_line(const char *at, const char *end, int line, struct terrain *terrain,
                             struct fault *fault)
{
    double km, m;
    if (!read_pair(at, end, &km, &m)) {
        return wrong_line(line, STATUS_MALFORMED, "distance in km and height in m: \"1.5 212\"",
                          "is not a distance and a height", fault);
    }
    if (!(km >= 0.0 && km <= DISTANCE_MAX_KM)) {
        return wrong_line(line, STATUS_OUT_OF_RANGE, "0 to 1000 km", "is no possible distance",
                          fault);
    }
    if (!(m >= HEIGHT_LOW_M && m <= HEIGHT_HIGH_M)) {
        return wrong_line(line, STATUS_OUT_OF_RANGE, "-500 to 9000 m over the sea",
                          "is no possible height", fault);
    }
    if (terrain->count == 0 && km != 0.0) {
        return wrong_line(line, STATUS_ILLEGAL, "0 km first, the ground at the station",
                          "does not begin at the station", fault);
    }
    if (terrain->count > 0 && !((float)km > terrain->km[terrain->count - 1])) {
        return wrong_line(line, STATUS_ILLEGAL, "distances that grow from line to line",
                          "is no farther than the line before", fault);
    }
    if (terrain->count == TERRAIN_POINTS_MAX) {
        return wrong_line(line, STATUS_OUT_OF_RANGE, "at most 1000 points: take every second one",
                          "is one point too many", fault);
    }
    terrain->km[terrain->count] = (float)km;
    terrain->m[terrain->count++] = (float)m;
    return STATUS_OK;
}

/* A byte that no line of text has; the ends of words are sought among others. */
static bool is_binary(const char *bytes, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        char byte = bytes[i];
        if (byte == 0x7F || (byte >= 0 && byte < ' ' && byte != '\t' && byte != '\r')) {
            return true;
        }
    }
    return false;
}

static enum status read_lines(const char *bytes, size_t length, struct terrain *terrain,
                              struct fault *fault)
{
    const char *end = bytes + length;
    int line = 1;
    for (const char *at = bytes; at < end; line++) {
        const char *feed = memchr(at, '\n', (size_t)(end - at));
        const char *stop = feed ? feed : end;
        const char *comment = memchr(at, '#', (size_t)(stop - at));
        const char *to = comment ? comment : stop;
        if (is_binary(at, (size_t)(to - at))) {
            return wrong_line(line, STATUS_MALFORMED, "a text file", "is not text", fault);
        }
        bool empty = after_gap(at, to) == to;
        if (!empty && !(terrain->count == 0 && is_heading(at, to))) {
            enum status status = take_line(at, to, line, terrain, fault);
            if (status != STATUS_OK) {
                return status;
            }
        }
        at = stop + 1;
    }
    return terrain->count >= 2 ? STATUS_OK
                               : fault_set(fault, STATUS_MALFORMED, "",
                                           "a distance in km and a height in m in each line",
                                           "there are fewer than two points");
}

enum status terrain_read_text(const char *bytes, size_t length, struct terrain *terrain,
                              struct fault *fault)
{
    struct terrain *read = calloc(1, sizeof *read);
    if (read == NULL) {
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    enum status status = read_lines(bytes, length, read, fault);
    if (status == STATUS_OK) {
        *terrain = *read;
    }
    free(read);
    return status;
}

/* ---- Files. ---- */

/* A pipe or a terminal would keep the program waiting. */
static enum status read_regular(const char *path, struct text *text, struct fault *fault)
{
    struct stat about;
    if (stat(path, &about) != 0) {
        return fault_set(fault, STATUS_UNREADABLE, "", NULL, "cannot be read: %s", strerror(errno));
    }
    if (!S_ISREG(about.st_mode)) {
        return fault_set(fault, STATUS_UNREADABLE, "", "a text file", "is not a regular file");
    }
    return file_read(path, TERRAIN_BYTES_MAX, text, fault);
}

static enum status read_file(const char *path, struct terrain *terrain, struct fault *fault)
{
    struct text text = {0};
    enum status status = read_regular(path, &text, fault);
    if (status == STATUS_OK) {
        status = terrain_read_text(text_string(&text), text.length, terrain, fault);
    }
    text_free(&text);
    return status;
}

/* "station NAME.terrain: hill.txt:12: ..." */
static enum status station_fault(const struct station *station, const struct fault *cause,
                                 struct fault *fault)
{
    char place[NAME_MAX_BYTES + 24];
    text_format(place, sizeof place, "station %s.terrain", station->name);
    bool at_line = strncmp(cause->place, "line ", 5) == 0;
    return fault_set(fault, cause->status, place, cause->allowed, "%s%s%s%s %s",
                     station->terrain_file, at_line ? ":" : "",
                     at_line ? cause->place + strlen("line ") : "", at_line ? ":" : "",
                     cause->wrong);
}

static void append_path(struct text *path, const char *file, const char *profile)
{
    const char *slash = profile && file[0] != '/' ? strrchr(profile, '/') : NULL;
    if (slash) {
        text_append_bytes(path, profile, (size_t)(slash - profile) + 1);
    }
    text_append(path, file);
}

static enum status fetch(struct station *station, const char *profile, struct fault *fault)
{
    struct text path = {0};
    struct fault cause = {0};
    append_path(&path, station->terrain_file, profile);
    enum status status = path.failed ? fault_of_status(&cause, STATUS_NO_MEMORY)
                                     : read_file(text_string(&path), &station->terrain, &cause);
    text_free(&path);
    if (status != STATUS_OK) {
        return station_fault(station, &cause, fault);
    }
    memcpy(station->terrain_read, station->terrain_file, sizeof station->terrain_read);
    return STATUS_OK;
}

enum status terrain_fetch(struct scenario *scenario, const char *profile, struct fault *fault)
{
    for (int i = 0; i < scenario->station_count; i++) {
        struct station *station = &scenario->stations[i];
        if (station->terrain_file[0] == '\0') {
            station->terrain.count = 0;
            station->terrain_read[0] = '\0';
        } else if (strcmp(station->terrain_file, station->terrain_read) != 0) {
            enum status status = fetch(station, profile, fault);
            if (status != STATUS_OK) {
                return status;
            }
        }
    }
    return STATUS_OK;
}

void terrain_leave(struct scenario *scenario)
{
    for (int i = 0; i < scenario->station_count; i++) {
        struct station *station = &scenario->stations[i];
        memcpy(station->terrain_read, station->terrain_file, sizeof station->terrain_read);
        station->terrain.count = 0;
    }
}

void terrain_name_whole(struct scenario *scenario, const char *profile)
{
    for (int i = 0; i < scenario->station_count; i++) {
        struct station *station = &scenario->stations[i];
        struct text path = {0};
        append_path(&path, station->terrain_file, profile);
        char *whole = station->terrain_file[0] ? realpath(text_string(&path), NULL) : NULL;
        if (whole && section_text_is_usable(whole, PATH_MAX_BYTES)) {
            memset(station->terrain_file, 0, sizeof station->terrain_file);
            text_format(station->terrain_file, sizeof station->terrain_file, "%s", whole);
            memcpy(station->terrain_read, station->terrain_file, sizeof station->terrain_read);
        }
        free(whole);
        text_free(&path);
    }
}
