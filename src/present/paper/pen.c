/* Type, lines, markers and hatching of a sheet. Colours: the palette of Okabe and Ito ("Color
 * universal design", 2008), darkened where grey prints need it. */
#include "present/paper/paper.h"

#include <math.h>
#include <string.h>

#include "base/utf8.h"

#define MM_PER_POINT (25.4 / 72.0)
#define MARKER_MM 1.1 /* half its height */

const struct type type_title = {11.0, true, ROLE_TITLE};
const struct type type_text = {8.5, false, ROLE_PLAIN};
const struct type type_small = {7.0, false, ROLE_DIM};

struct ink {
    double red, green, blue;
    int dash_count; /* 0: solid */
    double dashes[4];
    double slope; /* of hatching: 1 rising, -1 falling, 0 upright */
};

static const struct ink inks[ROLE_COUNT] = {
    [ROLE_PLAIN] = {0.0, 0.0, 0.0, 0, {0}, 1.0},
    [ROLE_TITLE] = {0.0, 0.0, 0.0, 0, {0}, 1.0},
    [ROLE_DIM] = {0.35, 0.35, 0.35, 2, {0.35, 0.9}, 0.0},
    [ROLE_SELECTED] = {0.0, 0.0, 0.0, 0, {0}, 1.0},
    [ROLE_GOOD] = {0.0, 0.50, 0.37, 0, {0}, 1.0},
    [ROLE_WARN] = {0.60, 0.40, 0.0, 4, {2.4, 0.8, 0.4, 0.8}, 0.0},
    [ROLE_BAD] = {0.70, 0.10, 0.35, 2, {1.0, 0.7}, -1.0},
    [ROLE_FIRST] = {0.80, 0.33, 0.0, 2, {2.2, 1.1}, -1.0},
    [ROLE_SECOND] = {0.0, 0.27, 0.55, 0, {0}, 1.0},
    [ROLE_PINNED] = {0.0, 0.50, 0.37, 2, {0.5, 0.9}, 0.0},
    [ROLE_FRAME] = {0.2, 0.2, 0.2, 0, {0}, 1.0},
    [ROLE_KEY] = {0.0, 0.0, 0.0, 0, {0}, 1.0},
};

static const struct ink *ink_of(enum role role)
{
    return &inks[(unsigned)role < ROLE_COUNT ? role : ROLE_PLAIN];
}

/* ---- Type. ---- */

