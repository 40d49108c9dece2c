/* The comparison sheet. Tables first, then two pictures that share what height is left. */
#include "present/paper/sheet.h"

#include <math.h>
#include <stdlib.h>

#include "present/paper/paper.h"

#define COLUMNS_MOST 3

struct column {
    const char *head;
    enum role role;
    const struct verdict *verdict;
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

static void tint_line(struct page *page, double height)
{
    cairo_set_source_rgb(page->sheet->pen, 0.94, 0.94, 0.94);
    cairo_rectangle(page->sheet->pen, page->inside.x, page->y, page->inside.width, height);
    cairo_fill(page->sheet->pen);
}

/* A line of the table: one text for each column. */
static void draw_cells(struct page *page, const char *label, char texts[][48], const char *unit,
                       bool tinted)
{
    struct sheet *sheet = page->sheet;
    double line = 1.12 * sheet_line_height(sheet, type_text), base = page->y + 0.74 * line;
    if (tinted) {
        tint_line(page, line);
    }
    sheet_write(sheet, type_text, page->inside.x + 0.3 * line, base, ANCHOR_LEFT, label);
    for (int i = 0; i < page->column_count; i++) {
        sheet_write(sheet, type_text, column_edge(page, i), base, ANCHOR_RIGHT, texts[i]);
    }
    sheet_write(sheet, type_text, column_edge(page, page->column_count - 1) + 0.5 * line, base,
                ANCHOR_LEFT, unit);
    page->y += line;
}

static void draw_table(struct page *page, const char *title, const struct figure_list *figures)
{
    struct type head = {9.5, true, ROLE_TITLE};
    double line = sheet_line_height(page->sheet, head);
    sheet_write(page->sheet, head, page->inside.x, page->y + 0.74 * line, ANCHOR_LEFT, title);
    draw_heads(page);
    for (size_t i = 0; i < figures->count; i++) {
        const struct figure *figure = figures->rows[i];
        char texts[COLUMNS_MOST][48];
        for (int c = 0; c < page->column_count; c++) {
            figure_text(figure, page->columns[c].verdict, texts[c], sizeof texts[c]);
        }
        draw_cells(page, figure->label, texts, figure->unit, i % 2 == 0);
    }
    page->y += 0.7 * line;
}

/* ---- PLPs: a line each, where there are several. ---- */

#define PLPS_MOST 8

static const struct {
    const char *figure, *head;
} plp_columns[] = {{"name", "PLP"},
                   {"layer", "Layer"},
                   {"constellation", "Constell."},
                   {"rate", "Code rate"},
                   {"net_mbps", "Mbit/s"},
                   {"receiver_snr_db", "Needs, dB"},
                   {"margin_db", "Margin, dB"},
                   {"works", "Decodes"}};
#define PLP_COLUMNS ((int)(sizeof plp_columns / sizeof plp_columns[0]))

/* Of one PLP, or the heads. */
static void draw_plp(struct page *page, const struct verdict *verdict, bool tinted)
{
    double line = 1.12 * sheet_line_height(page->sheet, type_text), left = 0.3 * line;
    double each = (page->inside.width - left) / PLP_COLUMNS;
    struct type type = {type_text.points, verdict == NULL,
                        verdict == NULL ? ROLE_SECOND : type_text.role};
    if (tinted) {
        tint_line(page, line);
    }
    for (int i = 0; i < PLP_COLUMNS; i++) {
        char text[48];
        text_format(text, sizeof text, "%s", plp_columns[i].head);
        if (verdict != NULL) {
            figure_text(figure_find(&generation_figures, plp_columns[i].figure), verdict, text,
                        sizeof text);
        }
        double x = page->inside.x + (i == 0 ? left : left + each * (i + 1));
        sheet_write(page->sheet, type, x, page->y + 0.74 * line,
                    i == 0 ? ANCHOR_LEFT : ANCHOR_RIGHT, text);
    }
    page->y += line;
}

static void draw_plps(struct page *page, const struct pipes *pipes)
{
    struct type head = {9.5, true, ROLE_TITLE};
    double line = sheet_line_height(page->sheet, head);
    char more[64];
    if (pipes->count == 0) {
        return;
    }
    sheet_write(page->sheet, head, page->inside.x, page->y + 0.74 * line, ANCHOR_LEFT, "PLPs");
    page->y += line;
    draw_plp(page, NULL, false);
    for (int i = 0; i < pipes->count && i < PLPS_MOST; i++) {
        draw_plp(page, &pipes->verdicts[i], i % 2 == 0);
    }
    if (pipes->count > PLPS_MOST) {
        text_format(more, sizeof more, "and %d more", pipes->count - PLPS_MOST);
        sheet_write(page->sheet, type_text, page->inside.x, page->y + 0.74 * line, ANCHOR_LEFT,
                    more);
        page->y += line;
    }
    page->y += 0.7 * line;
}

/* "RF channel 9, 189.000 MHz, high VHF, 6 MHz wide". */
static void write_channel(struct page *page, const char *before, const struct report_rf *rf)
{
    struct text line = {0};
    text_append(&line, before);
    report_words_rf(rf, &line);
    text_printf(&line, ", %d MHz wide", rf->bandwidth_mhz);
    page->y += sheet_write_wrapped(page->sheet, type_text, page->inside.x, page->y,
                                   page->inside.width, text_string(&line), true);
    text_free(&line);
}

static void draw_title(struct page *page, const struct picture_case *shown)
{
    const struct report *report = shown->report;
    const struct verdict *verdicts = report->verdicts.of;
    struct text words = {0};
    struct type title = {14.0, true, ROLE_TITLE};
    const char *first = verdicts[GENERATION_FIRST].reception.system->name;
    const char *second = verdicts[GENERATION_SECOND].reception.system->name;
    if (page->column_count > 2) {
        text_printf(&words, "Two %s modes beside %s", second, first);
    } else {
        text_printf(&words, "%s and %s side by side", first, second);
    }
    page->y += sheet_write_wrapped(page->sheet, title, page->inside.x, page->y, page->inside.width,
                                   text_string(&words), true);
    write_channel(page, "", &report->rf);
    if (shown->pinned && shown->pinned->rf.center_mhz != report->rf.center_mhz) {
        char name[64];
        text_format(name, sizeof name, "%s: ", page->columns[2].head);
        write_channel(page, name, &shown->pinned->rf);
    }
    text_clear(&words);
    verdict_words(&report->verdicts, &words);
    page->y += sheet_write_wrapped(page->sheet, type_text, page->inside.x, page->y,
                                   page->inside.width, text_string(&words), true);
    text_free(&words);
    page->y += 2.0 * page->sheet->scale;
}

/* What the systems say of their figures, and what holds for all. */
static void write_assumptions(const struct report *report, struct text *out)
{
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct system *system = report->verdicts.of[i].reception.system;
        text_printf(out, "%s: %s ", system->name, system->assumes);
    }
    text_append(out,
                "Field strength outdoors at half of the locations, planning factors of FCC OET "
                "Bulletin 69. A planning aid, not a measurement: local rules and a licensed "
                "engineer decide.");
}

