/* A picture drawn with characters. From the top: the title with what the y axis shows and, where
 * the width allows, the legend; a row for each band; the plot of braille dots with y ticks at its
 * left; the x axis; its ticks and caption; the note. What the height does not allow is left out in
 * the order note, axis line, legend row; a legend that is left without takes the title's place.
 * Where every name of a point must be read and some find no place beside theirs, the legend tells
 * all of them. */
#include "present/picture/canvas.h"
#include "present/picture/legend.h"
#include "present/picture/picture.h"

#include <math.h>
#include <string.h>

#define TICKS_MAX 16
#define ROWS_MIN 3
#define PLOT_ROWS_MIN 2 /* bands that matter less leave to it, beside title and ticks */
#define COLUMNS_MIN 24
#define TITLE_COLUMNS_MIN 8 /* beside the y axis's caption */
#define LEGEND_ROOM 6       /* rows below title and bands that leave one to the legend */
#define TOLD_PLOT_ROWS                                                        \
    5 /* with the axis's: where a legend of names leaves less, the title goes \
       */

struct frame_of_picture {
    const struct picture *picture;
    struct grid *grid;
    struct rect area;
    int title_row, legend_row, bands_row, axis_row, ticks_row, note_row; /* -1: left out */
    int legend_rows;     /* of its own; 0: it stands in the title's */
    bool legend_instead; /* of the title: where the picture stands, its heading names it too */
    bool told;           /* the points' names stand in the legend */
    int unnamed;         /* points whose names found no place */
    struct rect plot;
    struct canvas canvas;
    int bands_shown, x_tick_count, y_tick_count;
    double x_ticks[TICKS_MAX], y_ticks[TICKS_MAX];
};

static void caption(const struct axis *axis, char *buffer, size_t size)
{
    text_format(buffer, size, "%s%s%s", axis->label, axis->unit[0] && axis->label[0] ? ", " : "",
                axis->unit);
}

/* Writes what lies between the picture's left and right ends. */
static int write_inside(const struct frame_of_picture *f, int row, int column, enum role role,
                        const char *text)
{
    int room = f->area.column + f->area.columns - column;
    if (column < f->area.column || room <= 0) {
        return 0;
    }
    return grid_write(f->grid, row, column, room, role, text);
}

/* ---- Layout. ---- */

/* "[level, dB]". */
static int caption_width(const struct picture *picture)
{
    char y[96];
    caption(&picture->y, y, sizeof y);
    return y[0] ? (int)text_columns(y) + 2 : 0;
}

static int title_width(const struct picture *picture)
{
    int y = caption_width(picture);
    return (int)text_columns(picture->title) + (y > 0 ? y + 2 : 0);
}

/* Where the height is short the bands that matter less give way to the plot. */
static bool band_gives_way(const struct band_area *band)
{
    return band->role == ROLE_DIM;
}

static int bands_shown(const struct picture *picture, int rows)
{
    int shown = (int)picture->band_count;
    for (size_t i = 0; i < picture->band_count && shown > rows; i++) {
        shown -= band_gives_way(&picture->bands[i]);
    }
    return shown;
}

static struct legend legend_of(const struct frame_of_picture *f)
{
    return (struct legend){f->picture, f->area.columns, f->grid->ascii, f->told};
}

static void lay_out_rows(struct frame_of_picture *f)
{
    const struct picture *picture = f->picture;
    struct rect area = f->area;
    f->bands_shown = bands_shown(picture, area.rows - 2 - PLOT_ROWS_MIN);
    int row = area.row, left = area.rows - 1 - f->bands_shown;
    f->title_row = row++;
    const struct legend in_legend = legend_of(f);
    int legend = legend_width(&in_legend), rows = legend_rows(&in_legend);
    bool legend_beside = legend > 0 && title_width(picture) + 3 + legend <= area.columns;
    f->legend_row = legend_beside ? f->title_row : -1;
    if (f->told) {
        f->legend_instead = left - rows < TOLD_PLOT_ROWS;
        f->legend_row = f->legend_instead ? f->title_row : row;
        f->legend_rows = rows;
        rows -= f->legend_instead;
        row += rows;
        left -= rows;
    } else if (legend > 0 && !legend_beside && left >= LEGEND_ROOM) {
        int most = left - LEGEND_ROOM + 1;
        f->legend_row = row;
        f->legend_rows = rows < most ? rows : most;
        row += f->legend_rows;
        left -= f->legend_rows;
    } else if (legend > 0 && !legend_beside) {
        f->legend_instead = caption_width(picture) + 3 + legend <= area.columns;
        f->legend_row = f->legend_instead ? f->title_row : -1;
    }
    f->bands_row = row;
    row += f->bands_shown;
    int bottom = area.row + area.rows;
    f->note_row = picture->note[0] && left >= 7 ? --bottom : -1;
    f->ticks_row = --bottom;
    f->axis_row = bottom - row >= 5 ? --bottom : -1;
    f->plot.row = row;
    f->plot.rows = bottom - row;
}

