/* guardspan draw: figures for a memo, a slide or a wall. */
#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/file.h"
#include "base/number.h"
#include "command/commands.h"
#include "command/complete.h"
#include "present/paper/sheet.h"
#include "system/system.h"

static const struct option_row options[] = {
    {"-o", "FILE", "where to, its ending says the kind: .svg, .png or .pdf"},
    {"--against", "PROFILE",
     "another profile whose mode stands beside it, in delays, "
     "doppler, rate, frontier, best and sheet"},
    {"--readings", "FILE", "times and SNRs, a reading a line, for readings"},
    {"--title", "WORDS", "title of a sheet (the profile's name); its date is today's"},
    {"--zoom", "FROM:TO", "only this part of the horizontal axis, in its unit"},
    {"--for", "page|slide|screen",
     "page: 160 x 100 mm, 200 dpi; slide: for a projector, 1920 x 1080 dots, larger letters; "
     "screen: 1280 x 720 dots"},
    {"--width", "MM", "width of the figure (as --for says; sheet: 210)"},
    {"--height", "MM", "height of the figure (as --for says; sheet: 297)"},
    {"--dpi", "N", "dots per inch of a PNG (as --for says)"},
    {0},
};

/* What is drawn: the profile's case and, with --against, another's. */
struct drawing {
    struct picture_case shown;
    struct report report, other_report;
    struct pipes pipes;
    struct profile other;
    struct reading_log log;
    const char *other_path; /* NULL: none */
    char name[40], other_name[40], title[120], date[16];
    struct paper paper;
    struct stretch stretch;
    const char *path;
};

/* Where a figure is to be looked at. Width and height times dpi are the dots of a PNG; letters grow
 * with the distance that they are read from. */
static const struct {
    const char *name;
    struct paper paper;
} purposes[] = {
    {"page", {PAPER_SVG, 160.0, 100.0, PAPER_DPI_DEFAULT, 1.0}},
    {"slide", {PAPER_SVG, 254.0, 142.875, 192.0, 1.3}},
    {"screen", {PAPER_SVG, 203.2, 114.3, 160.0, 1.15}},
};
#define PURPOSE_COUNT (sizeof purposes / sizeof purposes[0])
static const struct paper sheet_paper = {PAPER_SVG, 210.0, 297.0, PAPER_DPI_DEFAULT, 1.0};

/* All kinds, or those alone that show two modes. */
static void list_kinds(bool comparing, char *buffer, size_t size)
{
    size_t used = 0;
    for (size_t i = 0; i < picture_kind_count(); i++) {
        const struct picture_kind *kind = picture_kind_row(i);
        if (kind->compares || !comparing) {
            used += text_format(buffer + used, size - used, "%s ", kind->name);
        }
    }
    text_format(buffer + used, size - used, "sheet");
}

static enum exit_status read_number(const struct invocation *invocation, const char *option,
                                    const char *allowed, double *value)
{
    const char *given = invocation_option(invocation, option);
    if (given && !number_read_double(given, value)) {
        return invocation_refuse(invocation, option, allowed, "\"%s\" is not a number", given);
    }
    return EXIT_DONE;
}

static enum exit_status read_purpose(const struct invocation *invocation, bool sheet,
                                     struct paper *paper)
{
    const char *wanted = invocation_option(invocation, "--for");
    *paper = sheet ? sheet_paper : purposes[0].paper;
    if (!wanted) {
        return EXIT_DONE;
    }
    if (sheet) {
        return invocation_refuse(invocation, "--for", "--width and --height",
                                 "a sheet is a page, whatever it is for");
    }
    for (size_t i = 0; i < PURPOSE_COUNT; i++) {
        if (strcmp(purposes[i].name, wanted) == 0) {
            *paper = purposes[i].paper;
            return EXIT_DONE;
        }
    }
    return invocation_refuse(invocation, "--for", "page slide screen",
                             "\"%s\" is nothing that a figure can be for", wanted);
}

