/* A picture on paper. From the top: title, legend, a strip for each band, the plot with the bands'
 * faint shading, ticks, the axes' captions, the note. Texts wrap; the plot gets what is left. */
#include "present/paper.h"

#include <math.h>
#include <string.h>

#define TICKS_MAX 16
#define MARKERS_ON_LINE 6
#define LABELS_MAX PICTURE_MARKS_MAX
#define CAP_MM 2.4 /* across a bar's ends: wider than a marker */

struct plotting {
    struct sheet *sheet;
    const struct picture *picture;
    struct box inside; /* the box less its margin */
    struct box plot;
    double unit; /* a millimetre at the sheet's scale */
    double title_height, legend_height, strip_height, note_height;
    int x_tick_count, y_tick_count;
    double x_ticks[TICKS_MAX], y_ticks[TICKS_MAX];
    int label_count; /* of marks placed so far */
    struct box labels[LABELS_MAX];
};

static void caption(const struct axis *axis, char *buffer, size_t size)
{
    text_format(buffer, size, "%s%s%s%s", axis->label, axis->unit[0] && axis->label[0] ? " (" : "",
                axis->unit, axis->unit[0] && axis->label[0] ? ")" : "");
}

/* ---- Legend. ---- */

static bool is_line(const struct series *series)
{
    return series->kind == SERIES_LINE || series->kind == SERIES_STEPS;
}

/* Lines take a marker each when there are several, so that grey and crossing lines stay apart. */
static char marker_of(const struct picture *picture, size_t i)
{
    static const char line_markers[] = "ostdx+*";
    size_t lines = 0, before = 0;
    if (picture->series[i].kind == SERIES_BARS) {
        return ' ';
    }
    if (!is_line(&picture->series[i])) {
        return picture->series[i].glyph ? picture->series[i].glyph : '.';
    }
    for (size_t k = 0; k < picture->series_count; k++) {
        lines += is_line(&picture->series[k]);
        before += k < i && is_line(&picture->series[k]);
    }
    return lines > 1 ? line_markers[before % (sizeof line_markers - 1)] : ' ';
}

/* An upright bar; a cap at each end that is asked for. */
static void draw_bar(struct plotting *p, enum role role, double x, double y_low, double y_high,
                     bool cap_low, bool cap_high)
{
    double half = CAP_MM / 2.0 * p->unit;
    sheet_line_style(p->sheet, role, 0.35);
    cairo_set_dash(p->sheet->pen, NULL, 0, 0.0);
    sheet_line(p->sheet, x, y_low, x, y_high);
    if (cap_low) {
        sheet_line(p->sheet, x - half, y_low, x + half, y_low);
    }
    if (cap_high) {
        sheet_line(p->sheet, x - half, y_high, x + half, y_high);
    }
}

static void draw_sample(struct plotting *p, size_t i, double x, double y, double width)
{
    const struct series *series = &p->picture->series[i];
    char marker = marker_of(p->picture, i);
    if (is_line(series)) {
        sheet_line_style(p->sheet, series->role, 0.55);
        sheet_line(p->sheet, x, y, x + width, y);
    } else if (series->kind == SERIES_BARS) {
        draw_bar(p, series->role, x + width / 2.0, y + 1.3 * p->unit, y - 1.3 * p->unit, true,
                 true);
    }
    if (marker != ' ') {
        sheet_marker(p->sheet, series->role, marker, x + width / 2.0, y);
    }
}