/* A character is twice as high as wide. What a map does not need stays empty to its right. */
static void keep_scale(struct frame_of_picture *f)
{
    const struct axis *x = &f->picture->x, *y = &f->picture->y;
    double shape = 2.0 * (x->high - x->low) / (y->high - y->low);
    int columns = (int)lround(f->plot.rows * shape), rows = (int)lround(f->plot.columns / shape);
    if (columns < COLUMNS_MIN) {
        return; /* no room for a map that is one: better stretched than not seen */
    }
    f->plot.columns = columns < f->plot.columns ? columns : f->plot.columns;
    if (rows < f->plot.rows) {
        f->plot.row += f->plot.rows - rows; /* the axis stays where it is */
        f->plot.rows = rows;
    }
}

static void lay_out_columns(struct frame_of_picture *f)
{
    const struct picture *picture = f->picture;
    int most = f->plot.rows < 3 ? 2 : f->plot.rows < 7 ? 3 : f->plot.rows / 2;
    f->y_tick_count =
        picture_axis_ticks(&picture->y, most < TICKS_MAX ? most : TICKS_MAX, f->y_ticks);
    int gutter = 0;
    char text[32];
    for (int i = 0; i < f->y_tick_count; i++) {
        picture_tick_text(&picture->y, f->y_ticks, f->y_tick_count, i, text, sizeof text);
        int width = (int)strlen(text);
        gutter = width > gutter ? width : gutter;
    }
    f->plot.column = f->area.column + gutter + 1;
    f->plot.columns = f->area.columns - gutter - 2;
    most = f->plot.columns / 10;
    most = most < 2 ? 2 : most > TICKS_MAX ? TICKS_MAX : most;
    f->x_tick_count = picture_axis_ticks(&picture->x, most, f->x_ticks);
    if (picture->to_scale) {
        keep_scale(f);
    }
    f->canvas = (struct canvas){f->grid, f->plot};
}

/* ---- From values to dots and cells. ---- */

static double dot_x(const struct frame_of_picture *f, double x)
{
    return picture_axis_place(&f->picture->x, x) * (canvas_width(&f->canvas) - 1);
}

static double dot_y(const struct frame_of_picture *f, double y)
{
    return (1.0 - picture_axis_place(&f->picture->y, y)) * (canvas_height(&f->canvas) - 1);
}

static bool on_canvas(const struct frame_of_picture *f, double x, double y)
{
    return x > -0.5 && x < canvas_width(&f->canvas) - 0.5 && y > -0.5 &&
           y < canvas_height(&f->canvas) - 0.5;
}

static int cell_column(const struct frame_of_picture *f, double x)
{
    return f->plot.column + (int)lround(dot_x(f, x)) / 2;
}

static int cell_row(const struct frame_of_picture *f, double y)
{
    return f->plot.row + (int)lround(dot_y(f, y)) / 4;
}

static bool shows_x(const struct frame_of_picture *f, double x)
{
    double place = picture_axis_place(&f->picture->x, x);
    return place >= 0.0 && place <= 1.0;
}

static bool shows_y(const struct frame_of_picture *f, double y)
{
    double place = picture_axis_place(&f->picture->y, y);
    return place >= 0.0 && place <= 1.0;
}

/* ---- The parts. ---- */