/* "0:2.5" */
static enum exit_status read_zoom(const struct invocation *invocation, bool sheet,
                                  struct stretch *stretch)
{
    const char *given = invocation_option(invocation, "--zoom");
    char from[64];
    const char *to = given ? strchr(given, ':') : NULL;
    if (!given) {
        return EXIT_DONE;
    }
    if (sheet) {
        return invocation_refuse(invocation, "--zoom", "a kind with one axis",
                                 "a sheet has several axes");
    }
    text_format(from, sizeof from, "%.*s", to ? (int)(to - given) : 0, given);
    if (!to || !number_read_double(from, &stretch->low) ||
        !number_read_double(to + 1, &stretch->high) || !(stretch->high > stretch->low)) {
        return invocation_refuse(invocation, "--zoom", "FROM:TO, such as -0.5:2",
                                 "\"%s\" is no part of an axis", given);
    }
    return EXIT_DONE;
}

/* Size, resolution and kind of file. */
static enum exit_status read_paper(const struct invocation *invocation, bool sheet,
                                   struct drawing *drawing)
{
    struct fault fault = {0};
    drawing->path = invocation_option(invocation, "-o");
    enum exit_status result = read_purpose(invocation, sheet, &drawing->paper);
    if (result != EXIT_DONE) {
        return result;
    }
    if (!drawing->path || !drawing->path[0]) {
        return invocation_refuse(invocation, "-o", "-o FILE, ending in .svg, .png or .pdf",
                                 "is missing");
    }
    if (paper_kind_from_path(drawing->path, &drawing->paper.kind, &fault) != STATUS_OK) {
        return invocation_refuse(invocation, "-o", fault.allowed, "%s", fault.wrong);
    }
    result = read_number(invocation, "--width", "40 to 1200 mm", &drawing->paper.width_mm);
    if (result == EXIT_DONE) {
        result = read_number(invocation, "--height", "40 to 1200 mm", &drawing->paper.height_mm);
    }
    if (result == EXIT_DONE) {
        result = read_number(invocation, "--dpi", "36 to 1200", &drawing->paper.dots_per_inch);
    }
    if (result == EXIT_DONE) {
        result = read_zoom(invocation, sheet, &drawing->stretch);
    }
    if (result == EXIT_DONE && paper_check(&drawing->paper, &fault) != STATUS_OK) {
        char option[40];
        text_format(option, sizeof option, "--%s", fault.place);
        result = invocation_refuse(invocation, option, fault.allowed, "%s", fault.wrong);
    }
    return result;
}

/* A path's last part without its ending, for labels. */
static void name_file(const char *path, char *buffer, size_t size)
{
    const char *slash = path ? strrchr(path, '/') : NULL;
    const char *name = !path ? "defaults" : slash && slash[1] ? slash + 1 : path;
    const char *dot = strrchr(name, '.');
    text_format(buffer, size, "%.*s", dot && dot != name ? (int)(dot - name) : 1000, name);
}

static enum exit_status make_reports(const struct invocation *invocation,
                                     const struct picture_kind *kind, struct drawing *drawing)
{
    struct fault fault = {0};
    const struct scenario *scenario = &invocation->profile.scenario;
    bool described = kind && kind->described;
    if ((described ? report_describe : report_make)(scenario, &drawing->report, &fault) !=
        STATUS_OK) {
        return invocation_fault(invocation, &fault);
    }
    const struct system *second = system_of(scenario, GENERATION_SECOND);
    if (!described && second->pipes != NULL && second->pipes(scenario) > 1 &&
        pipes_make(scenario, GENERATION_SECOND, &drawing->pipes, &fault) != STATUS_OK) {
        return invocation_fault(invocation, &fault);
    }
    drawing->shown = (struct picture_case){.scenario = scenario,
                                           .report = &drawing->report,
                                           .pipes = &drawing->pipes,
                                           .stretch = drawing->stretch};
    drawing->other_path = invocation_option(invocation, "--against");
    if (!drawing->other_path) {
        return EXIT_DONE;
    }
    if (profile_read_file(drawing->other_path, &drawing->other, &fault) != STATUS_OK ||
        report_make(&drawing->other.scenario, &drawing->other_report, &fault) != STATUS_OK) {
        return invocation_fault_in(invocation, drawing->other_path, &fault);
    }
    name_file(invocation->profile_path, drawing->name, sizeof drawing->name);
    name_file(drawing->other_path, drawing->other_name, sizeof drawing->other_name);
    drawing->shown.name = drawing->name;
    drawing->shown.pinned = &drawing->other_report;
    drawing->shown.pinned_name = drawing->other_name;
    return EXIT_DONE;
}

