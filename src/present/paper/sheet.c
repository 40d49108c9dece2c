/* The comparison sheet. Tables first, then two pictures that share what height is left. */
#include "present/paper/sheet.h"

#include <math.h>
#include <stdlib.h>

#include "present/paper/paper.h"

#define COLUMNS_MOST 3

/* A row of the table: the same quantity of each column, by the figures' names; NULL: none. */
struct sheet_row {
    const char *label, *first, *second;
};

static const struct sheet_row settings[] = {
    {"FFT size", NULL, "fft"},
    {"Guard interval", NULL, "guard"},
    {"Pilots", NULL, "pilots"},
    {"Pilot boost", NULL, "boost"},
    {"Carrier reduction", NULL, "reduction"},
    {"Code length", NULL, "length"},
    {"Code rate", NULL, "rate"},
    {"Constellation", NULL, "constellation"},
};

static const struct sheet_row figures[] = {
    {"Net rate", "net_mbps", "net_mbps"},
    {"Required SNR (receiver)", "required_snr_db", "receiver_snr_db"},
    {"Margin, noise alone", "margin_noise_db", "margin_noise_db"},
    {"Margin, with echoes and motion", "margin_db", "margin_db"},
    {"Echo ahead", "echo_before_us", "echo_us"},
    {"Echo behind", "echo_after_us", "echo_us"},
    {"Longer path", "echo_km", "echo_km"},
    {"Doppler", "doppler_hz", "doppler_hz"},
    {"Speed", "speed_kmh", "speed_kmh"},
    {"Field strength", "field_dbuvm", "field_dbuvm"},
};

#define COUNT(rows) (sizeof(rows) / sizeof(rows)[0])

struct column {
    const char *head;
    enum role role;
    enum figure_part part;
    const struct report *report;
};

struct page {
    struct sheet *sheet;
    struct box inside;
    double y; /* the next free height */
    int column_count;
    struct column columns[COLUMNS_MOST];
};

/* Right edge of a column: the label takes what three columns and the unit leave. */
static double column_edge(const struct page *page, int column)
{
    double unit = 0.10 * page->inside.width, each = 0.22 * page->inside.width;
    return page->inside.x + page->inside.width - unit - each * (page->column_count - 1 - column);
}

static void draw_heads(struct page *page)
{
    double line = sheet_line_height(page->sheet, type_text), gap = 0.25 * line;
    for (int i = 0; i < page->column_count; i++) {
        struct type head = {type_text.points, true, page->columns[i].role};
        double right = column_edge(page, i), left = right - 0.20 * page->inside.width;
        char text[64];
        size_t length = text_format(text, sizeof text, "%s", page->columns[i].head);
        while (head.points > 6.0 && sheet_text_width(page->sheet, head, text) > right - left) {
            head.points -= 0.5;
        }
        while (length > 3 && sheet_text_width(page->sheet, head, text) > right - left) {
            length =
                text_format(text, sizeof text, "%.*s..", (int)length - 3, page->columns[i].head);
        }
        sheet_write(page->sheet, head, right, page->y + 0.74 * line, ANCHOR_RIGHT, text);
        sheet_line_style(page->sheet, page->columns[i].role, 0.6);
        sheet_line(page->sheet, left, page->y + line + 0.5 * gap, right,
                   page->y + line + 0.5 * gap);
    }
    page->y += line + gap;
}

/* A line of the table: one text for each column. */
static void draw_cells(struct page *page, const char *label, char texts[][48], const char *unit,
                       bool tinted)
{
    struct sheet *sheet = page->sheet;
    double line = 1.12 * sheet_line_height(sheet, type_text), base = page->y + 0.74 * line;
    if (tinted) {
        cairo_set_source_rgb(sheet->pen, 0.94, 0.94, 0.94);
        cairo_rectangle(sheet->pen, page->inside.x, page->y, page->inside.width, line);
        cairo_fill(sheet->pen);
    }
    sheet_write(sheet, type_text, page->inside.x + 0.3 * line, base, ANCHOR_LEFT, label);
    for (int i = 0; i < page->column_count; i++) {
        sheet_write(sheet, type_text, column_edge(page, i), base, ANCHOR_RIGHT, texts[i]);
    }
    sheet_write(sheet, type_text, column_edge(page, page->column_count - 1) + 0.5 * line, base,
                ANCHOR_LEFT, unit);
    page->y += line;
}

static void draw_row(struct page *page, const struct sheet_row *row, bool tinted)
{
    const char *unit = "";
    char texts[COLUMNS_MOST][48];
    for (int i = 0; i < page->column_count; i++) {
        const struct column *column = &page->columns[i];
        const char *name = column->part == FIGURE_FIRST ? row->first : row->second;
        const struct figure_row *figure = name ? figure_find(column->part, name) : NULL;
        text_format(texts[i], sizeof texts[i], "-");
        if (figure) {
            figure_words(figure, column->report, texts[i], sizeof texts[i]);
            unit = figure->unit;
        }
    }
    draw_cells(page, row->label, texts, unit, tinted);
}

static void draw_table(struct page *page, const char *title, const struct sheet_row *rows,
                       size_t count)
{
    struct type head = {9.5, true, ROLE_TITLE};
    double line = sheet_line_height(page->sheet, head);
    sheet_write(page->sheet, head, page->inside.x, page->y + 0.74 * line, ANCHOR_LEFT, title);
    draw_heads(page);
    bool tinted = true;
    for (size_t i = 0; i < count; i++, tinted = !tinted) {
        draw_row(page, &rows[i], tinted);
    }
    page->y += 0.7 * line;
}