/* Writes from the left; what does not fit ends with "…". */
static int write_cut(const struct frame_of_picture *f, int row, int room, enum role role,
                     const char *text)
{
    int column = f->area.column;
    if ((int)text_columns(text) <= room) {
        return grid_write(f->grid, row, column, room, role, text);
    }
    struct text *cuts = f->grid->cuts; /* told once, whole */
    f->grid->cuts = NULL;
    grid_write(f->grid, row, column, room - 1, role, text);
    grid_put(f->grid, row, column + room - 1, 0x2026, role);
    f->grid->cuts = cuts;
    grid_tell_cut(f->grid, text);
    return room;
}

/* A long title gives way to the caption: nothing else names the y axis. */
static void draw_title(const struct frame_of_picture *f)
{
    char y[96], text[128];
    if (f->told && f->legend_instead) {
        return; /* the names say what the y axis shows */
    }
    caption(&f->picture->y, y, sizeof y);
    text_format(text, sizeof text, !y[0] ? "" : f->legend_instead ? "[%s]" : "  [%s]", y);
    int room = f->area.columns - (int)text_columns(text);
    room = room < TITLE_COLUMNS_MIN ? f->area.columns : room;
    int written =
        f->legend_instead ? 0 : write_cut(f, f->title_row, room, ROLE_TITLE, f->picture->title);
    write_inside(f, f->title_row, f->area.column + written, ROLE_DIM, text);
}

static void draw_legend(const struct frame_of_picture *f)
{
    if (f->legend_row >= 0) {
        const struct legend legend = legend_of(f);
        legend_draw(&legend, f->grid, f->legend_row, f->area.column,
                    f->legend_rows > 1 ? f->legend_rows : 1);
    }
}

static void draw_axes(const struct frame_of_picture *f)
{
    char text[96];
    for (int row = 0; row < f->plot.rows; row++) {
        grid_put(f->grid, f->plot.row + row, f->plot.column - 1, 0x2502, ROLE_FRAME);
    }
    for (int i = 0; i < f->y_tick_count; i++) {
        int row = cell_row(f, f->y_ticks[i]);
        picture_tick_text(&f->picture->y, f->y_ticks, f->y_tick_count, i, text, sizeof text);
        grid_write(f->grid, row, f->plot.column - 1 - (int)strlen(text), -1, ROLE_DIM, text);
        grid_put(f->grid, row, f->plot.column - 1, 0x2524, ROLE_FRAME);
    }
    if (f->axis_row >= 0) {
        grid_put(f->grid, f->axis_row, f->plot.column - 1, 0x2514, ROLE_FRAME);
        for (int column = 0; column < f->plot.columns; column++) {
            grid_put(f->grid, f->axis_row, f->plot.column + column, 0x2500, ROLE_FRAME);
        }
    }
    caption(&f->picture->x, text, sizeof text);
    int end = f->area.column + f->area.columns - (int)text_columns(text);
    write_inside(f, f->ticks_row, end, ROLE_DIM, text);
    int free_from = f->area.column;
    for (int i = 0; i < f->x_tick_count; i++) {
        int column = cell_column(f, f->x_ticks[i]);
        picture_tick_text(&f->picture->x, f->x_ticks, f->x_tick_count, i, text, sizeof text);
        int width = (int)strlen(text), start = column - width / 2;
        start = start < free_from ? free_from : start;
        if (f->axis_row >= 0) {
            grid_put(f->grid, f->axis_row, column, 0x252C, ROLE_FRAME);
        }
        if (start + width < end && start - width <= column) {
            write_inside(f, f->ticks_row, start, ROLE_DIM, text);
            free_from = start + width + 1;
        }
    }
}

