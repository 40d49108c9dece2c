/* A picture on paper. From the top: title, legend, a strip for each band, the plot with the bands'
 * faint shading, ticks, the axes' captions, the note. Texts wrap; the plot gets what is left. A
 * mark's label stands at its line where it covers no data, else in the legend. Where every name of
 * a point must be read and some find no place beside theirs, the legend tells all of them. */

#include <math.h>
#include <string.h>

#include "present/paper/plot.h"

static void caption(const struct axis *axis, char *buffer, size_t size)
{
    text_format(buffer, size, "%s%s%s%s", axis->label, axis->unit[0] && axis->label[0] ? " (" : "",
                axis->unit, axis->unit[0] && axis->label[0] ? ")" : "");
}

/* ---- Legend. ---- */

/* A digit or letter that stands for the line without a label just before it: both are its sample.
 */
static bool names_line(const struct picture *picture, size_t i)
{
    const struct series *series = &picture->series[i];
    return i > 0 && !plot_is_line(series) && plot_is_line(&series[-1]) &&
           series[-1].label[0] == '\0' && series[-1].role == series->role;
}

/* Legend entries: those of the series, then those of the marks. */
static const char *entry_label(const struct plotting *p, size_t entry)
{
    const struct picture *picture = p->picture;
    if (entry < picture->series_count) {
        const struct series *series = &picture->series[entry];
        return series->count > 0 ? series->label : "";
    }
    size_t mark = entry - picture->series_count;
    return p->labels[mark].in_legend ? picture->marks[mark].label : "";
}

#define LINE_SAMPLE 9.0 /* millimetres at the sheet's scale */
#define POINT_SAMPLE 4.0

static double sample_width(const struct plotting *p, size_t entry)
{
    bool mark = entry >= p->picture->series_count;
    bool line = mark || plot_is_line(&p->picture->series[entry]);
    bool both = !mark && names_line(p->picture, entry);
    return p->unit * (line ? LINE_SAMPLE : both ? LINE_SAMPLE + POINT_SAMPLE : POINT_SAMPLE);
}

static void draw_line_sample(const struct plotting *p, enum role role, double thickness, double x,
                             double y)
{
    sheet_line_style(p->sheet, role, thickness);
    sheet_line(p->sheet, x, y, x + LINE_SAMPLE * p->unit, y);
}

static void draw_sample(const struct plotting *p, size_t entry, double x, double y)
{
    const struct picture *picture = p->picture;
    if (entry >= picture->series_count) {
        draw_line_sample(p, picture->marks[entry - picture->series_count].role, MARK_MM, x, y);
        return;
    }
    const struct series *series = &picture->series[entry];
    char marker = plot_marker(picture, entry);
    double width = sample_width(p, entry);
    if (names_line(picture, entry)) {
        draw_sample(p, entry - 1, x, y);
        x += LINE_SAMPLE * p->unit;
        width -= LINE_SAMPLE * p->unit;
    } else if (plot_is_line(series)) {
        draw_line_sample(p, series->role, CURVE_MM, x, y);
    } else if (series->kind == SERIES_AREA) {
        double half = 0.5 * POINT_SAMPLE * p->unit;
        sheet_hatch(p->sheet, series->role, (struct box){x, y - half, 2.0 * half, 2.0 * half},
                    false);
    } else if (series->kind == SERIES_BARS) {
        plot_draw_bar(p, series->role, x + width / 2.0, y + 1.3 * p->unit, y - 1.3 * p->unit, true,
                      true);
    }
    if (marker != ' ') {
        sheet_marker(p->sheet, series->role, marker, x + width / 2.0, y);
    }
}

/* Where the next piece of the legend begins. */
struct legend_pen {
    double x, y;
    bool draw;
};

/* A sample and its label, or more of the same entry (no sample), whole in one line. */
static void legend_piece(const struct plotting *p, struct legend_pen *pen, size_t entry,
                         bool has_sample, const char *text)
{
    double line = sheet_line_height(p->sheet, type_text);
    double sample = has_sample ? sample_width(p, entry) + 1.5 * p->unit : 0.0;
    double width = sample + sheet_text_width(p->sheet, type_text, text);
    if (pen->x > p->inside.x && pen->x + width > p->inside.x + p->inside.width) {
        pen->x = p->inside.x;
        pen->y += line;
    }
    if (pen->draw && has_sample) {
        draw_sample(p, entry, pen->x, pen->y + 0.5 * line);
    }
    if (pen->draw) {
        sheet_write(p->sheet, type_text, pen->x + sample, pen->y + 0.74 * line, ANCHOR_LEFT, text);
    }
    pen->x += width;
}