static void draw_title(struct page *page, const struct picture_case *shown)
{
    const struct report *report = shown->report;
    char line[160], channel[32] = "";
    struct type title = {14.0, true, ROLE_TITLE};
    page->y += sheet_write_wrapped(page->sheet, title, page->inside.x, page->y, page->inside.width,
                                   page->column_count > 2 ? "Two OFDM modes beside 8-VSB"
                                                          : "8-VSB and OFDM side by side",
                                   true);
    if (report->rf.channel) {
        text_format(channel, sizeof channel, "RF channel %d, ", report->rf.channel);
    }
    text_format(line, sizeof line, "%s%.3f MHz, %s, %d MHz wide", channel, report->rf.center_mhz,
                band_name(report->rf.band),
                report->second.transmission.subframes[0].waveform.bandwidth_mhz);
    page->y += sheet_write_wrapped(page->sheet, type_text, page->inside.x, page->y,
                                   page->inside.width, line, true);
    if (shown->pinned && shown->pinned->rf.center_mhz != report->rf.center_mhz) {
        text_format(line, sizeof line, "%s: %.3f MHz, %s, %d MHz wide", page->columns[2].head,
                    shown->pinned->rf.center_mhz, band_name(shown->pinned->rf.band),
                    shown->pinned->second.transmission.subframes[0].waveform.bandwidth_mhz);
        page->y += sheet_write_wrapped(page->sheet, type_text, page->inside.x, page->y,
                                       page->inside.width, line, true);
    }
    page->y += 2.0 * page->sheet->scale;
}

static const char assumptions[] =
    "Required SNR in a channel without echoes. OFDM bears without loss the echoes that fit, ahead "
    "and behind together, into the guard interval; 8-VSB's figures are the reach of its receiver's "
    "equaliser, and an echo within costs SNR. Field strength outdoors at half of the locations, "
    "planning factors of FCC OET Bulletin 69. A planning aid, not a measurement: local rules and a "
    "licensed engineer decide.";

static enum status draw_pictures(struct page *page, const struct picture_case *shown,
                                 struct fault *fault)
{
    static const char *const kinds[] = {"delays", "rate"};
    double notes = sheet_write_wrapped(page->sheet, type_small, 0.0, 0.0, page->inside.width,
                                       assumptions, false);
    double bottom = page->inside.y + page->inside.height - notes;
    double height = (bottom - page->y) / 2.0;
    for (int i = 0; i < 2; i++) {
        struct picture picture;
        if (!picture_kind_make(picture_kind_find(kinds[i]), shown, &picture)) {
            return fault_set(fault, STATUS_NO_MEMORY, "", NULL, "%s",
                             status_message(STATUS_NO_MEMORY));
        }
        picture.note[0] = '\0'; /* said once for the whole page */
        struct box box = {page->inside.x, page->y, page->inside.width, height};
        sheet_draw_picture(page->sheet, &picture, box);
        picture_free(&picture);
        page->y += height;
    }
    sheet_write_wrapped(page->sheet, type_small, page->inside.x, bottom, page->inside.width,
                        assumptions, true);
    return STATUS_OK;
}

static void fill_columns(const struct picture_case *shown, struct page *page)
{
    page->columns[0] = (struct column){"8-VSB", ROLE_FIRST, FIGURE_FIRST, shown->report};
    page->columns[1] = (struct column){shown->name ? shown->name : "OFDM", ROLE_SECOND,
                                       FIGURE_SECOND, shown->report};
    page->column_count = 2;
    if (shown->pinned) {
        page->columns[page->column_count++] =
            (struct column){shown->pinned_name ? shown->pinned_name : "pinned", ROLE_PINNED,
                            FIGURE_SECOND, shown->pinned};
    }
}

enum status comparison_sheet_draw(const struct picture_case *shown, const struct paper *paper,
                                  const char *path, struct fault *fault)
{
    if (!(paper->width_mm >= COMPARISON_LEAST_MM) || !(paper->height_mm >= COMPARISON_LEAST_MM)) {
        return fault_set(fault, STATUS_OUT_OF_RANGE,
                         paper->width_mm >= COMPARISON_LEAST_MM ? "height" : "width",
                         "120 to 1200 mm for a sheet", "%g is out of range",
                         fmin(paper->width_mm, paper->height_mm));
    }
    struct sheet sheet;
    enum status status = sheet_open(paper, "Transmission modes compared", &sheet, fault);
    if (status == STATUS_OK) {
        /* Type for a page of 210 x 297 mm; both sides count. */
        sheet.scale = fmin(3.0, fmin(paper->width_mm / 200.0, paper->height_mm / 285.0));
        double margin = 12.0 * sheet.scale;
        struct page page = {.sheet = &sheet};
        page.inside = (struct box){margin, margin, paper->width_mm - 2.0 * margin,
                                   paper->height_mm - 2.0 * margin};
        page.y = page.inside.y;
        fill_columns(shown, &page);
        draw_title(&page, shown);
        draw_table(&page, "Settings", settings, COUNT(settings));
        draw_table(&page, "Figures", figures, COUNT(figures));
        status = draw_pictures(&page, shown, fault);
    }
    if (status == STATUS_OK) {
        status = sheet_save(&sheet, path, fault);
    }
    sheet_close(&sheet);
    return status;
}
