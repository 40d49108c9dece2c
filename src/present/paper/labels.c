/* Finds room for labels in a plot: away from data, marks and one another, as near their place as
 * can be. */
#include "present/paper/labels.h"

#include <math.h>
#include <stdlib.h>

#include "present/paper/plot.h"

#define GAP 0.15 /* from the mark's line to the label, in heights of the label */

void label_room_add(struct label_room *room, struct obstacle obstacle)
{
    if (room->count == room->capacity) {
        size_t capacity = room->capacity ? 2 * room->capacity : 256;
        struct obstacle *grown = realloc(room->obstacles, capacity * sizeof *grown);
        if (!grown) {
            room->failed = true;
            return;
        }
        room->obstacles = grown;
        room->capacity = capacity;
    }
    room->obstacles[room->count++] = obstacle;
}

void label_room_free(struct label_room *room)
{
    free(room->obstacles);
    *room = (struct label_room){0};
}

/* Cuts the part [*from, *to] of a stroke down to what lies between low and high in one direction.
 */
static bool cut(double start, double step, double low, double high, double *from, double *to)
{
    if (step == 0.0) {
        return start > low && start < high;
    }
    double a = (low - start) / step, b = (high - start) / step;
    *from = fmax(*from, fmin(a, b));
    *to = fmin(*to, fmax(a, b));
    return *from < *to;
}

static bool meets(const struct obstacle *stroke, const struct box *box)
{
    double from = 0.0, to = 1.0, r = stroke->radius;
    return cut(stroke->x0, stroke->x1 - stroke->x0, box->x - r, box->x + box->width + r, &from,
               &to) &&
           cut(stroke->y0, stroke->y1 - stroke->y0, box->y - r, box->y + box->height + r, &from,
               &to);
}

static bool is_free(const struct label_room *room, const struct box *box)
{
    const struct box *plot = &room->plot;
    bool yes = box->x >= plot->x && box->x + box->width <= plot->x + plot->width &&
               box->y >= plot->y && box->y + box->height <= plot->y + plot->height;
    for (size_t i = 0; i < room->count && yes; i++) {
        yes = !meets(&room->obstacles[i], box);
    }
    return yes;
}

/* The label's middle line, as thick as the label is high. */
static void take(struct label_room *room, const struct box *label)
{
    double middle = label->y + label->height / 2.0, half = label->height / 2.0;
    label_room_add(room,
                   (struct obstacle){label->x, middle, label->x + label->width, middle, half});
}

bool label_room_find(struct label_room *room, bool vertical, double at, struct box *label)
{
    double gap = GAP * label->height, step = 0.5 * label->height;
    double length = vertical ? room->plot.height : room->plot.width;
    int places = length > gap && step > 0.0 ? (int)ceil((length - gap) / step) : 0;
    for (int i = 0; i < places; i++) {
        double along = gap + i * step;
        for (int side = 0; side < 2; side++) {
            if (vertical) {
                label->x = side == 0 ? at + 2.0 * gap : at - 2.0 * gap - label->width;
                label->y = room->plot.y + along;
            } else {
                label->x = room->plot.x + room->plot.width - along - label->width;
                label->y = side == 0 ? at - gap - label->height : at + gap;
            }
            if (is_free(room, label)) {
                take(room, label);
                return true;
            }
        }
    }
    return false;
}

/* ---- Room for the marks' labels. ---- */

static void add_series_obstacles(const struct plotting *p, size_t which, struct label_room *room)
{
    const struct series *series = &p->picture->series[which];
    double half = 0.6 * CURVE_MM * p->unit, bottom = p->plot.y + p->plot.height;
    double marker =
        sheet_ring_radius(p->sheet) / (sheet_is_letter(plot_marker(p->picture, which)) ? 1.0 : 1.6);
    for (size_t i = 0; i < series->count; i++) {
        if (!plot_knows(p, series, i)) {
            continue;
        }
        double x = plot_x(p, series->x[i]), y = plot_y(p, series->y[i]);
        if (plot_is_line(series) && i > 0 && plot_knows(p, series, i - 1)) {
            double x0 = plot_x(p, series->x[i - 1]), y0 = plot_y(p, series->y[i - 1]);
            double corner = series->kind == SERIES_STEPS ? y0 : y;
            label_room_add(room, (struct obstacle){x0, y0, x, corner, half});
            label_room_add(room, (struct obstacle){x, corner, x, y, half});
        }
        if (series->kind == SERIES_BARS && i % 2 == 1 && plot_knows(p, series, i - 1)) {
            double low = plot_y(p, series->y[i - 1]);
            label_room_add(room, (struct obstacle){x, low, x, y, 0.5 * CAP_MM * p->unit});
        }
        if (plot_has_marker(p, which, i)) {
            double end = series->kind == SERIES_STEMS ? bottom : y;
            label_room_add(room, (struct obstacle){x, y, x, end, marker});
        }
    }
}

