#ifndef PRESENT_PAPER_LABELS_H
#define PRESENT_PAPER_LABELS_H

#include "present/paper/paper.h"

/* Where labels find room in a plot: not over data, nor over each other. Start from
 * `struct label_room room = {.plot = ...};`, add what must stay seen, end with label_room_free. */

/* A stroke, or where both ends are one a dot, with what it is thick to either side. */
struct obstacle {
    double x0, y0, x1, y1, radius;
};

struct label_room {
    struct box plot;
    struct obstacle *obstacles;
    size_t count, capacity;
    bool failed; /* out of memory: some are missing */
};

void label_room_add(struct label_room *room, struct obstacle obstacle);

/* Finds a box of `label`'s size beside the line across the plot that a vertical mark has at x =
 * `at`, a horizontal one at y = `at`: near its upper or right end first, then along it, on either
 * side. True: the label's place is set, and is an obstacle from now on. False: there is none. */
bool label_room_find(struct label_room *room, bool vertical, double at, struct box *label);

void label_room_free(struct label_room *room);

#endif