/* The names of its points instead of its label, in lines of their own. */
static void legend_names(const struct plotting *p, struct legend_pen *pen, size_t entry)
{
    const struct series *series = &p->picture->series[entry];
    char text[PICTURE_NAME_BYTES + 2];
    bool first = true;
    if (pen->x > p->inside.x) {
        pen->x = p->inside.x;
        pen->y += sheet_line_height(p->sheet, type_text);
    }
    for (size_t i = 0; series_tell_name(series, &i, text, sizeof text); first = false) {
        legend_piece(p, pen, entry, first, text);
        pen->x += p->unit;
    }
}

/* Entries side by side, wrapped; returns the height. */
static double legend(struct plotting *p, double top, bool draw)
{
    struct legend_pen pen = {p->inside.x, top, draw};
    size_t series_count = p->picture->series_count;
    double height = 0.0;
    for (size_t i = 0; i < series_count + p->picture->mark_count; i++) {
        const char *label = entry_label(p, i);
        if (label[0] == '\0') {
            continue;
        }
        if (p->told && i < series_count && p->picture->series[i].names) {
            legend_names(p, &pen, i);
        } else {
            legend_piece(p, &pen, i, true, label);
            pen.x += 4.0 * p->unit;
        }
        height = pen.y + sheet_line_height(p->sheet, type_text) - top;
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
    p->left = widest + 2.0 * p->unit + (picture->y.label[0] ? 1.1 * line : 0.0);
    p->plot.x = p->inside.x + p->left;
    p->plot.width = p->inside.width - p->left - 2.0 * p->unit;
    if (picture->to_scale) {
        double shape = (picture->x.high - picture->x.low) / (picture->y.high - picture->y.low);
        double width = fmin(p->plot.width, p->plot.height * shape);
        p->plot.x += 0.5 * (p->plot.width - width);
        p->plot.width = width;
        p->plot.y += 0.5 * (p->plot.height - width / shape);
        p->plot.height = width / shape;
    }
    double tick_width = 4.0 * sheet_text_width(sheet, type_text, "000");
    most = (int)fmin(TICKS_MAX, fmax(2.0, p->plot.width / tick_width * 2.0));
    p->x_tick_count = picture_axis_ticks(&picture->x, most, p->x_ticks);
}

/* ---- Parts. ---- */

static void draw_grid_lines(const struct plotting *p)
{
    cairo_set_source_rgb(p->sheet->pen, 0.85, 0.85, 0.85);
    cairo_set_line_width(p->sheet->pen, 0.15 * p->unit);
    cairo_set_dash(p->sheet->pen, NULL, 0, 0.0);
    for (int i = 0; i < p->x_tick_count; i++) {
        double x = plot_x(p, p->x_ticks[i]);
        sheet_line(p->sheet, x, p->plot.y, x, p->plot.y + p->plot.height);
    }
    for (int i = 0; i < p->y_tick_count; i++) {
        double y = plot_y(p, p->y_ticks[i]);
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
        double x = plot_x(p, p->x_ticks[i]);
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
        double y = plot_y(p, p->y_ticks[i]);
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
        sheet_write_upwards(sheet, type_text, p->plot.x - p->left + 0.75 * line,
                            p->plot.y + p->plot.height / 2.0, text);
    }
}

void plot_write_on_white(const struct plotting *p, struct type type, double x, double y,
                         const char *text)
{
    double width = sheet_text_width(p->sheet, type, text);
    double line = sheet_line_height(p->sheet, type);
    cairo_set_source_rgba(p->sheet->pen, 1.0, 1.0, 1.0, 0.85);
    cairo_rectangle(p->sheet->pen, x - PATCH_EDGE * p->unit, y - 0.74 * line,
                    width + 2.0 * PATCH_EDGE * p->unit, line);
    cairo_fill(p->sheet->pen);
    sheet_write(p->sheet, type, x, y, ANCHOR_LEFT, text);
}

/* The strip above the plot carries the label; the plot below it is shaded faintly. */
static void draw_band(struct plotting *p, size_t i)
{
    const struct band_area *band = &p->picture->bands[i];
    double right = p->plot.x + p->plot.width;
    double low = fmin(fmax(plot_x(p, band->low), p->plot.x), right);
    double high = fmin(fmax(plot_x(p, band->high), p->plot.x), right);
    double top = p->plot.y - (double)(p->picture->band_count - i) * p->strip_height - p->unit;
    struct box strip = {low, top, high - low, 0.86 * p->strip_height};
    struct box below = {low, p->plot.y, high - low, p->plot.height};
    struct type type = {type_small.points, false, band->role};
    sheet_hatch(p->sheet, band->role, below, true);
    sheet_hatch(p->sheet, band->role, strip, false);
    sheet_line_style(p->sheet, band->role, 0.3);
    sheet_line(p->sheet, low, strip.y, high, strip.y);
    sheet_line(p->sheet, low, strip.y + strip.height, high, strip.y + strip.height);
    if (plot_shows(&p->picture->x, band->low)) { /* else it goes on beyond the plot */
        sheet_line(p->sheet, low, strip.y, low, strip.y + strip.height);
        sheet_line(p->sheet, low, p->plot.y, low, p->plot.y + p->plot.height);
    }
    if (plot_shows(&p->picture->x, band->high)) {
        sheet_line(p->sheet, high, strip.y, high, strip.y + strip.height);
        sheet_line(p->sheet, high, p->plot.y, high, p->plot.y + p->plot.height);
    }
    double width = sheet_text_width(p->sheet, type, band->label), gap = 1.2 * p->unit;
    double x = low + gap; /* inside, else behind, else ahead of the strip */
    if (width + 2.0 * gap > strip.width) {
        x = high + gap + width <= right ? high + gap : fmax(p->inside.x, low - gap - width);
    }
    plot_write_on_white(p, type, x, top + 0.62 * p->strip_height, band->label);
}

static void draw_mark(struct plotting *p, const struct mark *mark)
{
    double at;
    if (!plot_shows_mark(p, mark, &at)) {
        return;
    }
    sheet_line_style(p->sheet, mark->role, MARK_MM);
    if (mark->vertical) {
        sheet_line(p->sheet, at, p->plot.y, at, p->plot.y + p->plot.height);
    } else {
        sheet_line(p->sheet, p->plot.x, at, p->plot.x + p->plot.width, at);
    }
}

static void draw_labels(struct plotting *p)
{
    double at;
    for (size_t i = 0; i < p->picture->mark_count; i++) {
        const struct mark *mark = &p->picture->marks[i];
        const struct mark_label *label = &p->labels[i];
        if (label->in_legend || !plot_shows_mark(p, mark, &at)) {
            continue;
        }
        struct type type = plot_label_type(mark);
        double x = label->box.x + PATCH_EDGE * p->unit, line = sheet_line_height(p->sheet, type);
        char first[sizeof mark->label];
        text_format(first, sizeof first, "%.*s",
                    (int)(label->break_at ? label->break_at : strlen(mark->label)), mark->label);
        plot_write_on_white(p, type, x, label->box.y + 0.74 * line, first);
        if (label->break_at) {
            plot_write_on_white(p, type, x, label->box.y + 1.74 * line,
                                mark->label + label->break_at + 1);
        }
    }
}

/* True where from now on the legend tells the names of points. */
static bool tells_now(struct plotting *p)
{
    bool tells = p->picture->every_name && !p->told && !plot_has_room_for_names(p);
    p->told |= tells;
    return tells;
}

void sheet_draw_picture(struct sheet *sheet, const struct picture *picture, struct box box)
{
    struct plotting p = {.sheet = sheet, .picture = picture, .unit = sheet->scale};
    do { /* a label that moves into the legend takes height from the plot, and so do all names */
        lay_out(&p, box);
    } while (!plot_place_labels(&p) || tells_now(&p));
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
        plot_draw_series(&p, i);
    }
    plot_draw_letters(&p);
    draw_labels(&p);
    if (!p.told) {
        plot_draw_names(&p);
    }
    draw_axes(&p);
    sheet_write_wrapped(sheet, type_small, p.inside.x, p.inside.y + p.inside.height - p.note_height,
                        p.inside.width, picture->note, true);
}
