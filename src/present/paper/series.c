/* The data of a picture on paper: lines, markers, and letters in rings. */
#include <math.h>
#include <string.h>

#include "present/paper/plot.h"

#define MARKERS_ON_LINE 6

bool plot_is_line(const struct series *series)
{
    return series->kind == SERIES_LINE || series->kind == SERIES_STEPS;
}

/* Lines take a marker each when there are several, so that grey and crossing lines stay apart. */
char plot_marker(const struct picture *picture, size_t i)
{
    static const char line_markers[] = "ostdx+*";
    size_t lines = 0, before = 0;
    if (picture->series[i].kind == SERIES_BARS || picture->series[i].kind == SERIES_AREA) {
        return ' ';
    }
    if (!plot_is_line(&picture->series[i])) {
        return picture->series[i].glyph ? picture->series[i].glyph : '.';
    }
    for (size_t k = 0; k < picture->series_count; k++) {
        lines += plot_is_line(&picture->series[k]);
        before += k < i && plot_is_line(&picture->series[k]);
    }
    return lines > 1 ? line_markers[before % (sizeof line_markers - 1)] : ' ';
}

double plot_x(const struct plotting *p, double x)
{
    return p->plot.x + picture_axis_place(&p->picture->x, x) * p->plot.width;
}

double plot_y(const struct plotting *p, double y)
{
    return p->plot.y + (1.0 - picture_axis_place(&p->picture->y, y)) * p->plot.height;
}

bool plot_shows(const struct axis *axis, double value)
{
    double place = picture_axis_place(axis, value);
    return place >= -1e-9 && place <= 1.0 + 1e-9;
}

bool plot_shows_mark(const struct plotting *p, const struct mark *mark, double *at)
{
    *at = mark->vertical ? plot_x(p, mark->at) : plot_y(p, mark->at);
    return plot_shows(mark->vertical ? &p->picture->x : &p->picture->y, mark->at);
}

bool plot_knows(const struct plotting *p, const struct series *series, size_t i)
{
    return isfinite(plot_x(p, series->x[i])) && isfinite(plot_y(p, series->y[i]));
}

