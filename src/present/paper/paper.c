/* The sheet itself: cairo writes into memory, and only a finished figure goes to its file. */
#include "present/paper/paper.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/file.h"

#define MM_PER_INCH 25.4
#define POINTS_PER_INCH 72.0

static cairo_status_t collect(void *closure, const unsigned char *data, unsigned int length)
{
    struct text *file = closure;
    text_append_bytes(file, (const char *)data, length);
    return file->failed ? CAIRO_STATUS_NO_MEMORY : CAIRO_STATUS_SUCCESS;
}

static enum status check_length(const char *place, double value, double low, double high,
                                const char *unit, struct fault *fault)
{
    if (value >= low && value <= high) {
        return STATUS_OK;
    }
    char allowed[64];
    text_format(allowed, sizeof allowed, "%g to %g %s", low, high, unit);
    return fault_set(fault, STATUS_OUT_OF_RANGE, place, allowed, "%g is out of range", value);
}

enum status paper_check(const struct paper *paper, struct fault *fault)
{
    enum status status =
        check_length("width", paper->width_mm, PAPER_LEAST_MM, PAPER_MOST_MM, "mm", fault);
    if (status == STATUS_OK) {
        status =
            check_length("height", paper->height_mm, PAPER_LEAST_MM, PAPER_MOST_MM, "mm", fault);
    }
    if (status == STATUS_OK && paper->kind == PAPER_PNG) {
        double longest = fmax(paper->width_mm, paper->height_mm) / MM_PER_INCH;
        status =
            check_length("dpi", paper->dots_per_inch, PAPER_DPI_LEAST,
                         fmin(PAPER_DPI_MOST, floor(PAPER_PIXELS_MOST / longest)), "dpi", fault);
    }
    return status;
}

enum status paper_kind_from_path(const char *path, enum paper_kind *kind, struct fault *fault)
{
    static const char *const endings[] = {
        [PAPER_SVG] = ".svg", [PAPER_PNG] = ".png", [PAPER_PDF] = ".pdf"};
    size_t length = strlen(path);
    for (int i = 0; i < 3; i++) {
        size_t ending = strlen(endings[i]);
        if (length > ending && strcasecmp(path + length - ending, endings[i]) == 0) {
            *kind = (enum paper_kind)i;
            return STATUS_OK;
        }
    }
    return fault_set(fault, STATUS_UNKNOWN_NAME, "", "a name ending in .svg, .png or .pdf",
                     "\"%s\" does not tell the kind of figure", path);
}

static void create_surface(struct sheet *sheet, double *units_per_mm)
{
    const struct paper *paper = &sheet->paper;
    *units_per_mm = POINTS_PER_INCH / MM_PER_INCH;
    double width = paper->width_mm * *units_per_mm, height = paper->height_mm * *units_per_mm;
    switch (paper->kind) {
    case PAPER_SVG:
        sheet->surface = cairo_svg_surface_create_for_stream(collect, &sheet->file, width, height);
        break;
    case PAPER_PDF:
        sheet->surface = cairo_pdf_surface_create_for_stream(collect, &sheet->file, width, height);
        break;
    case PAPER_PNG:
        *units_per_mm = paper->dots_per_inch / MM_PER_INCH;
        sheet->surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24,
                                                    (int)lround(paper->width_mm * *units_per_mm),
                                                    (int)lround(paper->height_mm * *units_per_mm));
        break;
    }
}

/* A system without fonts gives a face whose letters have no width; cairo then draws with strokes of
 * its own. */