/* Entries side by side, wrapped; returns the height. */
static double legend(struct plotting *p, double top, bool draw)
{
    double line = sheet_line_height(p->sheet, type_text), x = p->inside.x, y = top;
    double right = p->inside.x + p->inside.width, height = 0.0;
    for (size_t i = 0; i < p->picture->series_count; i++) {
        const struct series *series = &p->picture->series[i];
        if (series->label[0] == '\0' || series->count == 0) {
            continue;
        }
        double sample = (is_line(series) ? 9.0 : 4.0) * p->unit;
        double width =
            sample + 1.5 * p->unit + sheet_text_width(p->sheet, type_text, series->label);
        if (x > p->inside.x && x + width > right) {
            x = p->inside.x;
            y += line;
        }
        height = y + line - top;
        if (draw) {
            draw_sample(p, i, x, y + 0.5 * line, sample);
            sheet_write(p->sheet, type_text, x + sample + 1.5 * p->unit, y + 0.74 * line,
                        ANCHOR_LEFT, series->label);
        }
        x += width + 4.0 * p->unit;
    }
    return height;
}

/* ---- Layout. ---- */

static void lay_out(struct plotting *p, struct box box)
{
    const struct picture *picture = p->picture;
    struct sheet *sheet = p->sheet;
    double margin = 3.0 * p->unit;
    p->inside = (struct box){box.x + margin, box.y + margin, box.width - 2.0 * margin,
                             box.height - 2.0 * margin};
    p->title_height =
        sheet_write_wrapped(sheet, type_title, 0.0, 0.0, p->inside.width, picture->title, false);
    p->legend_height = legend(p, 0.0, false);
    p->strip_height = 1.25 * sheet_line_height(sheet, type_small);
    p->note_height =
        sheet_write_wrapped(sheet, type_small, 0.0, 0.0, p->inside.width, picture->note, false);
    double line = sheet_line_height(sheet, type_text);
    double top = p->title_height + p->legend_height + p->unit +
                 (double)picture->band_count * p->strip_height + p->unit;
    double bottom = p->note_height + (p->note_height > 0.0 ? p->unit : 0.0) + 2.2 * line;
    p->plot.y = p->inside.y + top;
    p->plot.height = fmax(p->inside.height - top - bottom, 5.0 * p->unit);

    int most = (int)fmin(TICKS_MAX, fmax(2.0, p->plot.height / (1.8 * line)));
    p->y_tick_count = picture_axis_ticks(&picture->y, most, p->y_ticks);
    double widest = 0.0;
    char text[32];
    for (int i = 0; i < p->y_tick_count; i++) {
        picture_tick_text(&picture->y, p->y_ticks, p->y_tick_count, i, text, sizeof text);
        widest = fmax(widest, sheet_text_width(sheet, type_text, text));
    }
    double left = widest + 2.0 * p->unit + (picture->y.label[0] ? 1.1 * line : 0.0);
    p->plot.x = p->inside.x + left;
    p->plot.width = p->inside.width - left - 2.0 * p->unit;
    double tick_width = 4.0 * sheet_text_width(sheet, type_text, "000");
    most = (int)fmin(TICKS_MAX, fmax(2.0, p->plot.width / tick_width * 2.0));
    p->x_tick_count = picture_axis_ticks(&picture->x, most, p->x_ticks);
}

static double place_x(const struct plotting *p, double x)
{
    return p->plot.x + picture_axis_place(&p->picture->x, x) * p->plot.width;
}

static double place_y(const struct plotting *p, double y)
{
    return p->plot.y + (1.0 - picture_axis_place(&p->picture->y, y)) * p->plot.height;
}

static bool shown(const struct axis *axis, double value)
{
    double place = picture_axis_place(axis, value);
    return place >= -1e-9 && place <= 1.0 + 1e-9;
}

/* ---- Parts. ---- */

static void draw_grid_lines(const struct plotting *p)
{
    cairo_set_source_rgb(p->sheet->pen, 0.85, 0.85, 0.85);
    cairo_set_line_width(p->sheet->pen, 0.15 * p->unit);
    cairo_set_dash(p->sheet->pen, NULL, 0, 0.0);
    for (int i = 0; i < p->x_tick_count; i++) {
        double x = place_x(p, p->x_ticks[i]);
        sheet_line(p->sheet, x, p->plot.y, x, p->plot.y + p->plot.height);
    }
    for (int i = 0; i < p->y_tick_count; i++) {
        double y = place_y(p, p->y_ticks[i]);
        sheet_line(p->sheet, p->plot.x, y, p->plot.x + p->plot.width, y);
    }
}