static enum status draw_kind(struct page *page, const char *kind, const struct picture_case *shown,
                             double height, struct fault *fault)
{
    struct picture picture;
    if (!picture_kind_make(picture_kind_find(kind), shown, &picture)) {
        return fault_set(fault, STATUS_NO_MEMORY, "", NULL, "%s", status_message(STATUS_NO_MEMORY));
    }
    picture.note[0] = '\0'; /* said once for the whole page */
    struct box box = {page->inside.x, page->y, page->inside.width, height};
    sheet_draw_picture(page->sheet, &picture, box);
    picture_free(&picture);
    page->y += height;
    return STATUS_OK;
}

static enum status draw_pictures(struct page *page, const struct picture_case *shown,
                                 struct fault *fault)
{
    struct text assumptions = {0};
    write_assumptions(shown->report, &assumptions);
    double notes = sheet_write_wrapped(page->sheet, type_small, 0.0, 0.0, page->inside.width,
                                       text_string(&assumptions), false);
    double bottom = page->inside.y + page->inside.height - notes;
    double height = (bottom - page->y) / 2.0;
    enum status status = draw_kind(page, "delays", shown, height, fault);
    if (status == STATUS_OK) {
        status = draw_kind(page, "rate", shown, height, fault);
    }
    if (status == STATUS_OK) {
        sheet_write_wrapped(page->sheet, type_small, page->inside.x, bottom, page->inside.width,
                            text_string(&assumptions), true);
    }
    text_free(&assumptions);
    return status;
}

static void fill_columns(const struct picture_case *shown, struct page *page)
{
    static const enum role roles[] = {ROLE_FIRST, ROLE_SECOND};
    for (int i = 0; i < GENERATION_COUNT; i++) {
        page->columns[i] = (struct column){picture_case_name(shown, (enum generation)i), roles[i],
                                           &shown->report->verdicts.of[i]};
    }
    page->column_count = GENERATION_COUNT;
    if (shown->pinned) {
        page->columns[page->column_count++] =
            (struct column){picture_case_pinned_name(shown), ROLE_PINNED,
                            &shown->pinned->verdicts.of[GENERATION_SECOND]};
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
        struct figure_list choices = figures_of_choice(), compared = figures_compared();
        draw_table(&page, "Settings", &choices);
        draw_table(&page, "Figures", &compared);
        struct pipes pipes = picture_case_pipes(shown);
        draw_plps(&page, &pipes);
        status = draw_pictures(&page, shown, fault);
    }
    if (status == STATUS_OK) {
        status = sheet_save(&sheet, path, fault);
    }
    sheet_close(&sheet);
    return status;
}