static void choose_font(struct sheet *sheet)
{
    cairo_text_extents_t extents;
    cairo_select_font_face(sheet->pen, "sans-serif", CAIRO_FONT_SLANT_NORMAL,
                           CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(sheet->pen, 10.0);
    cairo_text_extents(sheet->pen, "dB", &extents);
    sheet->built_in_font =
        cairo_status(sheet->pen) != CAIRO_STATUS_SUCCESS || !(extents.width > 0.0);
}

enum status sheet_open(const struct paper *paper, const char *title, struct sheet *sheet,
                       struct fault *fault)
{
    *sheet = (struct sheet){.paper = *paper};
    enum status status = paper_check(paper, fault);
    if (status != STATUS_OK) {
        return status;
    }
    char line[256];
    sheet_printable(sheet, title, line, sizeof line);
    double units_per_mm;
    create_surface(sheet, &units_per_mm);
    sheet->pen = cairo_create(sheet->surface);
    cairo_scale(sheet->pen, units_per_mm, units_per_mm);
    if (paper->kind == PAPER_PDF) {
        cairo_pdf_surface_set_metadata(sheet->surface, CAIRO_PDF_METADATA_TITLE, line);
        cairo_pdf_surface_set_metadata(sheet->surface, CAIRO_PDF_METADATA_CREATOR, "guardspan");
    }
    choose_font(sheet);
    if (cairo_status(sheet->pen) != CAIRO_STATUS_SUCCESS) {
        return fault_set(fault, STATUS_NO_MEMORY, "", NULL, "%s",
                         cairo_status_to_string(cairo_status(sheet->pen)));
    }
    sheet->scale = fmin(3.0, fmax(0.62, fmin(paper->width_mm / 160.0, paper->height_mm / 100.0)));
    sheet->scale *= paper->type_scale > 0.0 ? paper->type_scale : 1.0;
    cairo_set_source_rgb(sheet->pen, 1.0, 1.0, 1.0);
    cairo_paint(sheet->pen);
    text_append(&sheet->words, line);
    text_append(&sheet->words, "\n");
    return STATUS_OK;
}

static void append_escaped(struct text *out, const char *text, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        const char *entity = text[i] == '<'   ? "&lt;"
                             : text[i] == '>' ? "&gt;"
                             : text[i] == '&' ? "&amp;"
                                              : NULL;
        if (entity) {
            text_append(out, entity);
        } else {
            text_append_bytes(out, &text[i], 1);
        }
    }
}

/* Cairo draws letters as shapes. A title and a description with every text, where the format has a
 * place for them, keep the figure searchable and readable to a screen reader. */
static void describe_svg(const struct sheet *sheet, struct text *out)
{
    const char *file = text_string(&sheet->file), *words = text_string(&sheet->words);
    const char *start = strstr(file, "<svg");
    const char *end = start ? strchr(start, '>') : NULL;
    if (!end) {
        text_append_bytes(out, file, sheet->file.length);
        return;
    }
    size_t before = (size_t)(end + 1 - file), title = strcspn(words, "\n");
    text_append_bytes(out, file, before);
    text_append(out, "\n<title>");
    append_escaped(out, words, title);
    text_append(out, "</title>\n<desc>");
    append_escaped(out, words + title, strlen(words + title));
    text_append(out, "</desc>");
    text_append_bytes(out, file + before, sheet->file.length - before);
}

enum status sheet_save(struct sheet *sheet, const char *path, struct fault *fault)
{
    cairo_status_t drawn = cairo_status(sheet->pen);
    if (sheet->paper.kind == PAPER_PNG) {
        cairo_surface_flush(sheet->surface);
        if (drawn == CAIRO_STATUS_SUCCESS) {
            drawn = cairo_surface_write_to_png_stream(sheet->surface, collect, &sheet->file);
        }
    } else {
        cairo_surface_finish(sheet->surface);
        drawn = drawn == CAIRO_STATUS_SUCCESS ? cairo_surface_status(sheet->surface) : drawn;
    }
    struct text described = {0};
    const struct text *whole = &sheet->file;
    if (sheet->paper.kind == PAPER_SVG) {
        describe_svg(sheet, &described);
        whole = &described;
    }
    enum status status = STATUS_OK;
    if (drawn != CAIRO_STATUS_SUCCESS || whole->failed || sheet->words.failed) {
        status = fault_set(fault, STATUS_NO_MEMORY, "", NULL, "%s",
                           drawn != CAIRO_STATUS_SUCCESS ? cairo_status_to_string(drawn)
                                                         : status_message(STATUS_NO_MEMORY));
    } else {
        status = file_replace(path, text_string(whole), whole->length, fault);
    }
    text_free(&described);
    return status;
}

void sheet_close(struct sheet *sheet)
{
    if (sheet->pen) {
        cairo_destroy(sheet->pen);
        cairo_surface_destroy(sheet->surface);
    }
    text_free(&sheet->file);
    text_free(&sheet->words);
    *sheet = (struct sheet){0};
}

enum status picture_draw_paper(const struct picture *picture, const struct paper *paper,
                               const char *path, struct fault *fault)
{
    struct sheet sheet;
    enum status status = sheet_open(paper, picture->title, &sheet, fault);
    if (status == STATUS_OK) {
        struct box box = {0.0, 0.0, paper->width_mm, paper->height_mm};
        sheet_draw_picture(&sheet, picture, box);
        status = sheet_save(&sheet, path, fault);
    }
    sheet_close(&sheet);
    return status;
}