static void draw_axes(const struct plotting *p)
{
    struct sheet *sheet = p->sheet;
    double line = sheet_line_height(sheet, type_text), bottom = p->plot.y + p->plot.height;
    char text[96];
    sheet_line_style(sheet, ROLE_FRAME, 0.3);
    cairo_rectangle(sheet->pen, p->plot.x, p->plot.y, p->plot.width, p->plot.height);
    cairo_stroke(sheet->pen);
    double free_from = p->inside.x;
    for (int i = 0; i < p->x_tick_count; i++) {
        double x = place_x(p, p->x_ticks[i]);
        sheet_line_style(sheet, ROLE_FRAME, 0.3);
        sheet_line(sheet, x, bottom, x, bottom + 0.8 * p->unit);
        picture_tick_text(&p->picture->x, p->x_ticks, p->x_tick_count, i, text, sizeof text);
        double half = sheet_text_width(sheet, type_text, text) / 2.0;
        if (x - half >= free_from && x + half <= p->inside.x + p->inside.width + 2.0 * p->unit) {
            sheet_write(sheet, type_text, x, bottom + 0.98 * line, ANCHOR_MIDDLE, text);
            free_from = x + half + p->unit;
        }
    }
    for (int i = 0; i < p->y_tick_count; i++) {
        double y = place_y(p, p->y_ticks[i]);
        sheet_line_style(sheet, ROLE_FRAME, 0.3);
        sheet_line(sheet, p->plot.x - 0.8 * p->unit, y, p->plot.x, y);
        picture_tick_text(&p->picture->y, p->y_ticks, p->y_tick_count, i, text, sizeof text);
        sheet_write(sheet, type_text, p->plot.x - 1.4 * p->unit, y + 0.27 * line, ANCHOR_RIGHT,
                    text);
    }
    caption(&p->picture->x, text, sizeof text);
    sheet_write(sheet, type_text, p->plot.x + p->plot.width / 2.0, bottom + 2.0 * line,
                ANCHOR_MIDDLE, text);
    caption(&p->picture->y, text, sizeof text);
    if (text[0]) {
        sheet_write_upwards(sheet, type_text, p->inside.x + 0.75 * line,
                            p->plot.y + p->plot.height / 2.0, text);
    }
}

/* Writes on a patch of white, so that lines behind do not cross the letters. */
static void write_on_white(struct plotting *p, struct type type, double x, double y,
                           const char *text)
{
    double width = sheet_text_width(p->sheet, type, text);
    double line = sheet_line_height(p->sheet, type);
    cairo_set_source_rgba(p->sheet->pen, 1.0, 1.0, 1.0, 0.85);
    cairo_rectangle(p->sheet->pen, x - 0.4 * p->unit, y - 0.74 * line, width + 0.8 * p->unit, line);
    cairo_fill(p->sheet->pen);
    sheet_write(p->sheet, type, x, y, ANCHOR_LEFT, text);
}

/* The strip above the plot carries the label; the plot below it is shaded faintly. */
static void draw_band(struct plotting *p, size_t i)
{
    const struct band_area *band = &p->picture->bands[i];
    double right = p->plot.x + p->plot.width;
    double low = fmin(fmax(place_x(p, band->low), p->plot.x), right);
    double high = fmin(fmax(place_x(p, band->high), p->plot.x), right);
    double top = p->plot.y - (double)(p->picture->band_count - i) * p->strip_height - p->unit;
    struct box strip = {low, top, high - low, 0.86 * p->strip_height};
    struct box below = {low, p->plot.y, high - low, p->plot.height};
    struct type type = {type_small.points, false, band->role};
    sheet_hatch(p->sheet, band->role, below, true);
    sheet_hatch(p->sheet, band->role, strip, false);
    sheet_line_style(p->sheet, band->role, 0.3);
    cairo_rectangle(p->sheet->pen, strip.x, strip.y, strip.width, strip.height);
    cairo_stroke(p->sheet->pen);
    sheet_line(p->sheet, low, p->plot.y, low, p->plot.y + p->plot.height);
    sheet_line(p->sheet, high, p->plot.y, high, p->plot.y + p->plot.height);
    double width = sheet_text_width(p->sheet, type, band->label), gap = 1.2 * p->unit;
    double x = low + gap; /* inside, else behind, else ahead of the strip */
    if (width + 2.0 * gap > strip.width) {
        x = high + gap + width <= right ? high + gap : fmax(p->inside.x, low - gap - width);
    }
    write_on_white(p, type, x, top + 0.62 * p->strip_height, band->label);
}