static void trace_line(const struct plotting *p, const struct series *series)
{
    bool down = false;
    cairo_t *pen = p->sheet->pen;
    for (size_t i = 0; i < series->count; i++) {
        if (!plot_knows(p, series, i)) {
            down = false;
            continue;
        }
        double x = plot_x(p, series->x[i]), y = plot_y(p, series->y[i]);
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
    return plot_knows(p, series, i) && plot_shows(&p->picture->x, series->x[i]) &&
           plot_shows(&p->picture->y, series->y[i]);
}

/* Markers stand at a few places of a line, staggered from series to series. */
bool plot_has_marker(const struct plotting *p, size_t which, size_t i)
{
    const struct series *series = &p->picture->series[which];
    size_t every = plot_is_line(series) ? series->count / MARKERS_ON_LINE + 1 : 1;
    return plot_marker(p->picture, which) != ' ' && i % every == (which * every / 3) % every &&
           inside_plot(p, series, i);
}

static void draw_line(struct plotting *p, size_t which)
{
    const struct series *series = &p->picture->series[which];
    cairo_save(p->sheet->pen);
    cairo_rectangle(p->sheet->pen, p->plot.x, p->plot.y, p->plot.width, p->plot.height);
    cairo_clip(p->sheet->pen);
    sheet_line_style(p->sheet, series->role, CURVE_MM);
    trace_line(p, series);
    cairo_restore(p->sheet->pen);
}

void plot_draw_bar(const struct plotting *p, enum role role, double x, double y_low, double y_high,
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

static void draw_bars(const struct plotting *p, const struct series *series)
{
    const struct axis *axis = &p->picture->y;
    double bottom = p->plot.y + p->plot.height;
    for (size_t i = 0; i + 1 < series->count; i += 2) {
        double low = series->y[i], high = series->y[i + 1];
        double y_low = fmin(plot_y(p, low), bottom), y_high = fmax(plot_y(p, high), p->plot.y);
        if (plot_knows(p, series, i) && plot_knows(p, series, i + 1) && y_low >= y_high &&
            plot_shows(&p->picture->x, series->x[i])) {
            plot_draw_bar(p, series->role, plot_x(p, series->x[i]), y_low, y_high,
                          plot_shows(axis, low), plot_shows(axis, high));
        }
    }
}

/* The whole plot is hatched as far as the tiles show it, so that lines run on from tile to tile. */
static void draw_area(const struct plotting *p, const struct series *series)
{
    cairo_t *pen = p->sheet->pen;
    cairo_save(pen);
    for (size_t i = 0; i < series->count; i++) {
        double left = plot_x(p, series->x[i] - 0.5 * series->tile_x);
        double top = plot_y(p, series->y[i] + 0.5 * series->tile_y);
        cairo_rectangle(pen, left, top, plot_x(p, series->x[i] + 0.5 * series->tile_x) - left,
                        plot_y(p, series->y[i] - 0.5 * series->tile_y) - top);
    }
    cairo_clip(pen);
    if (series->count > 0) {
        sheet_hatch(p->sheet, series->role, p->plot, false);
    }
    cairo_restore(pen);
}

void plot_draw_series(struct plotting *p, size_t which)
{
    const struct series *series = &p->picture->series[which];
    struct sheet *sheet = p->sheet;
    char marker = plot_marker(p->picture, which);
    if (series->kind == SERIES_BARS) {
        draw_bars(p, series);
    } else if (series->kind == SERIES_AREA) {
        draw_area(p, series);
    } else if (plot_is_line(series)) {
        draw_line(p, which);
    }
    double bottom = p->plot.y + p->plot.height;
    for (size_t i = 0; i < series->count; i++) {
        if (!plot_has_marker(p, which, i)) {
            continue;
        }
        double x = plot_x(p, series->x[i]), y = plot_y(p, series->y[i]);
        if (series->kind == SERIES_STEMS) {
            sheet_line_style(sheet, series->role, 0.6);
            cairo_set_dash(sheet->pen, NULL, 0, 0.0);
            sheet_line(sheet, x, bottom, x, y);
        }
        if (!sheet_is_letter(marker)) {
            sheet_marker(sheet, series->role, marker, x, y);
        }
    }
}

/* ---- Letters. ---- */

#define LETTERS_MAX (2 * PICTURE_SERIES_MAX)

/* Letters of points that lie on each other: "1,2". */
struct letters {
    char text[2 * LETTERS_MAX];
    enum role role; /* of all; ROLE_PLAIN where they differ */
    double x, y;    /* of the first */
};

static void join(struct letters *letters, char letter, enum role role)
{
    size_t used = strlen(letters->text);
    text_format(letters->text + used, sizeof letters->text - used, ",%c", letter);
    letters->role = letters->role == role ? role : ROLE_PLAIN;
}

static size_t add_letter(const struct plotting *p, struct letters *all, size_t count,
                         struct letters letter)
{
    double near = 1.2 * sheet_ring_radius(p->sheet);
    for (size_t i = 0; i < count; i++) {
        if (hypot(all[i].x - letter.x, all[i].y - letter.y) < near) {
            join(&all[i], letter.text[0], letter.role);
            return count;
        }
    }
    if (count < LETTERS_MAX) {
        all[count++] = letter;
    }
    return count;
}

static size_t gather_letters(const struct plotting *p, struct letters *all)
{
    size_t count = 0;
    for (size_t s = 0; s < p->picture->series_count; s++) {
        const struct series *series = &p->picture->series[s];
        char marker = plot_marker(p->picture, s);
        for (size_t i = 0; i < series->count && sheet_is_letter(marker); i++) {
            if (plot_has_marker(p, s, i)) {
                struct letters letter = {
                    {marker}, series->role, plot_x(p, series->x[i]), plot_y(p, series->y[i])};
                count = add_letter(p, all, count, letter);
            }
        }
    }
    return count;
}

void plot_draw_letters(struct plotting *p)
{
    struct letters all[LETTERS_MAX];
    size_t count = gather_letters(p, all);
    for (size_t i = 0; i < count; i++) {
        sheet_letters(p->sheet, all[i].role, all[i].text, all[i].x, all[i].y);
    }
}