static void add_obstacles(const struct plotting *p, struct label_room *room)
{
    double half = 0.5 * MARK_MM * p->unit, at;
    double right = p->plot.x + p->plot.width, bottom = p->plot.y + p->plot.height;
    for (size_t i = 0; i < p->picture->series_count; i++) {
        add_series_obstacles(p, i, room);
    }
    for (size_t i = 0; i < p->picture->mark_count; i++) {
        const struct mark *mark = &p->picture->marks[i];
        if (plot_shows_mark(p, mark, &at)) {
            label_room_add(room, mark->vertical
                                     ? (struct obstacle){at, p->plot.y, at, bottom, half}
                                     : (struct obstacle){p->plot.x, at, right, at, half});
        }
    }
}

struct type plot_label_type(const struct mark *mark)
{
    return (struct type){type_small.points, false, mark->role};
}

bool plot_place_labels(struct plotting *p)
{
    struct label_room room = {.plot = p->plot};
    bool all = true;
    double at;
    add_obstacles(p, &room);
    for (size_t i = 0; i < p->picture->mark_count; i++) {
        const struct mark *mark = &p->picture->marks[i];
        struct type type = plot_label_type(mark);
        struct mark_label *label = &p->labels[i];
        label->box.width =
            sheet_text_width(p->sheet, type, mark->label) + 2.0 * PATCH_EDGE * p->unit;
        label->box.height = sheet_line_height(p->sheet, type);
        if (!label->in_legend && mark->label[0] && plot_shows_mark(p, mark, &at) &&
            !label_room_find(&room, mark->vertical, at, &label->box)) {
            label->in_legend = true;
            all = false;
        }
    }
    label_room_free(&room);
    return all;
}

/* ---- Names of points. ---- */

#define NAME_PLACES 4

/* Beside the point, then along its stem, to either side. */
static bool find_beside(struct label_room *room, double x, double y, double away, struct box *box)
{
    for (int i = 0; i < NAME_PLACES; i++) {
        box->y = y - 0.5 * box->height + 0.6 * box->height * i;
        for (int side = 0; side < 2; side++) {
            box->x = side == 0 ? x + away : x - away - box->width;
            if (is_free(room, box)) {
                take(room, box);
                return true;
            }
        }
    }
    return false;
}

static void draw_names_of(struct plotting *p, const struct series *series, struct label_room *room)
{
    const struct type type = {type_small.points, false, series->role};
    double away = 1.3 * sheet_ring_radius(p->sheet);
    for (size_t i = 0; i < series->count && series->names; i++) {
        const char *name = series->names[i];
        if (!name[0] || !plot_knows(p, series, i) || !plot_shows(&p->picture->x, series->x[i]) ||
            !plot_shows(&p->picture->y, series->y[i])) {
            continue;
        }
        struct box box = {.width =
                              sheet_text_width(p->sheet, type, name) + 2.0 * PATCH_EDGE * p->unit,
                          .height = sheet_line_height(p->sheet, type)};
        if (find_beside(room, plot_x(p, series->x[i]), plot_y(p, series->y[i]), away, &box)) {
            plot_write_on_white(p, type, box.x + PATCH_EDGE * p->unit, box.y + 0.74 * box.height,
                                name);
        }
    }
}

void plot_draw_names(struct plotting *p)
{
    struct label_room room = {.plot = p->plot};
    double at;
    add_obstacles(p, &room);
    for (size_t i = 0; i < p->picture->mark_count; i++) {
        if (!p->labels[i].in_legend && plot_shows_mark(p, &p->picture->marks[i], &at)) {
            take(&room, &p->labels[i].box);
        }
    }
    for (size_t i = 0; i < p->picture->series_count; i++) {
        draw_names_of(p, &p->picture->series[i], &room);
    }
    label_room_free(&room);
}