static bool overlaps(const struct plotting *p, struct box a)
{
    for (int i = 0; i < p->label_count; i++) {
        const struct box *b = &p->labels[i];
        if (a.x < b->x + b->width && b->x < a.x + a.width && a.y < b->y + b->height &&
            b->y < a.y + a.height) {
            return true;
        }
    }
    return false;
}

/* Finds the mark's label a place inside the plot that no other label has. */
static void label_mark(struct plotting *p, const struct mark *mark, double at)
{
    struct type type = {type_small.points, false, mark->role};
    double line = sheet_line_height(p->sheet, type), gap = p->unit;
    double right = p->plot.x + p->plot.width;
    struct box label = {0.0, 0.0, sheet_text_width(p->sheet, type, mark->label), line};
    if (mark->vertical) {
        label.x = at + gap;
        label.y = p->plot.y + 0.4 * p->unit;
        if (label.x + label.width > right) {
            label.x = fmax(p->plot.x, at - gap - label.width);
        }
    } else {
        label.x = fmax(p->plot.x, right - gap - label.width);
        label.y = at - 1.15 * line;
        if (label.y < p->plot.y) {
            label.y = at + 0.15 * line;
        }
    }
    while (overlaps(p, label) && label.y + 2.0 * line < p->plot.y + p->plot.height) {
        label.y += line;
    }
    if (p->label_count < LABELS_MAX) {
        p->labels[p->label_count++] = label;
    }
    write_on_white(p, type, label.x, label.y + 0.74 * line, mark->label);
}

static void draw_mark(struct plotting *p, const struct mark *mark)
{
    const struct axis *axis = mark->vertical ? &p->picture->x : &p->picture->y;
    if (!shown(axis, mark->at)) {
        return;
    }
    double at = mark->vertical ? place_x(p, mark->at) : place_y(p, mark->at);
    sheet_line_style(p->sheet, mark->role, 0.45);
    if (mark->vertical) {
        sheet_line(p->sheet, at, p->plot.y, at, p->plot.y + p->plot.height);
    } else {
        sheet_line(p->sheet, p->plot.x, at, p->plot.x + p->plot.width, at);
    }
}

static bool known(const struct plotting *p, const struct series *series, size_t i)
{
    return isfinite(place_x(p, series->x[i])) && isfinite(place_y(p, series->y[i]));
}

static void trace_line(const struct plotting *p, const struct series *series)
{
    bool down = false;
    cairo_t *pen = p->sheet->pen;
    for (size_t i = 0; i < series->count; i++) {
        if (!known(p, series, i)) {
            down = false;
            continue;
        }
        double x = place_x(p, series->x[i]), y = place_y(p, series->y[i]);
        if (!down) {
            cairo_move_to(pen, x, y);
        } else {
            if (series->kind == SERIES_STEPS) {
                double before;
                cairo_get_current_point(pen, NULL, &before);
                cairo_line_to(pen, x, before);
            }
            cairo_line_to(pen, x, y);
        }
        down = true;
    }
    cairo_stroke(pen);
}

static bool inside_plot(const struct plotting *p, const struct series *series, size_t i)
{
    return known(p, series, i) && shown(&p->picture->x, series->x[i]) &&
           shown(&p->picture->y, series->y[i]);
}