/* "2024-05-31", by the clock or, for pages that must not differ, by SOURCE_DATE_EPOCH. */
static void tell_date(char *buffer, size_t size)
{
    const char *epoch = getenv("SOURCE_DATE_EPOCH");
    int seconds;
    bool said = epoch && number_read_int(epoch, &seconds);
    time_t now = said ? (time_t)seconds : time(NULL);
    struct tm day;
    buffer[0] = '\0';
    if (said ? gmtime_r(&now, &day) : localtime_r(&now, &day)) {
        strftime(buffer, size, "%Y-%m-%d", &day);
    }
}

/* What heads a sheet. */
static void make_heading(const struct invocation *invocation, struct drawing *drawing)
{
    const char *given = invocation_option(invocation, "--title");
    if (given) {
        text_format(drawing->title, sizeof drawing->title, "%s", given);
    } else {
        name_file(invocation->profile_path, drawing->title, sizeof drawing->title);
    }
    bool named = given || invocation->profile_path;
    drawing->shown.title = named && drawing->title[0] ? drawing->title : NULL;
    tell_date(drawing->date, sizeof drawing->date);
    drawing->shown.date = drawing->date;
}

/* What a picture lacks that shows nothing without an SNR; NULL: something else. */
static const char *lacks(const struct picture_kind *kind, const struct report *report)
{
    bool unknown = kind->takes_snr;
    for (int i = 0; unknown && i < GENERATION_COUNT; i++) {
        unknown = isnan(report->verdicts.of[i].conditions.snr_db);
    }
    return unknown ? "it takes an SNR: measured, from a level (receiver.level_dbm), or a station's"
                   : NULL;
}

static enum exit_status draw(const struct invocation *invocation, const struct picture_kind *kind,
                             const struct drawing *drawing)
{
    struct fault fault = {0};
    enum status status = STATUS_OK;
    if (!kind) {
        status = comparison_sheet_draw(&drawing->shown, &drawing->paper, drawing->path, &fault);
    } else {
        struct picture picture;
        if (!picture_kind_make(kind, &drawing->shown, &picture)) {
            if (errno == ENOMEM) {
                fault_of_status(&fault, STATUS_NO_MEMORY);
            } else {
                fault_set(&fault, STATUS_NO_SOLUTION, "", lacks(kind, drawing->shown.report),
                          "there is nothing to draw: %s", kind->help);
            }
            return invocation_fault(invocation, &fault);
        }
        status = picture_draw_paper(&picture, &drawing->paper, drawing->path, &fault);
        picture_free(&picture);
    }
    if (status == STATUS_OUT_OF_RANGE) {
        char option[140];
        text_format(option, sizeof option, "--%s", fault.place);
        return invocation_refuse(invocation, option, fault.allowed, "%s", fault.wrong);
    }
    return status == STATUS_OK ? EXIT_DONE : invocation_fault_in(invocation, drawing->path, &fault);
}

