/* Finds room for labels in a plot: away from data, marks and one another, as near their place as
 * can be. */
#include "present/paper/labels.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

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

/* In one line, or in two where a narrower label finds room. */
static bool place_label(const struct plotting *p, const struct mark *mark, double at,
                        struct label_room *room, struct mark_label *label)
{
    struct type type = plot_label_type(mark);
    double edges = 2.0 * PATCH_EDGE * p->unit, line = sheet_line_height(p->sheet, type);
    label->break_at = 0;
    label->box.width = sheet_text_width(p->sheet, type, mark->label) + edges;
    label->box.height = line;
    if (label_room_find(room, mark->vertical, at, &label->box)) {
        return true;
    }
    const char *blank = strchr(mark->label, ' ');
    if (blank == NULL) {
        return false;
    }
    char first[sizeof mark->label];
    text_format(first, sizeof first, "%.*s", (int)(blank - mark->label), mark->label);
    label->break_at = (size_t)(blank - mark->label);
    label->box.width = edges + fmax(sheet_text_width(p->sheet, type, first),
                                    sheet_text_width(p->sheet, type, blank + 1));
    label->box.height = 2.0 * line;
    return mark->vertical && label_room_find(room, true, at, &label->box);
}

bool plot_place_labels(struct plotting *p)
{
    struct label_room room = {.plot = p->plot};
    bool all = true;
    double at;
    add_obstacles(p, &room);
    for (size_t i = 0; i < p->picture->mark_count; i++) {
        const struct mark *mark = &p->picture->marks[i];
        struct mark_label *label = &p->labels[i];
        if (!label->in_legend && mark->label[0] && plot_shows_mark(p, mark, &at) &&
            !place_label(p, mark, at, &room, label)) {
            label->in_legend = true;
            all = false;
        }
    }
    label_room_free(&room);
    return all;
}

/* ---- Names of points. ---- */

/* Where a name may stand from its point: sideways, in its own widths beyond the gap beside the
 * marker (0.5: centred), and down, in its heights. */
struct name_place {
    double across, down;
    bool beside; /* clear of the marker and its stem to the right (across 0) or left (across -1) */
};

#define BESIDE(down)     \
    {0.0, down, true},   \
    {                    \
        -1.0, down, true \
    }
#define ABOVE                                 \
    {-0.5, -1.3, false}, {-0.1, -1.3, false}, \
    {                                         \
        -0.9, -1.3, false                     \
    }
#define ALONG BESIDE(0.6), BESIDE(1.2), BESIDE(1.8)

/* Two orders: the one that leaves fewer points without a name is taken. */
#define NAME_ORDERS 2
#define NAME_PLACES 11
#define NAME_PLACES_BESIDE 2 /* the first of the first order: no other point's are there */
static const struct name_place name_places[NAME_ORDERS][NAME_PLACES] = {
    {BESIDE(0.0), ABOVE, ALONG}, {ABOVE, BESIDE(0.0), ALONG}};

static bool find_name(struct label_room *room, const struct name_place *places, int count, double x,
                      double y, double away, struct box *box)
{
    for (int i = 0; i < count; i++) {
        const struct name_place *place = &places[i];
        double gap = !place->beside ? 0.0 : place->across < 0.0 ? -away : away;
        box->x = x + gap + place->across * box->width;
        box->y = y + (place->down - 0.5) * box->height - (place->beside ? 0.0 : 0.2 * away);
        if (is_free(room, box)) {
            take(room, box);
            return true;
        }
    }
    return false;
}

/* Finds places for a series' names, and writes them if asked to; how many found none. */
static int place_names_of(struct plotting *p, const struct series *series, int order, bool write,
                          struct label_room *room)
{
    const struct type type = {type_small.points, false, series->role};
    double away = 1.3 * sheet_ring_radius(p->sheet);
    int without = 0, places = p->picture->every_name ? NAME_PLACES_BESIDE : NAME_PLACES;
    for (size_t i = 0; i < series->count && series->names; i++) {
        const char *name = series->names[i];
        if (!name[0] || !plot_knows(p, series, i) || !plot_shows(&p->picture->x, series->x[i]) ||
            !plot_shows(&p->picture->y, series->y[i])) {
            continue;
        }
        struct box box = {.width =
                              sheet_text_width(p->sheet, type, name) + 2.0 * PATCH_EDGE * p->unit,
                          .height = sheet_line_height(p->sheet, type)};
        if (!find_name(room, name_places[order], places, plot_x(p, series->x[i]),
                       plot_y(p, series->y[i]), away, &box)) {
            without++;
        } else if (write) {
            plot_write_on_white(p, type, box.x + PATCH_EDGE * p->unit, box.y + 0.74 * box.height,
                                name);
        }
    }
    return without;
}

static int place_names(struct plotting *p, int order, bool write, struct label_room *room)
{
    size_t before = room->count;
    int without = 0;
    for (size_t i = 0; i < p->picture->series_count; i++) {
        without += place_names_of(p, &p->picture->series[i], order, write, room);
    }
    room->count = before;
    return without;
}

/* The plot with what no name may cover. The caller calls label_room_free. */
static struct label_room room_for_names(struct plotting *p)
{
    struct label_room room = {.plot = p->plot};
    double at;
    add_obstacles(p, &room);
    for (size_t i = 0; i < p->picture->mark_count; i++) {
        if (!p->labels[i].in_legend && plot_shows_mark(p, &p->picture->marks[i], &at)) {
            take(&room, &p->labels[i].box);
        }
    }
    return room;
}

bool plot_has_room_for_names(struct plotting *p)
{
    struct label_room room = room_for_names(p);
    int without = place_names(p, 0, false, &room);
    label_room_free(&room);
    return without == 0;
}

void plot_draw_names(struct plotting *p)
{
    struct label_room room = room_for_names(p);
    int order =
        p->picture->every_name || place_names(p, 0, false, &room) <= place_names(p, 1, false, &room)
            ? 0
            : 1;
    place_names(p, order, true, &room);
    label_room_free(&room);
}
