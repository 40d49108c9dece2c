#ifndef PRESENT_PAPER_PAPER_H
#define PRESENT_PAPER_PAPER_H

#include <cairo.h>
#include <stdbool.h>

#include "base/text.h"
#include "present/picture/picture.h"

/* A sheet of paper under the pen: lengths in millimetres from the upper left corner. Inks are made
 * for print: colours that colour-blind eyes tell apart, of different darkness, and never alone:
 * every role has a line pattern and every series a marker as well. */

struct box {
    double x, y, width, height;
};

struct sheet {
    struct paper paper;
    cairo_surface_t *surface;
    cairo_t *pen;
    double scale;       /* of type and line widths: 1 for a figure of 160 x 100 mm */
    bool built_in_font; /* the system has no font: strokes of cairo's own, ASCII only */
    struct text file;   /* what cairo has written so far (SVG, PDF) */
    struct text words;  /* every text drawn, a line each: the description inside an SVG */
};

/* Opens a white sheet; `title` goes into the file's own description. sheet_close ends it always. */
enum status sheet_open(const struct paper *paper, const char *title, struct sheet *sheet,
                       struct fault *fault);

/* Finishes the sheet and puts it in the place of `path`, all or nothing. */
enum status sheet_save(struct sheet *sheet, const char *path, struct fault *fault);
void sheet_close(struct sheet *sheet);

/* ---- Type. ---- */

enum anchor { ANCHOR_LEFT, ANCHOR_MIDDLE, ANCHOR_RIGHT };

struct type {
    double points; /* before the sheet's scale */
    bool bold;
    enum role role;
};

/* Text as it can be drawn: well-formed UTF-8 without control characters; for the built-in font
 * ASCII only. What is left out becomes a space or '?'. Cut to the buffer. */
void sheet_printable(const struct sheet *sheet, const char *text, char *buffer, size_t size);

extern const struct type type_title, type_text, type_small;

double sheet_line_height(const struct sheet *sheet, struct type type);
double sheet_text_width(struct sheet *sheet, struct type type, const char *text);

/* Writes with the anchor at x, the base line at y. */
void sheet_write(struct sheet *sheet, struct type type, double x, double y, enum anchor anchor,
                 const char *text);

/* Upwards, centred on y, the base line at x. */
void sheet_write_upwards(struct sheet *sheet, struct type type, double x, double y,
                         const char *text);

/* Wraps at words into `width` from the upper edge `y` on; returns the height taken. `draw` false
 * only measures. */
double sheet_write_wrapped(struct sheet *sheet, struct type type, double x, double y, double width,
                           const char *text, bool draw);

/* ---- Lines and marks. ---- */

void sheet_line_style(struct sheet *sheet, enum role role, double width);
void sheet_line(struct sheet *sheet, double x0, double y0, double x1, double y1);

/* A marker: glyph 'o', 'x', '+', '*', '.', 's' square, 't' triangle, 'd' diamond; any other letter
 * is written in a ring. */
void sheet_marker(struct sheet *sheet, enum role role, char glyph, double x, double y);

/* Letters in a ring or, where there are several, in a ring drawn out; the ring's half height. */
void sheet_letters(struct sheet *sheet, enum role role, const char *letters, double x, double y);
double sheet_ring_radius(const struct sheet *sheet);

/* Whether sheet_marker writes a glyph in a ring. */
bool sheet_is_letter(char glyph);

/* Fills a box with a light tint and a hatching whose slope tells roles apart. */
void sheet_hatch(struct sheet *sheet, enum role role, struct box box, bool faint);

/* ---- Pictures. ---- */

/* Draws a whole picture, title to note, into a box of the sheet. */
void sheet_draw_picture(struct sheet *sheet, const struct picture *picture, struct box box);

#endif