/* What was asked for must show: an option without effect is refused. */
static enum exit_status check_wishes(const struct invocation *invocation,
                                     const struct picture_kind *kind)
{
    const char *name = invocation->operands[0];
    char kinds[256];
    if (!kind && strcmp(name, "sheet") != 0) {
        list_kinds(false, kinds, sizeof kinds);
        return invocation_refuse(invocation, "KIND", kinds, "\"%s\" is no kind of figure", name);
    }
    if (kind && !kind->compares && invocation_option(invocation, "--against")) {
        list_kinds(true, kinds, sizeof kinds);
        return invocation_refuse(invocation, "--against", kinds, "%s shows one mode only", name);
    }
    bool of_log = kind && kind->reads_log, given = invocation_option(invocation, "--readings");
    if (of_log != given) {
        return invocation_refuse(invocation, "--readings", "draw readings --readings FILE",
                                 of_log ? "readings are drawn from a log" : "%s shows no log",
                                 name);
    }
    if (kind && invocation_option(invocation, "--title")) {
        return invocation_refuse(invocation, "--title", "draw sheet",
                                 "a picture has its own title");
    }
    if (invocation->format != FORMAT_TEXT) {
        return invocation_refuse(invocation, "--format",
                                 "-o FILE, ending in .svg, .png or .pdf, tells the form",
                                 "a figure has no such form");
    }
    return EXIT_DONE;
}

static enum exit_status read_log(const struct invocation *invocation, struct drawing *drawing)
{
    const char *path = invocation_option(invocation, "--readings");
    struct text bytes = {0};
    struct fault fault = {0};
    enum status status = path ? file_read(path, LOG_BYTES_MAX, &bytes, &fault) : STATUS_OK;
    if (path && status == STATUS_OK) {
        status = log_read(text_string(&bytes), bytes.length, &drawing->log, &fault);
        drawing->shown.readings = &drawing->log;
    }
    text_free(&bytes);
    return status == STATUS_OK ? EXIT_DONE : invocation_fault_in(invocation, path, &fault);
}

static enum exit_status run(struct invocation *invocation)
{
    const struct picture_kind *kind = picture_kind_find(invocation->operands[0]);
    struct drawing drawing = {0};
    enum exit_status result = check_wishes(invocation, kind);
    if (result == EXIT_DONE) {
        result = read_paper(invocation, !kind, &drawing);
    }
    if (result == EXIT_DONE) {
        result = make_reports(invocation, kind, &drawing);
    }
    if (result == EXIT_DONE) {
        make_heading(invocation, &drawing);
        result = read_log(invocation, &drawing);
    }
    if (result == EXIT_DONE) {
        result = draw(invocation, kind, &drawing);
    }
    pipes_free(&drawing.pipes);
    log_free(&drawing.log);
    profile_free(&drawing.other);
    return result;
}

/* The sheet is no picture, and last. */
static const char sheet_help[] = "one page: verdicts, settings, PLPs, figures, account, delays";

static void tell_kinds(struct text *out)
{
    text_append(out, "KIND is\n");
    for (size_t i = 0; i < picture_kind_count(); i++) {
        const struct picture_kind *kind = picture_kind_row(i);
        text_printf(out, "  %-9s  %s\n", kind->name, kind->help);
    }
    text_printf(out, "  %-9s  %s\n", "sheet", sheet_help);
}

static void offer_kinds(const char *option, struct text *offers)
{
    for (size_t i = 0; i < picture_kind_count() && !option; i++) {
        offer_word(offers, picture_kind_row(i)->name, picture_kind_row(i)->help);
    }
    if (!option) {
        offer_word(offers, "sheet", sheet_help);
    }
}

const struct command command_draw = {
    .name = "draw",
    .operands = "KIND [PROFILE] -o FILE",
    .summary = "draw a figure: SVG, PNG or PDF",
    .options = options,
    .operands_before_profile = 1,
    .takes_profile = 1,
    .list = tell_kinds,
    .offer = offer_kinds,
    .notes = "Example: guardspan draw sheet -o compared.pdf",
    .run = run,
};