/* A band is a bar above the plot with its label inside, or beside it where that is too narrow. */
static void draw_band(const struct frame_of_picture *f, int row, const struct band_area *band)
{
    const struct axis *axis = &f->picture->x;
    double low = picture_axis_place(axis, band->low), high = picture_axis_place(axis, band->high);
    int last = f->plot.columns - 1;
    int begin = low > 0.0 ? (int)lround(low * last) : 0;
    int end = high < 1.0 ? (int)lround(high * last) : last;
    int width = (int)text_columns(band->label);
    if (begin > last || end < 0) {
        grid_printf(f->grid, row, f->plot.column, f->plot.columns, band->role, "%s%s",
                    begin > last ? "→ " : "← ", band->label);
        return;
    }
    for (int i = begin; i <= end; i++) {
        grid_put(f->grid, row, f->plot.column + i, 0x2550, band->role);
    }
    if (low >= 0.0) {
        grid_put(f->grid, row, f->plot.column + begin, 0x251C, band->role);
    }
    if (high <= 1.0 && end > begin) {
        grid_put(f->grid, row, f->plot.column + end, 0x2524, band->role);
    }
    int start = begin + (end - begin + 1 - width) / 2;
    if (end - begin + 1 >= width + 4) {
        grid_printf(f->grid, row, f->plot.column + start - 1, width + 2, band->role, " %s ",
                    band->label);
    } else if (end + 2 + width <= f->plot.columns) {
        grid_write(f->grid, row, f->plot.column + end + 2, -1, band->role, band->label);
    } else {
        start = begin - 1 - width > 0 ? begin - 1 - width : 0;
        write_inside(f, row, f->plot.column + start, band->role, band->label);
    }
}

/* The first of those that give way are left out. */
static void draw_bands(const struct frame_of_picture *f)
{
    int row = f->bands_row, over = (int)f->picture->band_count - f->bands_shown;
    for (size_t i = 0; i < f->picture->band_count; i++) {
        const struct band_area *band = &f->picture->bands[i];
        if (over > 0 && band_gives_way(band)) {
            over--;
        } else {
            draw_band(f, row++, band);
        }
    }
}

static void draw_mark_line(const struct frame_of_picture *f, const struct mark *mark)
{
    const struct rect *plot = &f->plot;
    if (mark->vertical && shows_x(f, mark->at)) {
        for (int row = 0; row < plot->rows; row++) {
            grid_put(f->grid, plot->row + row, cell_column(f, mark->at), 0x2502, mark->role);
        }
    } else if (!mark->vertical && shows_y(f, mark->at)) {
        for (int column = 0; column < plot->columns; column++) {
            grid_put(f->grid, cell_row(f, mark->at), plot->column + column, 0x2500, mark->role);
        }
    }
}

/* 0: outside. */
static uint32_t glyph_at(const struct grid *grid, int row, int column)
{
    bool inside = row >= 0 && row < grid->rows && column >= 0 && column < grid->columns;
    return inside ? grid->cells[row * grid->columns + column].glyph : 0;
}

static bool holds_digit(const struct grid *grid, int row, int column)
{
    uint32_t glyph = glyph_at(grid, row, column);
    return glyph >= '0' && glyph <= '9';
}

static bool holds_word(const struct grid *grid, int row, int column)
{
    uint32_t letter = glyph_at(grid, row, column) | 0x20; /* small, if it is one */
    return holds_digit(grid, row, column) || (letter >= 'a' && letter <= 'z');
}

/* Nothing is drawn there, or a horizontal line alone. */
static bool is_clear(const struct frame_of_picture *f, int row, int column, int width,
                     uint32_t line)
{
    bool clear = column >= f->plot.column && column + width <= f->plot.column + f->plot.columns;
    for (int i = 0; i < width && clear; i++) {
        uint32_t glyph = glyph_at(f->grid, row, column + i);
        clear = glyph == ' ' || (glyph == line && line != 0);
    }
    return clear;
}

static bool is_blank(const struct frame_of_picture *f, int row, int column, int width)
{
    return is_clear(f, row, column, width, 0);
}

static bool is_on_line(const struct frame_of_picture *f, int row, int column, int width)
{
    return is_clear(f, row, column - 1, width + 2, 0x2500);
}

/* So that no word to the left or the right runs on into this one. A line may touch it. */
static bool is_apart(const struct frame_of_picture *f, int row, int column, int width)
{
    return is_blank(f, row, column, width) && !holds_word(f->grid, row, column - 1) &&
           !holds_word(f->grid, row, column + width);
}

/* No word there, nor running into it: what else is drawn may be written over. */
static bool is_wordless(const struct frame_of_picture *f, int row, int column, int width)
{
    bool free = column >= f->plot.column && column + width <= f->plot.column + f->plot.columns;
    for (int i = -1; free && i <= width; i++) {
        free = !holds_word(f->grid, row, column + i);
    }
    return free;
}