static void set_type(struct sheet *sheet, struct type type)
{
    cairo_select_font_face(sheet->pen, sheet->built_in_font ? "@cairo:" : "sans-serif",
                           CAIRO_FONT_SLANT_NORMAL,
                           type.bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(sheet->pen, type.points * MM_PER_POINT * sheet->scale);
}

/* Bytes of the well-formed character that starts here; 0: none does. */
static size_t character_length(const char *text, size_t count)
{
    for (size_t length = 1; length <= 4 && length <= count; length++) {
        if (utf8_valid_prefix(text, length) == length) {
            return length;
        }
    }
    return 0;
}

void sheet_printable(const struct sheet *sheet, const char *text, char *buffer, size_t size)
{
    size_t count = strlen(text), used = 0;
    for (size_t at = 0; at < count && used + 5 < size;) {
        size_t length = character_length(text + at, count - at), same;
        if (length == 0 || (length > 1 && sheet->built_in_font)) {
            buffer[used++] = '?';
        } else if (utf8_is_control(text + at, &same)) {
            buffer[used++] = ' ';
        } else {
            memcpy(buffer + used, text + at, length);
            used += length;
        }
        at += length > 0 ? length : 1;
    }
    buffer[used] = '\0';
}

double sheet_line_height(const struct sheet *sheet, struct type type)
{
    return 1.3 * type.points * MM_PER_POINT * sheet->scale;
}

double sheet_text_width(struct sheet *sheet, struct type type, const char *text)
{
    char line[512];
    cairo_text_extents_t extents;
    set_type(sheet, type);
    sheet_printable(sheet, text, line, sizeof line);
    cairo_text_extents(sheet->pen, line, &extents);
    return extents.x_advance;
}

static void sheet_ink(struct sheet *sheet, enum role role)
{
    const struct ink *ink = ink_of(role);
    cairo_set_source_rgb(sheet->pen, ink->red, ink->green, ink->blue);
}

/* The pen stands at the base line's start. */
static void show(struct sheet *sheet, struct type type, const char *text)
{
    char line[512];
    set_type(sheet, type);
    sheet_printable(sheet, text, line, sizeof line);
    sheet_ink(sheet, type.role);
    cairo_show_text(sheet->pen, line);
    cairo_new_path(sheet->pen);
    text_append(&sheet->words, line);
    text_append(&sheet->words, "\n");
}

void sheet_write(struct sheet *sheet, struct type type, double x, double y, enum anchor anchor,
                 const char *text)
{
    if (text[0] == '\0') {
        return;
    }
    double width = anchor == ANCHOR_LEFT ? 0.0 : sheet_text_width(sheet, type, text);
    cairo_move_to(sheet->pen, x - width * (anchor == ANCHOR_MIDDLE ? 0.5 : 1.0), y);
    show(sheet, type, text);
}

void sheet_write_upwards(struct sheet *sheet, struct type type, double x, double y,
                         const char *text)
{
    double width = sheet_text_width(sheet, type, text);
    cairo_save(sheet->pen);
    cairo_translate(sheet->pen, x, y);
    cairo_rotate(sheet->pen, -acos(-1.0) / 2.0);
    cairo_move_to(sheet->pen, -width / 2.0, 0.0);
    show(sheet, type, text);
    cairo_restore(sheet->pen);
}

double sheet_write_wrapped(struct sheet *sheet, struct type type, double x, double y, double width,
                           const char *text, bool draw)
{
    double height = 0.0, step = sheet_line_height(sheet, type);
    while (*text) {
        char line[512] = "";
        size_t taken = 0;
        for (;;) { /* word by word while the line fits */
            size_t next = taken + strspn(text + taken, " ");
            next += strcspn(text + next, " ");
            if (next == taken || next >= sizeof line) {
                break;
            }
            text_format(line, sizeof line, "%.*s", (int)next, text);
            if (taken > 0 && sheet_text_width(sheet, type, line) > width) {
                break;
            }
            taken = next;
        }
        taken = taken > 0 ? taken : strlen(text);
        text_format(line, sizeof line, "%.*s", (int)taken, text);
        height += step;
        if (draw) {
            sheet_write(sheet, type, x, y + height - 0.3 * step, ANCHOR_LEFT, line);
        }
        text += taken + strspn(text + taken, " ");
    }
    return height;
}

/* ---- Lines and marks. ---- */

void sheet_line_style(struct sheet *sheet, enum role role, double width)
{
    const struct ink *ink = ink_of(role);
    double dashes[4];
    for (int i = 0; i < ink->dash_count; i++) {
        dashes[i] = ink->dashes[i] * sheet->scale;
    }
    sheet_ink(sheet, role);
    cairo_set_line_width(sheet->pen, width * sheet->scale);
    cairo_set_dash(sheet->pen, dashes, ink->dash_count, 0.0);
    cairo_set_line_join(sheet->pen, CAIRO_LINE_JOIN_ROUND);
}

void sheet_line(struct sheet *sheet, double x0, double y0, double x1, double y1)
{
    cairo_move_to(sheet->pen, x0, y0);
    cairo_line_to(sheet->pen, x1, y1);
    cairo_stroke(sheet->pen);
}

/* Corners of markers in units of their half height; a NAN row lifts the pen. */
struct outline {
    char glyph;
    bool filled;
    int count;
    double corners[8][2];
};

static const struct outline outlines[] = {
    {'s', true, 4, {{-0.8, -0.8}, {0.8, -0.8}, {0.8, 0.8}, {-0.8, 0.8}}},
    {'t', true, 3, {{0.0, -1.0}, {0.95, 0.75}, {-0.95, 0.75}}},
    {'d', true, 4, {{0.0, -1.1}, {0.9, 0.0}, {0.0, 1.1}, {-0.9, 0.0}}},
    {'x', false, 5, {{-0.8, -0.8}, {0.8, 0.8}, {NAN, NAN}, {-0.8, 0.8}, {0.8, -0.8}}},
    {'+', false, 5, {{-1.0, 0.0}, {1.0, 0.0}, {NAN, NAN}, {0.0, -1.0}, {0.0, 1.0}}},
    {'*',
     false,
     8,
     {{-0.87, -0.5},
      {0.87, 0.5},
      {NAN, NAN},
      {-0.87, 0.5},
      {0.87, -0.5},
      {NAN, NAN},
      {0.0, -1.0},
      {0.0, 1.0}}},
};

static void draw_outline(struct sheet *sheet, const struct outline *outline, double x, double y,
                         double size)
{
    bool lifted = true;
    for (int i = 0; i < outline->count; i++) {
        if (isnan(outline->corners[i][0])) {
            lifted = true;
            continue;
        }
        double px = x + size * outline->corners[i][0], py = y + size * outline->corners[i][1];
        if (lifted) {
            cairo_move_to(sheet->pen, px, py);
        } else {
            cairo_line_to(sheet->pen, px, py);
        }
        lifted = false;
    }
    if (outline->filled) {
        cairo_close_path(sheet->pen);
        cairo_fill(sheet->pen);
    } else {
        cairo_stroke(sheet->pen);
    }
}

static void draw_disc(struct sheet *sheet, double x, double y, double radius)
{
    cairo_new_sub_path(sheet->pen);
    cairo_arc(sheet->pen, x, y, radius, 0.0, 2.0 * acos(-1.0));
    cairo_fill(sheet->pen);
}

double sheet_ring_radius(const struct sheet *sheet)
{
    return 1.6 * MARKER_MM * sheet->scale;
}

void sheet_letters(struct sheet *sheet, enum role role, const char *letters, double x, double y)
{
    const struct type type = {6.5, true, role};
    double radius = sheet_ring_radius(sheet), quarter = acos(-1.0) / 2.0;
    double half = fmax(0.0, 0.5 * sheet_text_width(sheet, type, letters) - 0.55 * radius);
    sheet_line_style(sheet, role, 0.4);
    cairo_set_dash(sheet->pen, NULL, 0, 0.0);
    cairo_new_sub_path(sheet->pen);
    cairo_arc(sheet->pen, x + half, y, radius, -quarter, quarter);
    cairo_arc(sheet->pen, x - half, y, radius, quarter, 3.0 * quarter);
    cairo_close_path(sheet->pen);
    cairo_set_source_rgb(sheet->pen, 1.0, 1.0, 1.0);
    cairo_fill_preserve(sheet->pen);
    sheet_ink(sheet, role);
    cairo_stroke(sheet->pen);
    sheet_write(sheet, type, x, y + 0.36 * type.points * MM_PER_POINT * sheet->scale, ANCHOR_MIDDLE,
                letters);
}

static const struct outline *outline_of(char glyph)
{
    for (size_t i = 0; i < sizeof outlines / sizeof outlines[0]; i++) {
        if (outlines[i].glyph == glyph) {
            return &outlines[i];
        }
    }
    return NULL;
}

bool sheet_is_letter(char glyph)
{
    return glyph != 'o' && glyph != '.' && glyph != '\0' && !outline_of(glyph);
}

void sheet_marker(struct sheet *sheet, enum role role, char glyph, double x, double y)
{
    double size = MARKER_MM * sheet->scale;
    const struct outline *outline = outline_of(glyph);
    sheet_line_style(sheet, role, 0.4);
    cairo_set_dash(sheet->pen, NULL, 0, 0.0);
    if (outline) {
        draw_outline(sheet, outline, x, y, size);
    } else if (sheet_is_letter(glyph)) {
        sheet_letters(sheet, role, (const char[]){glyph, '\0'}, x, y);
    } else {
        draw_disc(sheet, x, y, (glyph == 'o' ? 0.9 : 0.45) * size);
    }
}

void sheet_hatch(struct sheet *sheet, enum role role, struct box box, bool faint)
{
    const struct ink *ink = ink_of(role);
    double step = (faint ? 3.4 : 1.7) * sheet->scale;
    cairo_save(sheet->pen);
    cairo_rectangle(sheet->pen, box.x, box.y, box.width, box.height);
    cairo_clip(sheet->pen);
    cairo_set_source_rgba(sheet->pen, ink->red, ink->green, ink->blue, faint ? 0.06 : 0.13);
    cairo_paint(sheet->pen);
    cairo_set_source_rgba(sheet->pen, ink->red, ink->green, ink->blue, faint ? 0.22 : 0.55);
    cairo_set_line_width(sheet->pen, 0.18 * sheet->scale);
    cairo_set_dash(sheet->pen, NULL, 0, 0.0);
    double shift = ink->slope * box.height;
    int lines = (int)((box.width + 2.0 * fabs(shift)) / step);
    for (int i = 0; i <= lines; i++) {
        double x = box.x - fabs(shift) + i * step;
        cairo_move_to(sheet->pen, x, box.y + box.height);
        cairo_line_to(sheet->pen, x + shift, box.y);
    }
    cairo_stroke(sheet->pen);
    cairo_restore(sheet->pen);
}
