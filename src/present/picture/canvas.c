/* Dots and lines inside cells, and their characters: braille, or plain ASCII from the same dots. */
#include "present/picture/canvas.h"

#include <math.h>

#define BRAILLE 0x2800u

int canvas_width(const struct canvas *canvas)
{
    return canvas->area.columns * 2;
}

int canvas_height(const struct canvas *canvas)
{
    return canvas->area.rows * 4;
}

static struct grid_cell *cell_at(const struct canvas *canvas, int row, int column)
{
    row += canvas->area.row;
    column += canvas->area.column;
    const struct grid *grid = canvas->grid;
    if (row < 0 || row >= grid->rows || column < 0 || column >= grid->columns) {
        return NULL;
    }
    return &grid->cells[row * grid->columns + column];
}

void canvas_dot(struct canvas *canvas, int x, int y, enum role role)
{
    static const uint8_t bits[4][2] = {{0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}};
    if (x < 0 || y < 0 || x >= canvas_width(canvas) || y >= canvas_height(canvas)) {
        return;
    }
    struct grid_cell *cell = cell_at(canvas, y / 4, x / 2);
    if (!cell) {
        return;
    }
    if ((cell->glyph & ~0xFFu) != BRAILLE) {
        cell->glyph = BRAILLE;
    }
    cell->glyph |= bits[y % 4][x % 2];
    cell->role = (uint8_t)role;
}

/* Keeps the part of a segment inside [0, most] along one axis (Liang and Barsky). */
static bool clip_axis(double start, double delta, double most, double *from, double *to)
{
    if (delta == 0.0) {
        return start >= 0.0 && start <= most;
    }
    double a = -start / delta, b = (most - start) / delta;
    *from = fmax(*from, fmin(a, b));
    *to = fmin(*to, fmax(a, b));
    return *from <= *to;
}

void canvas_line(struct canvas *canvas, struct canvas_pen *pen, double x0, double y0, double x1,
                 double y1)
{
    static const struct {
        int on, period;
    } patterns[] = {[LINE_SOLID] = {1, 1}, [LINE_DASHED] = {4, 7}, [LINE_DOTTED] = {1, 3}};
    if (!isfinite(x0) || !isfinite(y0) || !isfinite(x1) || !isfinite(y1)) {
        return;
    }
    double dx = x1 - x0, dy = y1 - y0, from = 0.0, to = 1.0;
    if (!clip_axis(x0, dx, canvas_width(canvas) - 1, &from, &to) ||
        !clip_axis(y0, dy, canvas_height(canvas) - 1, &from, &to)) {
        return;
    }
    double xa = x0 + from * dx, ya = y0 + from * dy, xb = x0 + to * dx, yb = y0 + to * dy;
    int steps = (int)lround(fmax(fabs(xb - xa), fabs(yb - ya)));
    for (int i = 0; i <= steps; i++) {
        double t = steps == 0 ? 0.0 : (double)i / steps;
        if (pen->phase % patterns[pen->pattern].period < patterns[pen->pattern].on) {
            canvas_dot(canvas, (int)lround(xa + t * (xb - xa)), (int)lround(ya + t * (yb - ya)),
                       pen->role);
        }
        if (i < steps) {
            pen->phase++;
        }
    }
}

/* The mean height (0 top .. 3 bottom) and the spread of the dots of one column of a cell. */
static int column_dots(uint32_t pattern, int column, double *mean, int *span)
{
    static const uint8_t bits[2][4] = {{0x01, 0x02, 0x04, 0x40}, {0x08, 0x10, 0x20, 0x80}};
    int count = 0, sum = 0, first = 0, last = 0;
    for (int i = 0; i < 4; i++) {
        if (pattern & bits[column][i]) {
            first = count == 0 ? i : first;
            last = i;
            sum += i;
            count++;
        }
    }
    *mean = count ? (double)sum / count : 0.0;
    *span = last - first;
    return count;
}

/* The character whose ink lies nearest to the dots. */
static uint32_t ascii_for(uint32_t pattern)
{
    double left, right;
    int left_span, right_span;
    int left_count = column_dots(pattern, 0, &left, &left_span);
    int right_count = column_dots(pattern, 1, &right, &right_span);
    if (left_count + right_count >= 6) {
        return '#';
    }
    if (left_count > 0 && right_count > 0) {
        if (left - right > 1.2) {
            return '/';
        }
        if (right - left > 1.2) {
            return '\\';
        }
        double mean = (left + right) / 2;
        return mean < 0.75 ? '"' : mean < 2.5 ? '-' : '_';
    }
    double mean = left_count ? left : right;
    if (left_span >= 2 || right_span >= 2) {
        return '|';
    }
    return mean < 1.0 ? '\'' : mean < 2.0 ? '-' : mean < 2.75 ? ',' : '.';
}

void canvas_finish(struct canvas *canvas)
{
    if (!canvas->grid->ascii) {
        return;
    }
    for (int row = 0; row < canvas->area.rows; row++) {
        for (int column = 0; column < canvas->area.columns; column++) {
            struct grid_cell *cell = cell_at(canvas, row, column);
            if (cell && (cell->glyph & ~0xFFu) == BRAILLE) {
                uint32_t pattern = cell->glyph & 0xFF;
                cell->glyph = pattern ? ascii_for(pattern) : ' ';
            }
        }
    }
}