typedef bool (*room_for)(const struct frame_of_picture *f, int row, int column, int width);

static bool label_vertical(const struct frame_of_picture *f, const struct mark *mark, int width,
                           room_for fits)
{
    int column = cell_column(f, mark->at);
    for (int i = 0; i < f->plot.rows; i++) {
        int row = f->plot.row + i;
        bool right = fits(f, row, column + 1, width + 1);
        if (right || fits(f, row, column - width - 1, width + 1)) {
            grid_write(f->grid, row, right ? column + 1 : column - width, width, mark->role,
                       mark->label);
            return true;
        }
    }
    return false;
}

/* Above or below it, or where `on` in the line itself. */
static bool label_horizontal(const struct frame_of_picture *f, const struct mark *mark, int width,
                             room_for fits, bool on)
{
    int row = cell_row(f, mark->at), first = f->plot.row, last = first + f->plot.rows - 1;
    for (int i = f->plot.columns - width; i >= 0; i--) {
        for (int at = row - !on; at <= row + !on; at += 2) {
            if (at >= first && at <= last && fits(f, at, f->plot.column + i, width)) {
                grid_write(f->grid, at, f->plot.column + i, width, mark->role, mark->label);
                return true;
            }
        }
    }
    return false;
}

/* A mark's label goes where nothing is drawn: beside a vertical line as high as it can, above or
 * below a horizontal one as far right as it can, or else in it. Where there is no such place it is
 * written over what is drawn, but no word: a line that nobody names says nothing. */
static void draw_mark_label(const struct frame_of_picture *f, const struct mark *mark)
{
    int width = (int)text_columns(mark->label);
    if (width == 0) {
        return;
    }
    if (mark->vertical && shows_x(f, mark->at)) {
        if (!label_vertical(f, mark, width, is_blank)) {
            label_vertical(f, mark, width, is_wordless);
        }
    } else if (!mark->vertical && shows_y(f, mark->at)) {
        if (!label_horizontal(f, mark, width, is_apart, false) &&
            !label_horizontal(f, mark, width, is_on_line, true)) {
            label_horizontal(f, mark, width, is_wordless, false);
        }
    }
}

/* True where another point of the series takes the same cell: a name would be that of either. */
static bool shares_cell(const struct frame_of_picture *f, const struct series *series, size_t i)
{
    bool shared = false;
    for (size_t k = 0; k < series->count && !shared; k++) {
        shared = k != i && isfinite(series->y[k]) && shows_x(f, series->x[k]) &&
                 cell_column(f, series->x[k]) == cell_column(f, series->x[i]) &&
                 cell_row(f, series->y[k]) == cell_row(f, series->y[i]);
    }
    return shared;
}

/* The name of a point beside it, a blank apart where there is room. False: there is none. */
static bool draw_name(const struct frame_of_picture *f, const struct series *series, size_t i)
{
    int row = cell_row(f, series->y[i]), column = cell_column(f, series->x[i]),
        width = (int)text_columns(series->names[i]);
    for (int gap = shares_cell(f, series, i) ? -1 : 1; gap >= 0; gap--) {
        bool right = is_blank(f, row, column + 1, width + 1 + gap);
        if (right || is_blank(f, row, column - width - 1 - gap, width + 1 + gap)) {
            grid_write(f->grid, row, right ? column + 1 + gap : column - width - gap, width,
                       series->role, series->names[i]);
            return true;
        }
    }
    return false;
}

static void draw_names(struct frame_of_picture *f, const struct series *series)
{
    for (size_t i = 0; i < series->count && series->names; i++) {
        if (series->names[i][0] && shows_x(f, series->x[i]) && shows_y(f, series->y[i])) {
            f->unnamed += !draw_name(f, series, i);
        }
    }
}

