#ifndef PRESENT_PAPER_PLOT_H
#define PRESENT_PAPER_PLOT_H

#include "present/paper/paper.h"

/* What the parts of a picture on paper share: picture.c lays it out, series.c draws the
 * data, labels.c finds room for the marks' labels. */

#define TICKS_MAX 16
#define CURVE_MM 0.55 /* lines' widths at the sheet's scale */
#define MARK_MM 0.45
#define CAP_MM 2.4     /* across a bar's ends: wider than a marker */
#define PATCH_EDGE 0.4 /* of a label's white ground, beside the letters */

struct plotting {
    struct sheet *sheet;
    const struct picture *picture;
    struct box inside; /* the box less its margin */
    struct box plot;
    double unit; /* a millimetre at the sheet's scale */
    double left; /* of the plot: ticks and the y axis's caption */
    double title_height, legend_height, strip_height, note_height;
    int x_tick_count, y_tick_count;
    double x_ticks[TICKS_MAX], y_ticks[TICKS_MAX];
    struct mark_label {
        bool in_legend;  /* there was no room at the line */
        struct box box;  /* else where it stands */
        size_t break_at; /* a blank where its second line begins; 0: it has one line */
    } labels[PICTURE_MARKS_MAX];
    bool told; /* the points' names stand in the legend */
};

/* Places on the sheet of values on the axes. */
double plot_x(const struct plotting *p, double x);
double plot_y(const struct plotting *p, double y);
bool plot_shows(const struct axis *axis, double value);
bool plot_shows_mark(const struct plotting *p, const struct mark *mark, double *at);

/* ---- Series. ---- */

bool plot_is_line(const struct series *series);
char plot_marker(const struct picture *picture, size_t i); /* ' ': none */
bool plot_knows(const struct plotting *p, const struct series *series, size_t i);
bool plot_has_marker(const struct plotting *p, size_t which, size_t i);

/* An upright bar; a cap at each end that is asked for. */
void plot_draw_bar(const struct plotting *p, enum role role, double x, double y_low, double y_high,
                   bool cap_low, bool cap_high);

/* All but letters, which may have to join and come last. */
void plot_draw_series(struct plotting *p, size_t which);
void plot_draw_letters(struct plotting *p);

/* ---- Labels of marks. ---- */

struct type plot_label_type(const struct mark *mark);

/* Places for all labels; false where one more had to go into the legend. */
bool plot_place_labels(struct plotting *p);

/* Names of points, where there is room for them; whether there is for all. */
void plot_draw_names(struct plotting *p);
bool plot_has_room_for_names(struct plotting *p);

/* Writes on a patch of white, so that lines behind do not cross the letters. */
void plot_write_on_white(const struct plotting *p, struct type type, double x, double y,
                         const char *text);

#endif
