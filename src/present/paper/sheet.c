/* The comparison sheet. Words and tables first, then pictures that share what height is left. */
#include "present/paper/sheet.h"
#include "physics/air/noise.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

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

static void draw_heads(struct page *page, int from)
{
    double line = sheet_line_height(page->sheet, type_text), gap = 0.25 * line;
    for (int i = from; i < page->column_count; i++) {
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
static void draw_cells(struct page *page, int from, const char *label, char texts[][48],
                       const char *unit, bool tinted)
{
    struct sheet *sheet = page->sheet;
    double line = 1.12 * sheet_line_height(sheet, type_text), base = page->y + 0.74 * line;
    if (tinted) {
        tint_line(page, line);
    }
    sheet_write(sheet, type_text, page->inside.x + 0.3 * line, base, ANCHOR_LEFT, label);
    for (int i = from; i < page->column_count; i++) {
        sheet_write(sheet, type_text, column_edge(page, i), base, ANCHOR_RIGHT, texts[i]);
    }
    sheet_write(sheet, type_text, column_edge(page, page->column_count - 1) + 0.5 * line, base,
                ANCHOR_LEFT, unit);
    page->y += line;
}

/* Texts of a row, from a column on. False where some column has nothing to tell that another has:
 * what only one of them has is no comparison. Without an SNR a margin says so. */
static bool fill_row(const struct page *page, int from, const struct figure *figure,
                     char texts[][48])
{
    int told = 0, silent = 0;
    for (int c = from; c < page->column_count; c++) {
        const struct verdict *verdict = page->columns[c].verdict;
        figure_text(figure, verdict, texts[c], sizeof texts[c]);
        bool none = strcmp(texts[c], "-") == 0;
        told += !none;
        silent += none && verdict->known;
    }
    for (int c = from; c < page->column_count && told > 0; c++) {
        if (strcmp(texts[c], "-") == 0 && !page->columns[c].verdict->known) {
            text_format(texts[c], sizeof texts[c], "no SNR");
        }
    }
    return told == 0 || silent == 0;
}

static void write_head(struct page *page, const char *title)
{
    struct type head = {9.5, true, ROLE_TITLE};
    sheet_write(page->sheet, head, page->inside.x,
                page->y + 0.74 * sheet_line_height(page->sheet, head), ANCHOR_LEFT, title);
}

static double section_gap(const struct page *page)
{
    return 0.6 * sheet_line_height(page->sheet, type_text);
}

static void draw_table(struct page *page, int from, const char *title,
                       const struct figure_list *figures)
{
    bool tinted = true;
    write_head(page, title);
    draw_heads(page, from);
    for (size_t i = 0; i < figures->count; i++) {
        const struct figure *figure = figures->rows[i];
        char texts[COLUMNS_MOST][48];
        if (fill_row(page, from, figure, texts)) {
            draw_cells(page, from, figure_label(figure, page->columns[from].verdict), texts,
                       figure->unit, tinted);
            tinted = !tinted;
        }
    }
    page->y += section_gap(page);
}

#define SETTINGS_BESIDE 4

/* Of one mode alone: its values side by side, each below its name; not what its system does not
 * have, and nothing where nothing can be chosen. */
static void draw_settings(struct page *page, int column, const struct figure_list *settings)
{
    struct sheet *sheet = page->sheet;
    double small = sheet_line_height(sheet, type_small), line = sheet_line_height(sheet, type_text);
    double width = page->inside.width / SETTINGS_BESIDE;
    char title[64];
    text_format(title, sizeof title, "Settings of %s", page->columns[column].head);
    write_head(page, title);
    page->y += 1.3 * line;
    size_t told = 0;
    for (size_t i = 0; i < settings->count; i++) {
        const struct figure *figure = settings->rows[i];
        char text[48];
        figure_text(figure, page->columns[column].verdict, text, sizeof text);
        if (strcmp(text, "-") == 0) {
            continue;
        }
        if (told > 0 && told % SETTINGS_BESIDE == 0) {
            page->y += small + 1.1 * line;
        }
        double x = page->inside.x + 0.3 * line + width * (double)(told++ % SETTINGS_BESIDE);
        sheet_write(sheet, (struct type){type_small.points, false, ROLE_DIM}, x,
                    page->y + 0.74 * small, ANCHOR_LEFT, figure->label);
        sheet_write(sheet, type_text, x, page->y + small + 0.74 * line, ANCHOR_LEFT, text);
    }
    page->y += (told > 0 ? small + 1.1 * line : 0.0) + section_gap(page);
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

static void plp_text(int column, const struct verdict *verdict, char *text, size_t size)
{
    figure_text(figure_find(&generation_figures, plp_columns[column].figure), verdict, text, size);
}

/* Nothing is told of it: the system has it not. */
static bool is_empty_column(const struct pipes *pipes, int column)
{
    bool empty = true;
    for (int i = 0; i < pipes->count && empty; i++) {
        char text[48];
        plp_text(column, &pipes->verdicts[i], text, sizeof text);
        empty = strcmp(text, "-") == 0;
    }
    return empty;
}

/* Of one PLP, or the heads. */
static void draw_plp(struct page *page, const struct pipes *pipes, const struct verdict *verdict,
                     bool tinted)
{
    double line = 1.12 * sheet_line_height(page->sheet, type_text), left = 0.3 * line;
    int columns = 0;
    for (int i = 0; i < PLP_COLUMNS; i++) {
        columns += !is_empty_column(pipes, i);
    }
    double each = (page->inside.width - left) / columns;
    struct type type = {type_text.points, verdict == NULL,
                        verdict == NULL ? ROLE_SECOND : type_text.role};
    if (tinted) {
        tint_line(page, line);
    }
    int at = 0;
    for (int i = 0; i < PLP_COLUMNS; i++) {
        char text[48];
        text_format(text, sizeof text, "%s", plp_columns[i].head);
        if (is_empty_column(pipes, i)) {
            continue;
        }
        if (verdict != NULL) {
            plp_text(i, verdict, text, sizeof text);
        }
        double x = page->inside.x + (at == 0 ? left : left + each * (at + 1));
        sheet_write(page->sheet, type, x, page->y + 0.74 * line,
                    at++ == 0 ? ANCHOR_LEFT : ANCHOR_RIGHT, text);
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
    draw_plp(page, pipes, NULL, false);
    for (int i = 0; i < pipes->count && i < PLPS_MOST; i++) {
        draw_plp(page, pipes, &pipes->verdicts[i], i % 2 == 0);
    }
    if (pipes->count > PLPS_MOST) {
        text_format(more, sizeof more, "and %d more", pipes->count - PLPS_MOST);
        sheet_write(page->sheet, type_text, page->inside.x, page->y + 0.74 * line, ANCHOR_LEFT,
                    more);
        page->y += line;
    }
    page->y += 0.7 * line;
}

/* ---- Title and verdicts. ---- */

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

static void write_paragraph(struct page *page, struct text *words)
{
    page->y += sheet_write_wrapped(page->sheet, type_text, page->inside.x, page->y,
                                   page->inside.width, text_string(words), true);
    text_clear(words);
}

/* "OFDM from station Lighthouse, RF channel 18, 600 kW ERP, 330 m high, 48 km away." */
static void write_stations(struct page *page, const struct picture_case *shown)
{
    struct text words = {0};
    for (int g = 0; g < GENERATION_COUNT; g++) {
        const struct station *station = conditions_station(shown->scenario, (enum generation)g);
        if (station != NULL && (int)station->generation == g) { /* else its rays alone count */
            text_printf(
                &words, "%s%s from %s: RF channel %d, %.4g kW ERP, %.4g m high, %.4g km away.",
                words.length > 0 ? " " : "", shown->report->verdicts.of[g].reception.system->name,
                station->name, station->rf_channel, station->erp_kw, station->height_m,
                station->distance_km);
        }
    }
    if (words.length > 0) {
        const struct place *place = &shown->scenario->place;
        text_printf(&words, " Place: antenna %.4g m high, %.4g %% of the locations%s%s.",
                    place->receive_height_m, place->location_percent,
                    place->building == BUILDING_NONE ? "" : ", inside a building: ",
                    place->building == BUILDING_NONE ? "" : building_name(place->building));
        write_paragraph(page, &words);
    }
    text_free(&words);
}

static void write_verdicts(struct page *page, const struct picture_case *shown)
{
    const struct verdicts *verdicts = &shown->report->verdicts;
    struct text words = {0};
    page->y += 0.5 * section_gap(page);
    struct type bold = {type_text.points, true, ROLE_PLAIN};
    struct pipes pipes = picture_case_pipes(shown);
    verdict_words(verdicts, &words);
    pipes_words(&pipes, &verdicts->of[GENERATION_SECOND], &words);
    page->y += sheet_write_wrapped(page->sheet, bold, page->inside.x, page->y, page->inside.width,
                                   text_string(&words), true);
    text_clear(&words);
    verdicts_words_snr(verdicts, &words);
    if (verdicts->of[GENERATION_FIRST].known && verdicts->of[GENERATION_SECOND].known) {
        text_append(&words, " ");
        verdict_words_decision(verdicts, &words);
    }
    write_paragraph(page, &words);
    text_free(&words);
    page->y += section_gap(page);
}

static void draw_title(struct page *page, const struct picture_case *shown)
{
    const struct report *report = shown->report;
    struct text words = {0};
    struct type title = {14.0, true, ROLE_TITLE};
    const char *first = report->verdicts.of[GENERATION_FIRST].reception.system->name;
    const char *second = report->verdicts.of[GENERATION_SECOND].reception.system->name;
    text_printf(&words, "%s%s", shown->title ? shown->title : "", shown->title ? ": " : "");
    if (page->column_count > 2) {
        text_printf(&words, "%s %s modes beside %s", shown->title ? "two" : "Two", second, first);
    } else {
        text_printf(&words, "%s and %s side by side", first, second);
    }
    if (shown->date) {
        sheet_write(page->sheet, type_text, page->inside.x + page->inside.width,
                    page->inside.y - 0.3 * section_gap(page), ANCHOR_RIGHT, shown->date);
    }
    page->y += sheet_write_wrapped(page->sheet, title, page->inside.x, page->y, page->inside.width,
                                   text_string(&words), true);
    text_free(&words);
    write_channel(page, "", &report->rf);
    if (shown->pinned && shown->pinned->rf.center_mhz != report->rf.center_mhz) {
        char name[64];
        text_format(name, sizeof name, "%s: ", page->columns[2].head);
        write_channel(page, name, &shown->pinned->rf);
    }
    write_stations(page, shown);
    write_verdicts(page, shown);
}

/* What the systems say of their figures, and what holds for all. */
static void write_assumptions(const struct report *report, enum pair pair, struct text *out)
{
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct system *system = report->verdicts.of[i].reception.system;
        text_printf(out, "%s: %s ", system->name, system->assumes);
    }
    text_printf(out,
                "Field strength outdoors at half of the locations, planning factors of %s. "
                "A planning aid, not a measurement: local rules and a licensed "
                "engineer decide.",
                planning_source(pair_plan(pair)));
}

static enum status draw_kind(struct page *page, const char *kind, const struct picture_case *shown,
                             double height, struct fault *fault)
{
    struct picture picture;
    if (!picture_kind_make(picture_kind_find(kind), shown, &picture)) {
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    picture.note[0] = '\0'; /* said once for the whole page */
    struct box box = {page->inside.x, page->y, page->inside.width, height};
    sheet_draw_picture(page->sheet, &picture, box);
    picture_free(&picture);
    page->y += height;
    return STATUS_OK;
}

#define PICTURE_LEAST_MM 46.0 /* at the sheet's scale: lower, axes have no room */

/* In this order as many as there is room for; those that the scenario has. */
static enum status draw_pictures(struct page *page, const struct picture_case *shown,
                                 struct fault *fault)
{
    static const char *const kinds[] = {"account", "delays", "rate"};
    const struct verdict *of = shown->report->verdicts.of;
    bool any = of[GENERATION_FIRST].known || of[GENERATION_SECOND].known;
    int from = any ? 0 : 1, count = 3 - from; /* without an SNR there is no account */
    struct text assumptions = {0};
    write_assumptions(shown->report, shown->scenario->site.pair, &assumptions);
    double notes = sheet_write_wrapped(page->sheet, type_small, 0.0, 0.0, page->inside.width,
                                       text_string(&assumptions), false);
    double bottom = page->inside.y + page->inside.height - notes;
    while (count > 1 && (bottom - page->y) / count < PICTURE_LEAST_MM * page->sheet->scale) {
        count--;
    }
    double height = (bottom - page->y) / count;
    enum status status = STATUS_OK;
    for (int i = 0; i < count && status == STATUS_OK; i++) {
        status = draw_kind(page, kinds[from + i], shown, height, fault);
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
        if (shown->pinned) {
            draw_table(&page, GENERATION_SECOND, "Settings", &choices);
        } else {
            for (int g = 0; g < GENERATION_COUNT; g++) {
                if (page.columns[g].verdict->reception.system->choices != NULL) {
                    draw_settings(&page, g, &choices);
                }
            }
        }
        struct pipes pipes = picture_case_pipes(shown);
        draw_plps(&page, &pipes);
        draw_table(&page, 0, "Figures", &compared);
        status = draw_pictures(&page, shown, fault);
    }
    if (status == STATUS_OK) {
        status = sheet_save(&sheet, path, fault);
    }
    sheet_close(&sheet);
    return status;
}