static void draw_curve(struct frame_of_picture *f, const struct series *series)
{
    struct canvas_pen pen = {series->role, legend_pattern(series->role), 0};
    for (size_t i = 1; i < series->count; i++) {
        double x0 = dot_x(f, series->x[i - 1]), y0 = dot_y(f, series->y[i - 1]);
        double x1 = dot_x(f, series->x[i]), y1 = dot_y(f, series->y[i]);
        if (series->kind == SERIES_STEPS) {
            canvas_line(&f->canvas, &pen, x0, y0, x1, y0);
            canvas_line(&f->canvas, &pen, x1, y0, x1, y1);
        } else {
            canvas_line(&f->canvas, &pen, x0, y0, x1, y1);
        }
    }
}

static void put_tile(const struct frame_of_picture *f, int row, int column,
                     const struct series *series)
{
    uint32_t glyph = (unsigned char)series->glyph;
    uint32_t there = f->grid->cells[row * f->grid->columns + column].glyph;
    bool crossed = (glyph == '/' && there == '\\') || (glyph == '\\' && there == '/');
    grid_put(f->grid, row, column, crossed ? 'X' : glyph, crossed ? ROLE_PLAIN : series->role);
}

/* A cell belongs to the tile that its middle lies in. */
static void draw_area(struct frame_of_picture *f, const struct series *series)
{
    const struct axis *x = &f->picture->x, *y = &f->picture->y;
    const struct rect *plot = &f->plot;
    double columns = plot->columns, rows = plot->rows;
    for (size_t i = 0; i < series->count; i++) {
        double left = picture_axis_place(x, series->x[i] - 0.5 * series->tile_x) * columns;
        double right = picture_axis_place(x, series->x[i] + 0.5 * series->tile_x) * columns;
        double top = (1.0 - picture_axis_place(y, series->y[i] + 0.5 * series->tile_y)) * rows;
        double bottom = (1.0 - picture_axis_place(y, series->y[i] - 0.5 * series->tile_y)) * rows;
        for (int row = (int)ceil(fmax(top, 0.0) - 0.5); row + 0.5 < fmin(bottom, rows); row++) {
            for (int at = (int)ceil(fmax(left, 0.0) - 0.5); at + 0.5 < fmin(right, columns); at++) {
                put_tile(f, plot->row + row, plot->column + at, series);
            }
        }
    }
}

/* Bars of characters: a cap at each end that lies inside. */
static void draw_bars(struct frame_of_picture *f, const struct series *series)
{
    double last = canvas_height(&f->canvas) - 1;
    for (size_t i = 0; i + 1 < series->count; i += 2) {
        double x = dot_x(f, series->x[i]);
        double low = dot_y(f, series->y[i]), high = dot_y(f, series->y[i + 1]);
        if (!on_canvas(f, x, 0.0) || !isfinite(low) || !isfinite(high) || low < 0.0 ||
            high > last) {
            continue;
        }
        int top = (int)lround(fmax(high, 0.0)) / 4, bottom = (int)lround(fmin(low, last)) / 4;
        for (int row = top; row <= bottom; row++) {
            uint32_t glyph = row == top && high >= 0.0      ? 0x252C
                             : row == bottom && low <= last ? 0x2534
                                                            : 0x2502;
            grid_put(f->grid, f->plot.row + row, f->plot.column + (int)lround(x) / 2, glyph,
                     series->role);
        }
    }
}

/* Digits that share a cell stand side by side: none hides another. */
static void put_glyph(struct frame_of_picture *f, int row, int column, const struct series *series)
{
    int end = f->plot.column + f->plot.columns, at = column;
    while (at < end && holds_digit(f->grid, row, at)) {
        at++;
    }
    grid_put(f->grid, row, at < end ? at : column, (unsigned char)series->glyph, series->role);
}

static void draw_points(struct frame_of_picture *f, const struct series *series)
{
    double ground = canvas_height(&f->canvas) - 1;
    for (size_t i = 0; i < series->count; i++) {
        double x = dot_x(f, series->x[i]), y = dot_y(f, series->y[i]);
        if (series->kind == SERIES_STEMS && isfinite(y)) {
            struct canvas_pen pen = {series->role, LINE_SOLID, 0};
            canvas_line(&f->canvas, &pen, x, ground, x, y);
        }
        if (!on_canvas(f, x, y)) {
            continue;
        }
        if (!series->glyph) {
            canvas_dot(&f->canvas, (int)lround(x), (int)lround(y), series->role);
        } else {
            put_glyph(f, f->plot.row + (int)lround(y) / 4, f->plot.column + (int)lround(x) / 2,
                      series);
        }
    }
}

