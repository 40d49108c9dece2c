#ifndef PRESENT_PICTURE_PICTURE_H
#define PRESENT_PICTURE_PICTURE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/status.h"
#include "present/picture/grid.h"

/* A picture as values: axes, series, bands and marks. The same picture is drawn on the grid
 * (braille dots or ASCII) and on paper (cairo), so both show the same thing. */

enum series_kind {
    SERIES_LINE,
    SERIES_POINTS,
    SERIES_STEMS,
    SERIES_STEPS,
    SERIES_BARS, /* upright bars with caps: of each pair of values the lower end, then the upper */
    SERIES_AREA  /* hatched tiles about the points; where two series meet, the hatchings cross */
};

#define PICTURE_NAME_BYTES 28

struct series {
    enum series_kind kind;
    enum role role;
    char label[64];
    char glyph; /* for points: 'o', 'x', '+', '*'; 0: a dot */
    size_t count;
    double *x, *y;                     /* owned by the picture; NAN breaks a line */
    char (*names)[PICTURE_NAME_BYTES]; /* of points, as owned; written where there is room; NULL:
                                          none */
    double tile_x, tile_y;             /* of an area: the size of its tiles */
};

/* A band shades x from low to high: the guard interval, an equaliser's reach. */
struct band_area {
    enum role role;
    char label[64];
    double low, high;
};

/* A line across the picture at x or at y: a threshold, a limit. */
struct mark {
    enum role role;
    char label[64];
    bool vertical;
    double at;
};

struct axis {
    char label[64];
    char unit[16];
    double low, high;
    bool logarithmic;
    bool bare;    /* its places are no numbers: no ticks */
    double focus; /* what a zoom closes in on */
};

#define PICTURE_SERIES_MAX 12
#define PICTURE_BANDS_MAX 6
#define PICTURE_MARKS_MAX 12

struct picture {
    char title[128];
    char note[256]; /* what is assumed */
    struct axis x, y;
    bool to_scale;   /* both axes in one unit: a map */
    bool every_name; /* of points must be read */
    size_t series_count, band_count, mark_count;
    struct series series[PICTURE_SERIES_MAX];
    struct band_area bands[PICTURE_BANDS_MAX];
    struct mark marks[PICTURE_MARKS_MAX];
};

void picture_free(struct picture *picture);

/* A copy of its own; false, and `to` empty, when memory runs out. */
bool picture_copy(const struct picture *from, struct picture *to);

/* Adds a series with room for `count` points and returns it; NULL when full or out of memory. */
struct series *picture_add_series(struct picture *picture, enum series_kind kind, enum role role,
                                  const char *label, size_t count);
/* Gives a point of a series a name; false when out of memory. */
bool series_name(struct series *series, size_t i, const char *name);
/* The name of point *i or of the first behind it that has one, with a comma where another follows;
 * *i is then the point behind it. False: there is none. */
bool series_tell_name(const struct series *series, size_t *i, char *buffer, size_t size);
void picture_add_band(struct picture *picture, enum role role, const char *label, double low,
                      double high);
void picture_add_mark(struct picture *picture, enum role role, const char *label, bool vertical,
                      double at);

/* Series that coincide become one, with both labels: the other would hide behind it. */
void picture_join_alike(struct picture *picture);

/* Shows the horizontal axis twice as near to its focus with each step; negative: twice as far off.
 */
void picture_zoom(struct picture *picture, int steps);

/* Draws into a rectangle of the grid: title, axes with ticks, everything clipped. */
void picture_draw_grid(const struct picture *picture, struct grid *grid, struct rect area);

/* Round tick values (1, 2 or 5 times a power of ten apart) inside [low, high], at most `most`;
 * returns how many. */
int picture_ticks(double low, double high, int most, double *ticks);

/* The same for an axis: on a logarithmic one decades, or 1, 2, 5 of each, where they fit. */
int picture_axis_ticks(const struct axis *axis, int most, double *ticks);

/* A tick's value as text, with as many decimals as its neighbours need; "1e-5" for what is very
 * small or large. */
void picture_tick_text(const struct axis *axis, const double *ticks, int count, int i, char *buffer,
                       size_t size);

/* Where a value stands on the axis: 0 at its low end, 1 at its high end, beyond them outside; NAN
 * for NAN and for what a logarithmic axis cannot show. */
double picture_axis_place(const struct axis *axis, double value);

enum paper_kind { PAPER_SVG, PAPER_PNG, PAPER_PDF };
struct paper {
    enum paper_kind kind;
    double width_mm, height_mm;
    double dots_per_inch; /* of a PNG */
    double type_scale;    /* of letters and lines, over what the size asks for; 0: 1 */
};

#define PAPER_LEAST_MM 40.0
#define PAPER_MOST_MM 1200.0
#define PAPER_DPI_DEFAULT 200.0
#define PAPER_DPI_LEAST 36.0
#define PAPER_DPI_MOST 1200.0
#define PAPER_PIXELS_MOST 20000.0 /* of a PNG, to either side */

/* Size and resolution within the limits above; a fault's place is "width", "height" or "dpi". */
enum status paper_check(const struct paper *paper, struct fault *fault);

/* SVG, PNG or PDF by the ending of a file's name, in either case; STATUS_UNKNOWN_NAME. */
enum status paper_kind_from_path(const char *path, enum paper_kind *kind, struct fault *fault);

/* Writes the picture to a file by way of cairo; a half-written file never replaces an old one. */
enum status picture_draw_paper(const struct picture *picture, const struct paper *paper,
                               const char *path, struct fault *fault);

#endif