/* Markers at a few places of a line, staggered from series to series. */
static void mark_line(struct plotting *p, size_t which, char marker)
{
    const struct series *series = &p->picture->series[which];
    size_t every = series->count / MARKERS_ON_LINE + 1;
    for (size_t i = (which * every / 3) % every; i < series->count; i += every) {
        if (inside_plot(p, series, i)) {
            sheet_marker(p->sheet, series->role, marker, place_x(p, series->x[i]),
                         place_y(p, series->y[i]));
        }
    }
}

static void draw_bars(struct plotting *p, const struct series *series)
{
    const struct axis *axis = &p->picture->y;
    double bottom = p->plot.y + p->plot.height;
    for (size_t i = 0; i + 1 < series->count; i += 2) {
        double low = series->y[i], high = series->y[i + 1];
        double y_low = fmin(place_y(p, low), bottom), y_high = fmax(place_y(p, high), p->plot.y);
        if (known(p, series, i) && known(p, series, i + 1) && y_low >= y_high &&
            shown(&p->picture->x, series->x[i])) {
            draw_bar(p, series->role, place_x(p, series->x[i]), y_low, y_high, shown(axis, low),
                     shown(axis, high));
        }
    }
}

static void draw_series(struct plotting *p, size_t which)
{
    const struct series *series = &p->picture->series[which];
    struct sheet *sheet = p->sheet;
    char marker = marker_of(p->picture, which);
    if (series->kind == SERIES_BARS) {
        draw_bars(p, series);
        return;
    }
    if (is_line(series)) {
        cairo_save(sheet->pen);
        cairo_rectangle(sheet->pen, p->plot.x, p->plot.y, p->plot.width, p->plot.height);
        cairo_clip(sheet->pen);
        sheet_line_style(sheet, series->role, 0.55);
        trace_line(p, series);
        cairo_restore(sheet->pen);
        if (marker != ' ') {
            mark_line(p, which, marker);
        }
        return;
    }
    double bottom = p->plot.y + p->plot.height;
    for (size_t i = 0; i < series->count; i++) {
        if (inside_plot(p, series, i)) {
            double x = place_x(p, series->x[i]), y = place_y(p, series->y[i]);
            if (series->kind == SERIES_STEMS) {
                sheet_line_style(sheet, series->role, 0.6);
                cairo_set_dash(sheet->pen, NULL, 0, 0.0);
                sheet_line(sheet, x, bottom, x, y);
            }
            sheet_marker(sheet, series->role, marker, x, y);
        }
    }
}

void sheet_draw_picture(struct sheet *sheet, const struct picture *picture, struct box box)
{
    struct plotting p = {.sheet = sheet, .picture = picture, .unit = sheet->scale};
    lay_out(&p, box);
    sheet_write_wrapped(sheet, type_title, p.inside.x, p.inside.y, p.inside.width, picture->title,
                        true);
    legend(&p, p.inside.y + p.title_height, true);
    draw_grid_lines(&p);
    for (size_t i = 0; i < picture->band_count; i++) {
        draw_band(&p, i);
    }
    for (size_t i = 0; i < picture->mark_count; i++) {
        draw_mark(&p, &picture->marks[i]);
    }
    for (size_t i = 0; i < picture->series_count; i++) {
        draw_series(&p, i);
    }
    for (size_t i = 0; i < picture->mark_count; i++) {
        const struct mark *mark = &picture->marks[i];
        const struct axis *axis = mark->vertical ? &picture->x : &picture->y;
        if (shown(axis, mark->at)) {
            label_mark(&p, mark, mark->vertical ? place_x(&p, mark->at) : place_y(&p, mark->at));
        }
    }
    draw_axes(&p);
    sheet_write_wrapped(sheet, type_small, p.inside.x, p.inside.y + p.inside.height - p.note_height,
                        p.inside.width, picture->note, true);
}