/* Those of either kind. */
static void draw_all(struct frame_of_picture *f, enum series_kind one, enum series_kind other,
                     void (*draw)(struct frame_of_picture *f, const struct series *series))
{
    for (size_t i = 0; i < f->picture->series_count; i++) {
        const struct series *series = &f->picture->series[i];
        if (series->kind == one || series->kind == other) {
            draw(f, series);
        }
    }
}

/* Says in a row how much room the picture needs. */
static void draw_no_room(const struct picture *picture, struct grid *grid, struct rect area)
{
    int rows = ROWS_MIN + bands_shown(picture, 0);
    char why[96];
    if (area.rows < rows) {
        text_format(why, sizeof why, "This picture needs %d rows, here %s %d.", rows,
                    area.rows == 1 ? "is" : "are", area.rows);
    } else {
        text_format(why, sizeof why, "This picture needs %d columns, here are %d.", COLUMNS_MIN,
                    area.columns);
    }
    grid_write_wrapped(grid, area, ROLE_DIM, why);
}

/* False: there is no room for a picture. */
static bool lay_out(struct frame_of_picture *f)
{
    int bands = bands_shown(f->picture, 0);
    if (f->area.columns >= COLUMNS_MIN && f->area.rows >= ROWS_MIN + bands) {
        lay_out_rows(f);
        lay_out_columns(f);
    }
    return f->plot.rows > 0 && f->plot.columns >= COLUMNS_MIN / 2;
}

static void draw_parts(struct frame_of_picture *f)
{
    const struct picture *picture = f->picture;
    draw_title(f);
    draw_legend(f);
    draw_axes(f);
    draw_bands(f);
    draw_all(f, SERIES_AREA, SERIES_AREA, draw_area);
    for (size_t i = 0; i < picture->mark_count; i++) {
        draw_mark_line(f, &picture->marks[i]);
    }
    draw_all(f, SERIES_LINE, SERIES_STEPS, draw_curve);
    draw_all(f, SERIES_BARS, SERIES_BARS, draw_bars);
    draw_all(f, SERIES_POINTS, SERIES_STEMS, draw_points);
    canvas_finish(&f->canvas);
    for (size_t i = 0; i < picture->mark_count; i++) {
        draw_mark_label(f, &picture->marks[i]);
    }
    for (size_t i = 0; i < picture->series_count && !f->told; i++) {
        draw_names(f, &picture->series[i]);
    }
    if (f->note_row >= 0) {
        write_cut(f, f->note_row, f->area.columns, ROLE_DIM, picture->note);
    }
}

/* Draws it for a try, and wipes it out: true where a name found no place, and the legend leaves
 * enough to the plot if it tells them all. */
static bool must_tell_names(const struct frame_of_picture *laid_out)
{
    struct frame_of_picture f = *laid_out;
    struct legend legend = legend_of(&f);
    struct text *cuts = f.grid->cuts;
    legend.told = true;
    f.grid->cuts = NULL;
    draw_parts(&f);
    f.grid->cuts = cuts;
    for (int i = 0; i < f.area.rows * f.area.columns; i++) {
        grid_put(f.grid, f.area.row + i / f.area.columns, f.area.column + i % f.area.columns, ' ',
                 ROLE_PLAIN);
    }
    int left = f.area.rows - 1 - f.bands_shown - legend_rows(&legend);
    return f.unnamed > 0 && left > 0;
}

void picture_draw_grid(const struct picture *picture, struct grid *grid, struct rect area)
{
    const struct frame_of_picture empty = {.picture = picture, .grid = grid, .area = area};
    struct frame_of_picture f = empty;
    if (area.rows <= 0 || area.columns <= 0) {
        return;
    }
    if (!lay_out(&f)) {
        draw_no_room(picture, grid, area);
        return;
    }
    if (picture->every_name && must_tell_names(&f)) {
        f = empty;
        f.told = true;
        lay_out(&f);
    }
    draw_parts(&f);
}
